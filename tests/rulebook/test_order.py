"""A question stands behind the one that it follows, whichever file of the chain asks it."""

from __future__ import annotations

from walkthrough.rulebook.declarations import Question
from walkthrough.rulebook.load import load
from walkthrough.rulebook.order import in_order
from walkthrough.rulebook.situation import Situation


def asked(**after: str) -> dict[str, Question]:
    return {
        name: Question(of="outlet", ask="?", kind="yes-no", after=each)
        for name, each in after.items()
    }


def test_what_follows_stands_right_behind() -> None:
    questions = asked(test="", plate="", reset="test", power="reset", crack="plate", last="test")
    assert list(in_order(questions)) == ["test", "reset", "power", "last", "plate", "crack"]


def test_nothing_is_lost_in_a_circle() -> None:
    assert sorted(in_order(asked(a="b", b="a", c=""))) == ["a", "b", "c"]


def test_reset_is_asked_right_after_test() -> None:
    """But for what is asked only where TEST did nothing, and then RESET has no sense."""
    book = load("hud-rental")
    questions = list(book.questions)
    test, reset = (questions.index(word) for word in ("test_result", "reset_restores"))
    between = questions[test + 1 : reset]
    did_nothing = {"test_result": "nothing", "device": "gfci", "point": "receptacle"}
    assert book.asked_when["reset_restores"].truth(Situation(did_nothing, book.terms)) is False
    tripped = Situation({**did_nothing, "test_result": "trips"}, book.terms)
    assert [w for w in between if book.asked_when[w].truth(tripped) is not False] == []
