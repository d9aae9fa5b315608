"""What is asked about the shape of the record itself: where an outlet is and what feeds it."""

from __future__ import annotations

from walkthrough.app.feeds import as_offered, is_fed_through, is_same_circuit, starts_below
from walkthrough.app.photos import PHOTOS, add_photo, photo_prompt
from walkthrough.app.prompt import AS_BEFORE, OFFERED, YOUR_ANSWER, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.judge.traced import device_tables
from walkthrough.report.text import clean
from walkthrough.survey import photos
from walkthrough.survey.model import (
    COMMON,
    PANEL,
    AnswerValue,
    Circuit,
    Limit,
    Outlet,
    Panel,
    Room,
    Subject,
    Unit,
)
from walkthrough.survey.naming import names_kept

UNIT = "unit"
FIELD = "field:"
"""Prompts about the shape of the record have ids that begin so."""

NOTE = "note"
"""A field that is never asked for, but can be filled in."""

TESTED = "tested"
_STATES = {
    TESTED: "Reached and tested",
    "seen only": "Seen, but not reached",
    "not reached": "Not seen and not reached",
    "not tested": "Reached, but not tested",
    "not there": "It is not there",
}
UNSEEN = ("not reached", "not there")
OTHER_REASON = "another reason"
_NO_REASON = "no reason given"
REASONS = (
    "behind furniture",
    "locked",
    "behind stored goods",
    "an appliance is in use or was not pulled",
    "too high",
    "refused",
    "the power is off",
    "medical or alarm equipment hangs on it",
    OTHER_REASON,
)
"""Why something was not tested, each with a key of its own."""
OR_REASON = "or type the reason"
_SIDES = {
    "load": "From its LOAD terminals: dead when it trips",
    "line": "Spliced to its LINE side, ahead of it",
    "through": "Through a splice or an ordinary device",
}
_GROUNDS = {
    "opened": "Box opened, wires seen",
    "observed": "Seen happen: it died or lived in a trip test",
    "inferred": "Worked out from what is there",
    "told": "Someone said so",
    "unknown": "Not known",
}
_HELP = {
    "serves": "As in the panel directory, or what goes dead when it is off: rooms, appliances.",
    "unit": "As people call it, such as Upstairs; it stands in the report.",
    "panel": "Such as: garage, north wall. Nothing has to be opened for it.",
    "room": "Its own name, such as Kitchen or Hall bath; it stands in the report.",
    "at": "So that somebody else finds it: the wall, and what stands beside it.",
    "side": "What is on LOAD goes dead when that device is tripped by its TEST: trip it and look. "
    "Opening a box to see the wires is for the qualified, with the power off.",
    "state": "What was not reached or not tested stands in the report as a limit, never as good.",
    "reason": "It stands in the report beside what was not tested.",
    "in_words": "In a few words; it stands in the report beside what was not tested.",
}
"""What F1 says about a field."""

_FIELDS: dict[str, tuple[str, ...]] = {
    "panel": ("name", "fed_from"),
    "circuit": ("serves", "shares_neutral_with"),
    "room": ("name",),
    "outlet": (
        "circuit",
        "at",
        "fed_from",
        "side",
        "order_known_by",
        "state",
        "reason",
        "in_words",
    ),
}


class Refused(Exception):
    """An answer that the record cannot take; says why."""


def fields_of(record: Record, subject: Subject) -> tuple[str, ...]:
    """The names of what can be told about the shape of a subject, its note and its pictures."""
    own = ("name",) if isinstance(subject, Unit) else _FIELDS.get(subject.of, ())
    if isinstance(subject, Outlet):
        # A reason belongs to something that was not tested; its words are told with it.
        without = ("in_words",) if subject.limits else ("in_words", "reason")
        own = tuple(name for name in own if name not in without)
    # Where it was put in is never asked again, but it can be changed.
    moves = record.session.units and isinstance(subject, Panel | Room)
    pictures = (PHOTOS,) if subject.photos else ()
    return (*own, *((UNIT,) if moves else ()), NOTE, *pictures)


