"""How each thing about the shape of the record is asked: the prompt of a field."""

from __future__ import annotations

from walkthrough.app.feeds import as_offered, is_same_circuit, starts_below
from walkthrough.app.fields import FIELD, NOTE, UNIT, Refused
from walkthrough.app.not_tested import (
    OR_REASON,
    OTHER_REASON,
    REASONS,
    STATES,
    TESTED,
    own_words,
    reason_of,
    reasons,
)
from walkthrough.app.photos import PHOTOS, photo_prompt
from walkthrough.app.prompt import AS_BEFORE, OFFERED, YOUR_ANSWER, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.report.text import clean
from walkthrough.survey.model import COMMON, PANEL, Circuit, Outlet, Panel, Room, Subject, Unit

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
                if_missing="press ?, enter that feeder as a circuit of its panel, and tell it "
                "then with F2 at this one",
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
            return Prompt(id, ask, "choice", _choices(STATES), _HELP[name], state, OFFERED)
        case "reason":
            return _reason_prompt(outlet)
        case _:
            words = own_words(outlet)
            return _text("in_words", "Which other reason?", words, "in_words", must=True)


def _reason_prompt(outlet: Outlet) -> Prompt:
    reason, words = reason_of(outlet), own_words(outlet)
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
