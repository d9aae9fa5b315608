"""What can come after a subject is finished: the next of its kind, another room, a list."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from walkthrough.app.add import add_outlet, alike_in
from walkthrough.app.asks import asks_under
from walkthrough.app.describe import beginning, field_in_words, name_of, question_label
from walkthrough.app.fields import FIELD, Refused
from walkthrough.app.new_prompts import LIKE, NEW, new_prompt
from walkthrough.app.next_ids import next_outlet_id, room_near
from walkthrough.app.one_key import MOST_KEYS
from walkthrough.app.prompt import OFFERED, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.report.text import clean
from walkthrough.survey.model import AnswerValue, Circuit, Outlet, Panel, Room, Subject

MENU = "menu:"
"""Prompts that choose the way have ids that begin so."""

GO = "go:"
ALIKE = "alike"
ALIKE_TESTED = "alike and tested"
ALIKE_BUT = "alike but"
CHANGE = "change"
CARRIED = "carried"
DIFFERS = "differs"
TELL = "tell:"
_FIELDS = {"outlet": ("circuit", "at", "fed_from", "state"), "room": ("name",)}
"""What is told of the shape of the record where answers were copied; it may differ as well."""
FINDINGS = "findings"
OPEN = "open"


def onward(record: Record, done: Subject, is_fresh: bool) -> Prompt | Subject:
    """What comes after a finished subject: a prompt, or a subject to go to at once.

    Enter goes on only where it was finished just now: who only looks in adds nothing by mistake.
    """
    session = record.session
    if done.of == "dwelling" and not session.units and not session.outlets:
        if not session.panels:
            return new_prompt(record, "panel", done)
        if not session.circuits:
            return session.panels[0]
        if not session.rooms:
            return session.circuits[-1]
    choices = [
        *_ways(record, done),
        Choice(OPEN, "What is still open elsewhere"),
        Choice(FINDINGS, "See the deficiencies"),
    ]
    return Prompt(
        MENU + done.of,
        _what_next(record, done),
        "choice",
        tuple(choices),
        default=choices[0].value if is_fresh else None,
        default_from=OFFERED if is_fresh else "",
        can_skip=False,
        is_way=True,
    )


def _what_next(record: Record, done: Subject) -> str:
    name = _name(record, done)
    if done.of != "dwelling" or not record.session.units:
        return f"{name} is complete. What next?"
    # Of a unit hardly anything is asked: what matters is in it.
    session = record.session
    within = [*(each.unit for each in session.panels), *(each.unit for each in session.rooms)]
    if done is session.dwelling or session.unit_of(done) in within:
        return f"{name}: what next?"
    return f"Nothing of {name} is entered yet. What first?"


def _presumed(record: Record, subject: Subject) -> Iterator[tuple[str, AnswerValue]]:
    """What holds here because nobody said otherwise, and makes sense here.

    What is seen at one point only, such as in an opened box, comes first.
    """
    facts = record.house.situation(subject)
    every = record.book.questions.items()
    for word, question in sorted(every, key=lambda each: not each[1].here_only):
        told = word in subject.cannot_tell or subject.answer(word) is not None
        if subject.of not in question.of or question.presume is None or told:
            continue
        sense = record.book.asked_when.get(word)
        if sense is None or sense.truth(facts):
            yield word, question.presume


def carried_prompt(record: Record, subject: Subject) -> Prompt:
    """One key for each answer that nobody looked at here, to give it anew.

    Those that were copied come first, then those that are presumed.
    """
    copied = {word: record.spoken(word, subject.answers.get(word)) for word in subject.carried}
    choices = [
        Choice(
            TELL + FIELD + name,
            f"{beginning(question_label(name, {}))}: {field_in_words(subject, name) or '-'}",
        )
        for name in _FIELDS.get(subject.of, ())
    ]
    choices += [
        Choice(TELL + word, f"{beginning(question_label(word, record.questions))}: {copied[word]}")
        for word in record.questions
        if word in copied
    ]
    choices += [
        Choice(
            TELL + word,
            f"{beginning(question_label(word, record.questions))}: {record.spoken(word, presumed)}",
        )
        for word, presumed in _presumed(record, subject)
    ]
    return Prompt(
        MENU + CARRIED,
        f"What is different at {_name(record, subject)}?",
        "choice",
        (*choices[: MOST_KEYS - 1], Choice(CHANGE, "Something else")),
        can_skip=False,
        is_way=True,
    )


def choose(
    record: Record, done: Subject, way: str, is_open: Callable[[Subject], bool]
) -> tuple[Subject, str]:
    """Go the chosen way: the subject to go to, and the prompt to put there ("" for the next)."""
    if way == OPEN:
        # Looked for only when asked: over a large record it takes a moment.
        for subject in record.house.subjects.values():
            if subject is not done and is_open(subject):
                return subject, ""
        raise Refused("nothing else is open")
    if way in (ALIKE, ALIKE_BUT, ALIKE_TESTED) and (like := _pattern(record, done)) is not None:
        return _repeat(record, like, room_near(record, done), way)
    if way == DIFFERS:
        return done, MENU + CARRIED
    if way.startswith(TELL):
        return done, way.removeprefix(TELL)
    if way == "next":
        room = room_near(record, done)
        return add_outlet(record, room, next_outlet_id(record, room)), ""
    if way.startswith(GO):
        of, _, id = way.removeprefix(GO).partition(":")
        return record.house.subjects[of, id], ""
    if way.startswith(NEW):
        # Looked at beforehand, so that what cannot be added is refused here.
        new_prompt(record, way.removeprefix(NEW), done)
        return done, way
    raise Refused("choose one of these")


def _ways(record: Record, done: Subject) -> list[Choice]:
    session = record.session
    circuit = Choice(NEW + "circuit", "Next circuit of this panel")
    room = Choice(NEW + "room", "Another room or area")
    if done.of == "dwelling" and session.units:
        return _ways_of_unit(record, done)
    change = Choice(CHANGE, "Change an answer here")
    if done.carried:
        change = Choice(DIFFERS, "Something is different here: change it")
    another = Choice(NEW + "panel", "Another panel, such as a sub-panel")
    if isinstance(done, Panel):
        return [circuit, another, *_to_rooms(record, done), change]
    if isinstance(done, Circuit):
        return [circuit, *_to_rooms(record, done), change, another]
    if isinstance(done, Room | Outlet) and session.circuits:
        here = room_near(record, done)
        offered = next_outlet_id(record, here)
        like = _pattern(record, done)
        return [
            *_unread(record, done, here),
            Choice("next", f"Next outlet in {here.name}: {offered}"),
            *(_repeats(record, like, here, offered) if like else ()),
            change,
            *_place(done),
            *_for_the_whole(record, done),
            room,
            *([Choice(NEW + LIKE, "Like another outlet, but for readings")] if like else []),
            Choice(NEW + "outlet", "Next outlet, with an id of my own"),
            *_other_units(record),
        ]
    return [room, change]


def _unread(record: Record, done: Subject, here: Room) -> Iterator[Choice]:
    """The next outlet of the room that was entered like another one and waits for its test."""
    outlets = record.session.outlets
    at = next((number for number, each in enumerate(outlets) if each is done), -1)
    for each in outlets[at + 1 :]:
        is_copy = bool(each.carried) and not each.readings and not each.limits
        if is_copy and record.session.room(each.room) is here and any(asks_under(record, each)):
            name = record.session.reference(each)
            yield Choice(
                f"{GO}outlet:{name}", f"Go on to {name}, entered like another: not read yet"
            )
            return


def _repeats(record: Record, like: Outlet, here: Room, offered: str) -> Iterator[Choice]:
    """The ways to add one more like an outlet: all but readings, with its reading, with a change.

    In another room its circuit is put first, so nothing else can be told with the same key.
    """
    alike = f"{offered} like {record.session.reference(like)}"
    yield Choice(ALIKE, f"The same again: {alike}, but for readings")
    if record.session.room(like.room) is not here:
        return
    if (reading := _only_reading(record, like)) is not None:
        word, value = reading
        shows = f"{beginning(question_label(word, record.questions))}: {record.spoken(word, value)}"
        yield Choice(ALIKE_TESTED, f"The same again, and I tested it just now. {shows}", "s")
    yield Choice(ALIKE_BUT, "The same again, but one thing differs", "d")


def _only_reading(record: Record, like: Outlet) -> tuple[str, AnswerValue] | None:
    """What an instrument shows at an outlet, where that is one choice; else each is put."""
    if len(like.readings) != 1 or like.limits:
        return None
    ((word, value),) = like.readings.items()
    return (word, value) if record.question(word).kind == "choice" else None


def _repeat(record: Record, like: Outlet, here: Room, way: str) -> tuple[Subject, str]:
    reading = _only_reading(record, like)
    outlet, prompt = alike_in(record, like, here)
    if way == ALIKE_TESTED and reading is not None:
        record.answer(outlet, *reading)
    return outlet, MENU + CARRIED if way == ALIKE_BUT else prompt


def _for_the_whole(record: Record, done: Subject) -> Iterator[Choice]:
    """What was told once for the whole dwelling, and may be another thing at an outlet."""
    if not isinstance(done, Outlet):
        return
    facts = record.house.situation(done)
    for word, question in record.book.questions.items():
        is_wide = question.of[0] == done.of and question.of[-1] == "dwelling"
        told = record.house.recorded(done, word) if is_wide else None
        sense = record.book.asked_when.get(word)
        if told is None or done.answer(word) is not None or (sense and not sense.truth(facts)):
            continue
        label = f"{beginning(question_label(word, record.questions))}: {record.spoken(word, told)}"
        yield Choice(TELL + word, f"Other than told for the whole dwelling ({label})", "t")
        return


def _place(done: Subject) -> Iterator[Choice]:
    """Where an outlet is that was entered like another one: it was not asked."""
    if isinstance(done, Outlet) and done.carried:
        told = clean(done.at) or "nothing told yet"
        yield Choice(TELL + FIELD + "at", f"Say where {done.id} is ({told})", "w")


def _pattern(record: Record, done: Subject) -> Outlet | None:
    """The outlet that "the same again" repeats: the one in hand, else the last that was tested.

    In a room it is the last one of that room, where there is one.
    """
    if isinstance(done, Outlet) and not done.limits:
        return done
    outlets = record.session.outlets
    tested = [each for each in outlets if not each.limits]
    room = room_near(record, done)
    here = [each for each in tested if record.session.room(each.room) is room]
    return next(reversed(here or tested or outlets), None)


def _ways_of_unit(record: Record, done: Subject) -> list[Choice]:
    """What belongs to a unit, or to the common areas: first what is not there yet."""
    session, unit = record.session, record.session.unit_of(done)
    panels = [each for each in session.panels if each.unit == unit]
    rooms = [each for each in session.rooms if each.unit == unit]
    if unit:
        panel = Choice(NEW + "panel", f"{'Another' if panels else 'Its first'} panel")
        room = Choice(NEW + "room", f"{'Another' if rooms else 'Its first'} room or area")
    else:
        panel = Choice(NEW + "panel", f"{'Another' if panels else 'A'} house panel")
        room = Choice(NEW + "room", f"{'Another' if rooms else 'A'} common area")
    ways = [room, panel] if panels or not unit else [panel, room]
    return [*ways, *_other_units(record)]


def _other_units(record: Record) -> list[Choice]:
    return [Choice(NEW + "unit", "Another dwelling unit")] if record.session.units else []


def _to_rooms(record: Record, done: Subject) -> list[Choice]:
    """To the rooms of the unit in hand."""
    session = record.session
    rooms = [each for each in session.rooms if each.unit == session.unit_of(done)]
    if not rooms:
        return [Choice(NEW + "room", "On to the rooms")]
    last = rooms[-1]
    return [Choice(f"{GO}room:{session.reference(last)}", f"Back to {last.name}")]


def _name(record: Record, subject: Subject) -> str:
    if isinstance(subject, Panel | Outlet):
        return f"{subject.of.capitalize()} {record.session.reference(subject)}"
    name = name_of(record, subject)
    if isinstance(subject, Room):
        return name
    return name[:1].upper() + name[1:]