def open_field(record: Record, subject: Subject, passed: set[str]) -> str | None:
    """The next thing to ask about the shape of a subject; `passed` was put in this sitting.

    Once an ordinary question was answered, the shape counts as told: only the reason of a limit,
    the partner of a shared neutral, and the ground of a feed told just now are still asked.
    """
    names = _FIELDS.get(subject.of, ())
    started = bool(subject.answers or subject.readings or subject.cannot_tell)
    done = {name for name in names if _is_set(subject, name)}
    told = max((names.index(name) for name in done), default=-1)
    for number, name in enumerate(names):
        if name in passed or name in done or not _makes_sense(record, subject, name):
            continue
        late = name in ("reason", "in_words", "shares_neutral_with") or (
            name in ("side", "order_known_by") and "fed_from" in passed
        )
        # Copied to hang on the outlet before it: whether on its LOAD is seen only here.
        late = late or (name == "side" and bool(subject.carried) and "fed_from" not in passed)
        if late or not (started or number < told):
            return name
    return None


def _is_set(subject: Subject, name: str) -> bool:
    match subject, name:
        case Outlet(), "state":
            return bool(subject.limits)
        case Outlet(), "reason":
            return any(limit.reason for limit in subject.limits)
        case Outlet(), "circuit" | "in_words":
            return False
        case Outlet(), "side":
            return subject.side != "through"
        case Outlet(), "order_known_by":
            return subject.order_known_by != "unknown"
    return bool(getattr(subject, name))


def _makes_sense(record: Record, subject: Subject, name: str) -> bool:
    match subject, name:
        case Panel(), "fed_from":
            panels = record.session.panels
            return subject is not next(each for each in panels if each.unit == subject.unit)
        case Circuit(), "shares_neutral_with":
            others = len(record.session.circuits) > 1
            return others and subject.answer("shares_neutral") is True
        case Outlet(), "side":
            return _feeder_may_protect(record, subject)
        case Outlet(), "order_known_by":
            return subject.fed_from != ""
        case Outlet(), "reason":
            return bool(subject.limits)
        case Outlet(), "in_words":
            return any(limit.reason == OTHER_REASON for limit in subject.limits)
    return True


def _feeder_may_protect(record: Record, outlet: Outlet) -> bool:
    feeder = record.session.outlet(outlet.fed_from)
    if feeder is None:
        return False
    device = feeder.answer("device")
    return device is None or device_tables(record.book).device.get(str(device), ("",)) != ()


def field_prompt(record: Record, subject: Subject, name: str) -> Prompt:
    """The prompt that asks for one field."""
    match subject, name:
        case _, "note":
            return _note(subject)
        case _, "photos":
            return photo_prompt(record, subject, FIELD + PHOTOS)
        case Unit(), _:
            return _text(name, "What is this dwelling unit called?", subject.name, UNIT)
        case Panel() | Room(), "unit":
            return _unit_prompt(record, subject)
        case Panel(), "fed_from":
            return Prompt(
                FIELD + name,
                "Which circuit feeds this panel?",
                "pick",
                circuit_choices(record, feeds=subject),
                "A sub-panel hangs on a feeder that starts at another panel.",
            )
        case Circuit(), "serves":
            return _text(name, "What does this circuit serve?", subject.serves, name)
        case Circuit(), "shares_neutral_with":
            others = tuple(
                each
                for each in circuit_choices(record)
                if each.value != record.session.reference(subject)
            )
            return Prompt(
                FIELD + name,
                "With which circuit does it share its neutral?",
                "pick",
                others,
                "Not entered yet: press ?, and answer it at the other circuit.",
                as_offered(record.session, subject.shares_neutral_with) or None,
                YOUR_ANSWER if subject.shares_neutral_with else "",
            )
        case Outlet(), _:
            return _outlet_prompt(record, subject, name)
        case Panel(), _:
            return _text(name, "Where is this panel, or what is it called?", subject.name, "panel")
        case Room(), _:
            return _text(name, "What is this room or area called?", subject.name, "room", must=True)
    raise Refused(f"nothing to ask: {name}")


def _unit_prompt(record: Record, subject: Panel | Room) -> Prompt:
    session = record.session
    return Prompt(
        FIELD + UNIT,
        "To which dwelling unit does it belong?",
        "pick",
        (
            Choice(COMMON, session.home(session.dwelling)),
            *(Choice(each.id, session.home(each)) for each in session.units),
        ),
        "What is in it goes with it.",
        subject.unit or COMMON,
        YOUR_ANSWER,
        can_skip=False,
    )


def _note(subject: Subject) -> Prompt:
    told = "It stands in the report and is found by Ctrl+F. Ctrl+U empties it, Escape leaves it."
    ask = "What is to be noted here?"
    typed = clean(" ".join(subject.note.split()))
    return Prompt(
        FIELD + NOTE, ask, "text", (), told, can_skip=False, can_be_empty=True, typed=typed
    )


