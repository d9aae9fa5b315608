"""A word typed in full is one answer, and none of its letters answers anything else."""

from __future__ import annotations

import math
from collections.abc import AsyncIterator, Iterator, Mapping
from pathlib import Path

import pytest

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from walkthrough.app.keys import Entry, Given
from walkthrough.app.layout import lay_out
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.prompt import Choice, Prompt, from_question
from walkthrough.app.record import Record
from walkthrough.rulebook.declarations import Question
from walkthrough.rulebook.load import load
from walkthrough.survey.model import AnswerValue, Circuit, Outlet, Panel, Room

RULESETS = Path(__file__).resolve().parents[2] / "rulesets"
MARK = Question(of=("outlet",), ask="Mark?", kind="yes-no")
FIELDS = (
    Prompt("field:at", "Where?", "text", can_be_empty=True),
    Prompt("day", "Day?", "date", default=DAY, default_from="today"),
    Prompt("field:circuit", "Circuit?", "pick", (Choice("C1", "north"), Choice("C2", "east"))),
    Prompt("field:circuit", "Circuit?", "pick", (Choice("C1", "north"),), default="C1"),
    Prompt("menu:outlet", "What next?", "choice",
           (Choice("next", "Next"), Choice("again", "The same again", "s"), Choice("e", "E", "e")),
           default="next", default_from="offered", is_way=True),
)  # fmt: skip


@pytest.fixture(scope="module")
def questions() -> Mapping[str, Question]:
    """All that the newest edition asks."""
    return load(RULESETS / "nec-2023.toml").questions


def spelled(entry: Entry, word: str) -> object:
    """What a word and Enter come to; an answer before Enter is the answer."""
    for letter in word:
        reply = entry.press(letter, letter)
        if not isinstance(reply, bool):
            return reply
    return entry.press("enter", None)


def _followers(questions: Mapping[str, Question]) -> Iterator[Prompt]:
    yield from FIELDS
    for word, question in questions.items():
        yield from_question(word, question)
        first = next(iter(question.choices), "")
        defaults: dict[str, AnswerValue] = {
            "choice": first, "tags": [first], "yes-no": True, "number": 1,
        }  # fmt: skip
        default = defaults.get(question.kind)
        yield from_question(word, question, default, "as before")


@pytest.mark.parametrize("word", ["yes", "Yes", "no", "NO", "none"])
def test_the_rest_of_yes_or_no_answers_nothing_whatever_comes_next(
    questions: Mapping[str, Question], word: str
) -> None:
    for prompt in _followers(questions):
        before = Entry(from_question("tr_mark", MARK))
        assert before.press(word[0], word[0]) == Given(word[0] in "yY")
        entry = Entry(prompt, before.rests)
        ticked = list(entry.ticked)
        assert spelled(entry, word[1:]) is True, prompt.id
        assert "that word was taken at its first letter" in entry.wrong
        assert (entry.typed, entry.ticked) == (prompt.typed, ticked)


def test_a_word_is_never_an_answer_before_its_enter(questions: Mapping[str, Question]) -> None:
    """Every name of every answer, typed in full where it begins with a letter."""
    seen = 0
    for word, question in questions.items():
        for value, label in question.choices.items():
            for name in (value, label):
                if not name[0].isalpha() or len(name) < 3:
                    continue
                entry = Entry(from_question(word, question))
                reply = spelled(entry, name)
                # A tick is looked at before Enter takes it.
                assert reply in (Given(value), True), (word, name)
                assert entry.ticked in ([], [value]), (word, name)
                seen += reply == Given(value)
    assert seen > 100


def test_what_follows_a_word_without_enter_is_the_next_answer(
    questions: Mapping[str, Question],
) -> None:
    """Who types "yes" and sees the next question there already goes on with that."""
    for rest in ("o", "one"):
        entry = Entry(from_question("mark", MARK), ("o", "one"))
        for letter in rest:
            assert entry.press(letter, letter) is True
        assert entry.press("y", "y") == Given(True)
    entry = Entry(from_question("feet_to_sink", questions["feet_to_sink"]), ("es",))
    assert spelled(entry, "es4") == Given(4)
    entry = Entry(from_question("device", questions["device"]), ("es",))
    assert spelled(entry, "es2") == Given("gfci")


def test_ticks_by_letters_are_no_word(questions: Mapping[str, Question]) -> None:
    serves = questions["serves"]
    entry = Entry(from_question("serves", serves))
    assert spelled(entry, "ab") == Given(list(serves.choices)[9:11])


def test_a_letter_that_means_nothing_does_nothing_later(
    questions: Mapping[str, Question],
) -> None:
    """It is no key and begins no name: it is told so, and the ticks on the screen are the answer."""
    serves = questions["serves"]
    by_key = dict(zip("123456789abcdefghijklmnpqrstu", serves.choices, strict=False))
    entry = Entry(from_question("serves", serves))
    for letter in "ny":
        assert entry.press(letter, letter) is True
    assert entry.wrong == "no answer has the key y"
    assert entry.ticked == [by_key["n"]]
    assert spelled(entry, "a") == Given(
        sorted([by_key["n"], by_key["a"]], key=[*by_key.values()].index)
    )
    # The same key again takes its tick back; what was dropped between is not remembered.
    entry = Entry(from_question("serves", serves))
    assert spelled(entry, "a" + "nyn") == Given([by_key["a"]])


