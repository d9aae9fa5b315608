"""What a plan does, as data, and a record on which it has been done."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from walkthrough.remedy.actions import Action
from walkthrough.rulebook.declarations import Question
from walkthrough.survey.model import (
    PANEL,
    AnswerValue,
    Circuit,
    Outlet,
    Session,
    Side,
    Subject,
    Trip,
)

Changes = Mapping[str, AnswerValue | None]
"""What is recorded for a question afterwards; None where nobody can still say."""


Kind = TypeVar("Kind", bound=Subject)


@dataclass(frozen=True)
class Done:
    """What is done at one place: the actions in their order, and what they change there."""

    of: str
    at: str
    actions: tuple[Action, ...]
    changes: Changes

    @property
    def removed(self) -> bool:
        return any(each.declared.removes for each in self.actions)

    @property
    def wires(self) -> bool:
        """Whether the wires at the device can be put on LINE or LOAD."""
        return any(each.declared.wires for each in self.actions)

    @property
    def tested(self) -> bool:
        return any(each.declared.tested for each in self.actions)


@dataclass(frozen=True)
class Work:
    """Everything that is done on one circuit, on circuits that share a neutral, or at a panel.

    `shared` are actions done once for all circuits in `done`. `on_load` holds, for each device
    whose wires are put anew, the outlets that hang on its LOAD; all others hang on its LINE.
    """

    done: tuple[Done, ...] = ()
    shared: tuple[Action, ...] = ()
    on_load: frozenset[tuple[str, str]] = frozenset()

    @property
    def items(self) -> tuple[tuple[Done, Action], ...]:
        """Every action once, with the first place where it is done."""
        found: dict[tuple[str, str], tuple[Done, Action]] = {}
        for done in self.done:
            for action in done.actions:
                key = ("", action.id) if action in self.shared else (done.at, action.id)
                found.setdefault(key, (done, action))
        return tuple(found.values())


def around(work: Work) -> tuple[tuple[str, AnswerValue | None], ...]:
    """What the work changes at the panel, as it is met at the outlets."""
    return tuple(
        item for each in work.done if each.of == "circuit" for item in each.changes.items()
    )


def applied(session: Session, works: Iterable[Work], questions: Mapping[str, Question]) -> Session:
    """A copy of a record on which the work has been done, and tested where it ends with a TEST.

    A TEST that was made before at a place that is worked on tells nothing any more.
    """
    every = [(work, done) for work in works for done in work.done]
    changes: dict[tuple[str, str], dict[str, AnswerValue | None]] = {}
    for _, done in every:
        changes.setdefault((done.of, done.at), {}).update(done.changes)
    tested = {done.at for _, done in every if done.tested}
    on_load = {pair for work, _ in every for pair in work.on_load}
    protective = {done.at for _, done in every if done.changes.get("test_result") is not None}
    wired = {done.at for _, done in every if done.of == "outlet" and done.wires}
    gone = {done.at for _, done in every if done.removed}
    called = session.references(session.outlets)
    feeds = {name: (each.fed_from, each.side) for name, each in called.items()}

    def outlet_after(name: str, outlet: Outlet) -> Outlet:
        after = changed(outlet, changes.get(("outlet", name), {}), questions)
        fed_from, side = after.fed_from, after.side
        if fed_from in wired:
            elsewhere: Side = "line" if fed_from in protective else "through"
            side = "load" if (fed_from, name) in on_load else elsewhere
        seen: set[str] = set()
        while fed_from in gone and fed_from not in seen:
            # What hung on a receptacle that was taken out is spliced through to what fed it.
            seen.add(fed_from)
            fed_from, side = feeds[fed_from]
        known = after.order_known_by
        if name in tested and known != "unknown":
            known = "observed"
        update = {"fed_from": fed_from, "side": side, "order_known_by": known}
        return after.model_copy(update=update)

    def circuit_after(circuit: Circuit) -> Circuit:
        return changed(circuit, changes.get(("circuit", session.reference(circuit)), {}), questions)

    outlets = {name: outlet_after(name, each) for name, each in called.items() if name not in gone}
    touched = wired | {done.at for _, done in every if done.of == "circuit" and done.tested}
    trips = [each for each in session.trips if each.at not in touched and each.at not in gone]
    trips += [
        Trip(at=done.at, action="test button", went_dead=_behind(done.at, outlets))
        for _, done in every
        if done.at in protective
    ]
    circuits = [circuit_after(each) for each in session.circuits]
    return session.model_copy(
        update={
            "outlets": list(outlets.values()),
            "circuits": circuits,
            "trips": trips,
            "findings": [],
        }
    )


def _behind(device: str, outlets: Mapping[str, Outlet]) -> list[str]:
    """The device and all that hangs on its LOAD, as its TEST shows when the work is done."""
    fed: dict[str, list[str]] = {}
    for name, each in outlets.items():
        if each.fed_from != PANEL and each.order_known_by != "unknown":
            fed.setdefault(each.fed_from, []).append(name)
    found = {device: None}
    open_ends = [each for each in fed.get(device, ()) if outlets[each].side == "load"]
    while open_ends:
        here = open_ends.pop()
        if here not in found:
            found[here] = None
            open_ends += fed.get(here, ())
    return list(found)


def changed(subject: Kind, changes: Changes, questions: Mapping[str, Question]) -> Kind:
    """A copy of a subject with other answers; a reading stays among the readings."""
    if not changes:
        return subject
    kept = {word: value for word, value in subject.answers.items() if word not in changes}
    read = {word: value for word, value in subject.readings.items() if word not in changes}
    for word, value in changes.items():
        if value is not None:
            (read if questions[word].reading else kept)[word] = value
    tell = [word for word in subject.cannot_tell if word not in changes]
    return subject.model_copy(update={"answers": kept, "readings": read, "cannot_tell": tell})