def _text(name: str, ask: str, now: str, about: str, must: bool = False) -> Prompt:
    return Prompt(
        FIELD + name,
        ask,
        "text",
        help=_HELP[about],
        default=now or None,
        default_from=YOUR_ANSWER if now else "",
        can_be_empty=not must,
        can_skip=not must,
    )


def _outlet_prompt(record: Record, outlet: Outlet, name: str) -> Prompt:
    before = outlet_before(record, outlet)
    id = FIELD + name
    match name:
        case "circuit":
            ask = "On which circuit is it?"
            told = "Type the number or a word of what the circuit serves."
            now = as_offered(record.session, outlet.circuit)
            near = circuit_choices(record, unit=record.session.unit_of(outlet))
            return Prompt(id, ask, "pick", near, told, now, AS_BEFORE)
        case "at":
            return _text(name, "Where exactly is it?", outlet.at, name)
        case "fed_from":
            return _fed_from_prompt(record, outlet)
        case "side":
            ask = f"How does it hang on {outlet.fed_from}?"
            side = outlet.side if outlet.side != "through" else None
            return Prompt(id, ask, "choice", _choices(_SIDES), _HELP[name], side, YOUR_ANSWER)
        case "order_known_by":
            known = outlet.order_known_by if outlet.order_known_by != "unknown" else None
            carried = before.order_known_by if before and before.order_known_by else None
            return Prompt(
                id,
                "How is that wiring order known?",
                "choice",
                _choices(_GROUNDS),
                "Only what was opened or observed counts as proof of protection.",
                known or carried,
                YOUR_ANSWER if known else AS_BEFORE,
            )
        case "state":
            state = outlet.limits[0].what if outlet.limits else TESTED
            ask = "Was it reached and tested?"
            return Prompt(id, ask, "choice", _choices(_STATES), _HELP[name], state, OFFERED)
        case "reason":
            return _reason_prompt(outlet)
        case _:
            words = _own_words(outlet)
            return _text("in_words", "Which other reason?", words, "in_words", must=True)


def reasons(words: str = "") -> tuple[Choice, ...]:
    """Why something was not tested, each with its key; `words` were told already."""
    told = {OTHER_REASON: f"Another reason: {words}"} if words else {}
    return tuple(Choice(each, told.get(each, each.capitalize())) for each in REASONS)


def _reason_prompt(outlet: Outlet) -> Prompt:
    reason, words = _reason(outlet), _own_words(outlet)
    now = OTHER_REASON if words else reason if reason in REASONS else None
    return Prompt(
        FIELD + "reason",
        "Why not?",
        "choice",
        reasons(words),
        _HELP["reason"],
        now,
        YOUR_ANSWER if now else "",
        or_words=OR_REASON,
    )


def _reason(outlet: Outlet) -> str:
    return outlet.limits[0].reason if outlet.limits else ""


def _own_words(outlet: Outlet) -> str:
    """The reason that was typed, "" where one of the list or none was told."""
    reason = _reason(outlet)
    return "" if reason in (*REASONS, _NO_REASON) else reason


def _fed_from_prompt(record: Record, outlet: Outlet) -> Prompt:
    session = record.session
    others = [each for each in session.outlets if each is not outlet]
    same = [each for each in others if is_same_circuit(session, each.circuit, outlet.circuit)]
    rest = [each for each in others if all(each is not near for near in same)]
    choices = [Choice(PANEL, "straight from the panel")]
    near = [(session.reference(each), each) for each in (*reversed(same), *rest)]
    choices += [Choice(name, each.at or each.room) for name, each in near]
    now = outlet.fed_from
    offered = now or (near[0][0] if same else PANEL)
    return Prompt(
        FIELD + "fed_from",
        "What feeds it?",
        "pick",
        tuple(choices),
        "The outlet next to it on the way to the panel. Press ? where that is not known.",
        offered,
        YOUR_ANSWER if now else OFFERED,
    )