def test_what_may_become_a_word_is_in_view_and_ticks_nothing_by_its_letters(
    questions: Mapping[str, Question],
) -> None:
    """Washer begins so: then w, a, s and h are letters, are shown as such, and are no keys."""
    entry = Entry(from_question("serves", questions["serves"]))
    for letter in "was":
        entry.press(letter, letter)
    assert (entry.ticked, entry.understood) == ([], "several answers are called so")
    entry.press("h", "h")
    assert entry.ticked == []
    told = "".join(span.text for line in lay_out(entry, 78, 18) for span in line)
    assert "> wash_  = Clothes washer" in told
    # A slip in it does not turn the rest into keys.
    for letter in "ger":
        entry.press(letter, letter)
    assert entry.ticked == []
    told = "".join(span.text for line in lay_out(entry, 78, 18) for span in line)
    assert "> washger_  no answer is called so" in told
    assert entry.press("enter", None) is True
    assert (entry.wrong, entry.ticked) == ("no answer is called 'washger'", [])
    assert spelled(entry, "2") == Given([list(questions["serves"].choices)[1]])


@pytest.fixture
async def bath(tmp_path: Path) -> AsyncIterator[Inspector]:
    """A receptacle of a bathroom of which all was told but what is near, at the distances."""
    record = Record.begin(tmp_path / "elm.toml", "Elm", "nec-2020", DAY)
    session = record.session
    session.dwelling.answers["year_built"] = 1990
    session.panels.append(Panel(id="P1", answers={"panel_kind": "breakers"}))
    session.circuits.append(Circuit(id="C1", panel="P1", serves="bath"))
    session.rooms.append(Room(id="bath", name="Bath", answers={"place": ["bathroom"]}))
    outlet = Outlet(id="B-1", room="bath", circuit="C1", answers={"point": "receptacle"})
    session.outlets.append(outlet)
    record.change(outlet, "")
    async with WalkthroughApp(record, today=DAY).run_test(size=(80, 24)) as pilot:
        found = Inspector(pilot)
        await found.settle()
        found.walking.go(outlet, "feet_to_sink")
        await found.settle()
        yield found


async def test_none_typed_in_full_is_one_answer(bath: Inspector) -> None:
    outlet = bath.at
    before = dict(outlet.answers)
    await bath.types("none", then="")
    assert "Feet from the nearest sink" in bath.sees
    assert "> none_  = No sink near" in bath.sees
    await bath.press("enter")
    assert "Feet from the nearest sink" not in bath.sees
    assert outlet.answers == before | {"feet_to_sink": math.inf}


async def test_n_and_enter_is_none_too(bath: Inspector) -> None:
    await bath.press("n")
    assert "> n_  = No sink near" in bath.sees
    await bath.press("enter")
    assert bath.record.session.outlets[0].answers["feet_to_sink"] == math.inf


async def test_none_is_taken_by_a_click_as_well(bath: Inspector) -> None:
    row = next(n for n, line in enumerate(bath.sees.splitlines()) if " n  No sink near" in line)
    await bath.pilot.click(offset=(6, row))
    await bath.settle()
    assert bath.record.session.outlets[0].answers["feet_to_sink"] == math.inf


async def test_yes_typed_in_full_leaves_the_next_question_open(bath: Inspector) -> None:
    outlet = bath.at
    bath.walking.go(outlet, "tr_mark")
    await bath.settle()
    before = dict(outlet.answers)
    await bath.types("yes")
    assert "! that word was taken at its first letter; this is the next question" in bath.reads
    assert outlet.answers == before | {"tr_mark": True}


async def test_no_typed_in_full_goes_no_way_on(record: Record) -> None:
    """The last question of a circuit: Enter would begin the next circuit."""
    record.session.panels.append(Panel(id="P1", answers={"panel_kind": "breakers"}))
    circuit = Circuit(id="C1", panel="P1", serves="rooms", answers={"breaker_amps": 15})
    record.session.circuits.append(circuit)
    record.change(circuit, "")
    async with WalkthroughApp(record, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        inspector.walking.go(circuit)
        await inspector.settle()
        assert "Does it share its neutral" in inspector.sees
        await inspector.types("no")
        assert "Circuit C1 is complete. What next?" in inspector.sees
        assert "that word was taken at its first letter" in inspector.reads
        assert [each.id for each in inspector.record.session.circuits] == ["C1"]
        # Enter alone goes on as ever.
        await inspector.press("enter")
        assert "Number of the next circuit?" in inspector.sees


async def test_a_place_is_ticked_by_its_name(bath: Inspector) -> None:
    bath.walking.go(bath.record.session.rooms[0], "place")
    await bath.settle()
    await bath.press("1", "2")
    await bath.types("laundry")
    assert "! 'laundry' ticks Laundry area: Enter accepts" in bath.sees
    await bath.press("enter")
    assert bath.record.session.rooms[0].answers["place"] == ["kitchen", "laundry"]


async def test_a_device_is_chosen_by_its_name(bath: Inspector) -> None:
    bath.walking.go(bath.at, "device")
    await bath.settle()
    await bath.types("plane")
    assert "! found 'plane'; expected one of the answers, by its key or its name" in bath.sees
    await bath.types("plain", then="")
    assert "> plain_  = Plain, no buttons" in bath.sees
    await bath.press("enter")
    assert bath.record.session.outlets[0].answers["device"] == "plain"
