"""What the planner assumes of places that were not reached, and tells that it does."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from walkthrough.judge.house import House
from walkthrough.remedy.actions import Change
from walkthrough.remedy.work import changed
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import AnswerValue, Outlet, Session


@dataclass(frozen=True)
class Assumption:
    """An answer taken over from the other outlets of a circuit, which all agree."""

    outlet: str
    word: str
    value: AnswerValue


def assumed(
    session: Session,
    book: Rulebook,
    carried: Collection[str],
    missing: Mapping[str, AnswerValue],
    implied: Sequence[Change] = (),
) -> tuple[Session, tuple[Assumption, ...]]:
    """A copy of a record with those assumptions, and the list of them.

    Only an outlet with a limit ("not reached", "seen only") gets any: elsewhere a missing answer
    was left out and is to be asked for. `missing` is what every outlet is taken to lack of which
    nothing is recorded, `implied` what follows from other answers; the list leaves both out.
    """
    found_as = House(session, book)
    found: list[Assumption] = []
    outlets: list[Outlet] = []
    for outlet in session.outlets:
        others = [
            each
            for each in session.outlets
            if each.circuit == outlet.circuit
            and each is not outlet
            and each.answer("point") == outlet.answer("point")
        ]
        taken: dict[str, AnswerValue] = {}
        for word in book.questions:
            if not outlet.limits or word not in carried or outlet.answer(word) is not None:
                continue
            values = [value for each in others if (value := each.answer(word)) is not None]
            if values and all(value == values[0] for value in values):
                taken[word] = values[0]
        found += [
            Assumption(session.reference(outlet), word, value) for word, value in taken.items()
        ]
        lacks = {word: each for word, each in missing.items() if outlet.answer(word) is None}
        follows = {
            word: value
            for each in implied
            if each.condition.truth(found_as.situation(outlet)) is True
            for word, value in each.sets.items()
            if outlet.answer(word) is None
        }
        outlets.append(changed(outlet, {**lacks, **follows, **taken}, book.questions))
    return session.model_copy(update={"outlets": outlets}), tuple(found)