def _choices(labels: dict[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(value, label) for value, label in labels.items())


def circuit_choices(
    record: Record, feeds: Panel | None = None, unit: str = ""
) -> tuple[Choice, ...]:
    """Every circuit (that can feed a panel), by its reference, with what it serves.

    Those of a unit come first where one is named.
    """
    session = record.session
    near = sorted(session.circuits, key=lambda each: session.unit_of(each) != unit)
    return tuple(
        Choice(session.reference(each), each.serves)
        for each in (near if unit else session.circuits)
        if feeds is None or not starts_below(session, each, feeds)
    )


def outlet_before(record: Record, outlet: Outlet) -> Outlet | None:
    """The outlet entered just before one; None for the first."""
    before: Outlet | None = None
    for each in record.session.outlets:
        if each is outlet:
            return before
        before = each
    return None


def set_field(record: Record, subject: Subject, name: str, value: AnswerValue | None) -> None:
    """Put a field, and save; None means that it cannot be told."""
    text = "" if value is None else str(value).strip()
    match subject, name:
        case Outlet(), "state":
            kept = [limit for limit in subject.limits if limit.what not in _STATES]
            # Why it was not tested stays told where only the kind of limit is another one.
            fresh = [] if text in (TESTED, "") else [Limit(what=text, reason=_reason(subject))]
            subject.limits = fresh + kept
            if text in UNSEEN:
                _leave_unseen(subject)
        case Outlet(), "reason" | "in_words":
            _put_reason(subject, text)
        case Outlet(), "fed_from":
            if is_fed_through(record.session, text, subject):
                named = record.session.reference(subject)
                raise Refused(f"{text} is fed from {named}, so it cannot feed it")
            subject.fed_from = text
            subject.side = "through"
            subject.order_known_by = "unknown"
        case Panel(), "fed_from":
            feeder = record.session.circuit(text)
            if feeder is not None and starts_below(record.session, feeder, subject):
                named = record.session.reference(subject)
                raise Refused(f"{text} starts at {named} or below, so it cannot feed it")
            subject.fed_from = text
        case ((Panel() | Room()), "unit"):
            _put_in(record, subject, "" if text == COMMON else text)
        case Circuit(), "shares_neutral_with":
            _share_neutral(record, subject, text)
        case _, "photos":
            try:
                add_photo(record, subject, text)
            except photos.Refused as refused:
                raise Refused(str(refused)) from None
        case Outlet(), "circuit" if text:
            _move(record, subject, text)
        case Outlet(), "side" | "order_known_by":
            setattr(subject, name, text or ("through" if name == "side" else "unknown"))
        case _:
            if name in ("circuit", "name") and not text:
                raise Refused("this cannot be left empty")
            setattr(subject, name, text)
    record.change(subject, FIELD + name)


def _put_reason(outlet: Outlet, text: str) -> None:
    if not outlet.limits:
        raise Refused("it counts as reached and tested; Ctrl+L says first that it was not")
    if text == OTHER_REASON and _own_words(outlet):
        # They stay until others are typed.
        return
    reason = text or _NO_REASON
    outlet.limits = [outlet.limits[0].model_copy(update={"reason": reason}), *outlet.limits[1:]]


def _put_in(record: Record, subject: Panel | Room, unit: str) -> None:
    """Put a panel or a room into another unit; refused where an id is taken there already."""
    session = record.session
    moved: list[Subject] = [subject]
    if isinstance(subject, Room):
        moved += record.house.children(subject, "outlet")
    for each in moved:
        there = (other for other in session.all_of(each.of) if session.unit_of(other) == unit)
        if any(other.id == each.id and other is not each for other in there):
            raise Refused(f"there is a {each.of} {each.id} in that unit already")
    with names_kept(session):
        subject.unit = unit


def _move(record: Record, outlet: Outlet, circuit: str) -> None:
    """Put an outlet on another circuit: what was copied from one of the old circuit goes."""
    session = record.session
    if not is_same_circuit(session, outlet.circuit, circuit):
        old = [word for word in outlet.carried if record.question(word).carry == "circuit"]
        outlet.answers = {w: told for w, told in outlet.answers.items() if w not in old}
        outlet.cannot_tell = [word for word in outlet.cannot_tell if word not in old]
        outlet.carried = [word for word in outlet.carried if word not in old]
        feeder = session.outlet(outlet.fed_from)
        if feeder is not None and not is_same_circuit(session, feeder.circuit, circuit):
            outlet.fed_from, outlet.side, outlet.order_known_by = "", "through", "unknown"
    outlet.circuit = circuit


def _leave_unseen(outlet: Outlet) -> None:
    """What was copied to an outlet that nobody saw is not known, but for what it is taken to be."""
    gone = [word for word in outlet.carried if word != "point"]
    outlet.answers = {w: told for w, told in outlet.answers.items() if w not in gone}
    outlet.cannot_tell = sorted({*outlet.cannot_tell, *gone})
    outlet.carried = [word for word in outlet.carried if word not in gone]


def _share_neutral(record: Record, circuit: Circuit, partner: str) -> None:
    other = record.session.circuit(partner) if partner else None
    circuit.shares_neutral_with = partner
    if other is not None and not other.shares_neutral_with:
        other.shares_neutral_with = record.session.reference(circuit)
