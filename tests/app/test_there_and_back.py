"""Whatever was entered: undo to the beginning and redo to the end give the same bytes."""

from __future__ import annotations

import os
import random
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.app.any_answer import TAB, keys_for, replied
from tests.app.conftest import DAY
from walkthrough.app.fields import FIELD, NOTE, Refused
from walkthrough.app.keys import Given
from walkthrough.app.new_prompts import LIMIT, NEW, SEVERAL
from walkthrough.app.record import Record
from walkthrough.app.remove import remove
from walkthrough.app.trips import add_trip, left_tripped, set_reset
from walkthrough.app.walk import Walk
from walkthrough.survey import store
from walkthrough.survey.canonical import as_toml
from walkthrough.survey.model import Outlet, Subject

FINDINGS = "\n[[finding]]\n"


class Visit:
    """A walk through one house; `told[n]` is the record after n steps, without its findings."""

    def __init__(self, path: Path, chance: random.Random) -> None:
        self.path = path
        self.chance = chance
        self.record = Record.begin(path, "House", "practice", DAY)
        self.walk = Walk(self.record)
        self.told = {0: self.on_disk()}

    def on_disk(self) -> str:
        """What was entered, as it stands in the file; findings are judged."""
        text = self.path.read_text(encoding="utf-8")
        at = text.find(FINDINGS)
        return text if at < 0 else text[:at]

    def does(self, what: str) -> None:
        """One of many things a person can do; a refusal changes nothing."""
        before = self.record.history.place
        try:
            WAYS[what](self)
        except Refused:
            assert self.record.history.place == before
        if what not in NO_STEPS and self.record.history.place > before:
            # Something new was entered: what had been taken back is gone.
            self.told = {n: text for n, text in self.told.items() if n <= before}
        self.looks()

    def goes(self, way: Callable[[Walk], bool]) -> None:
        """All the way back, or on; the program is left and started now and then."""
        while way(self.walk):
            self.looks()
            if self.chance.random() < 0.05:
                self.is_killed()

    def judged(self) -> bytes:
        """The whole file, with the findings."""
        # Who only looked in since the last start leaves the findings as they are.
        self.record.is_changed = True
        self.record.take_judgement(self.record.judged)
        return self.path.read_bytes()

    def looks(self) -> None:
        """The file holds what it held when as many steps were made."""
        now = self.on_disk()
        assert self.told.setdefault(self.record.history.place, now) == now

    def any_subject(self) -> Subject:
        return self.chance.choice(list(self.record.session.subjects()))

    def answers(self) -> None:
        prompt = self.walk.prompt
        reply = replied(prompt, keys_for(prompt, self.chance))
        if reply is not None:
            self.walk.reply(reply)

    def takes_all_as_before(self) -> None:
        reply = replied(self.walk.prompt, TAB)
        assert reply is not None
        self.walk.reply(reply)

    def looks_at_another(self) -> None:
        self.walk.jump(self.any_subject())

    def notes(self) -> None:
        self.walk.jump(self.walk.focus, FIELD + NOTE)
        self.walk.reply(Given(self.chance.choice(("rusty", "[[finding]]\\n", "", "'''"))))

    def adds_several(self) -> None:
        if isinstance(self.walk.focus, Outlet):
            self.walk.jump(self.walk.focus, NEW + SEVERAL)
            self.walk.reply(Given(self.chance.randint(1, 3)))

    def limits_the_survey(self) -> None:
        self.walk.jump(self.walk.focus, NEW + LIMIT)
        self.walk.reply(Given("smoke alarms: not operated"))

    def forgets(self) -> None:
        subject = self.any_subject()
        words = [*subject.answers, *subject.readings, *subject.cannot_tell]
        if words:
            self.record.forget(subject, self.chance.choice(words))
            self.walk.look_again()

    def removes(self) -> None:
        remove(self.record, self.any_subject())
        self.walk.look_again()

    def trips(self) -> None:
        session = self.record.session
        ids = [each.id for each in session.outlets]
        if not ids:
            return
        dead = self.chance.sample(ids, self.chance.randint(0, len(ids)))
        live = [each for each in ids if each not in dead]
        if self.chance.random() < 0.5:
            add_trip(self.record, self.walk.focus, ids[0], "test button", dead, live)
        else:
            at = session.reference(session.circuits[0])
            add_trip(self.record, self.walk.focus, at, "breaker off", dead, live)

    def resets(self) -> None:
        for at in left_tripped(self.record):
            set_reset(self.record, self.walk.focus, at)

    def closes_and_opens(self) -> None:
        assert self.record.close()
        self._open()

    def is_killed(self) -> None:
        # Nothing is written then; only the lock is taken over.
        self.record._held.release()
        self._open()

    def _open(self) -> None:
        place = self.record.history.place
        self.record = Record.open(self.path, today=DAY)
        self.walk = Walk(self.record)
        # Equal records can stand at several places: the last of them is as good.
        assert self.told[place] == self.on_disk()


WAYS: dict[str, Callable[[Visit], object]] = {
    "answer": Visit.answers,
    "as before": Visit.takes_all_as_before,
    "skip the rest": lambda visit: visit.walk.skip_rest(),
    "step back": lambda visit: visit.walk.step_back(),
    "another subject": Visit.looks_at_another,
    "note": Visit.notes,
    "several alike": Visit.adds_several,
    "limit": Visit.limits_the_survey,
    "forget": Visit.forgets,
    "remove": Visit.removes,
    "trip": Visit.trips,
    "reset": Visit.resets,
    "undo": lambda visit: visit.walk.undo(),
    "redo": lambda visit: visit.walk.redo(),
    "restart": Visit.closes_and_opens,
    "kill": Visit.is_killed,
}
NO_STEPS = ("undo", "redo", "restart", "kill")
TO_THE_FIRST_OUTLET = 30
"""So many answers lead to rooms and outlets: there is something to change then."""


SEEDS = st.integers(0, 2**32)
DOINGS = st.lists(st.sampled_from(list(WAYS)), max_size=40)
# The folders of the test are the same for all examples; each has a file of its own in them.
ONE_FOLDER = [HealthCheck.function_scoped_fixture]


@pytest.fixture(autouse=True)
def no_sync(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the bytes are does not hang on when they reach the disk, and many are written here."""
    monkeypatch.setattr(os, "fsync", lambda _: None)


def there_and_back(path: Path, seed: int, doings: list[str]) -> None:
    chance = random.Random(seed)
    visit = Visit(path, chance)
    begin = visit.on_disk()
    for what in ["answer"] * TO_THE_FIRST_OUTLET + doings:
        visit.does(what)
    # What was taken back last is made again first: the end is the end then.
    visit.goes(Walk.redo)
    end = visit.judged()
    for _ in range(2):
        visit.goes(Walk.undo)
        assert visit.on_disk() == begin
        visit.goes(Walk.redo)
        assert visit.judged() == end
    visit.record.close()


@settings(max_examples=15, deadline=None, suppress_health_check=ONE_FOLDER)
@given(SEEDS, DOINGS)
def test_back_to_the_beginning_and_on_to_the_end(
    tmp_path_factory: pytest.TempPathFactory, seed: int, doings: list[str]
) -> None:
    there_and_back(tmp_path_factory.mktemp("house") / "house.toml", seed, doings)


@pytest.mark.slow
@settings(max_examples=200, deadline=None, suppress_health_check=ONE_FOLDER)
@given(SEEDS, DOINGS)
def test_there_and_back_many_times(
    tmp_path_factory: pytest.TempPathFactory, seed: int, doings: list[str]
) -> None:
    there_and_back(tmp_path_factory.mktemp("house") / "house.toml", seed, doings)


def test_steps_can_be_taken_back_after_the_rules_have_changed(tmp_path: Path) -> None:
    """A new version of the rules judges the record anew; what was entered stays what it was."""
    path = tmp_path / "house.toml"
    record = Record.begin(path, "House", "practice", DAY)
    record.answer(record.session.dwelling, "year_built", 1974)
    record.close()
    for before in ("older", "oldest"):
        session = store.load(path)
        session.judged_by.fingerprint = f"sha256:{before}"
        path.write_text(as_toml(session), encoding="utf-8")
        record = Record.open(path, today=DAY)
        record.answer(record.session.dwelling, "year_built", 1980)
        record.close()
    record = Record.open(path, today=DAY)
    years = []
    while record.undo():
        years.append(record.session.dwelling.answer("year_built"))
    record.close()
    assert years == [1980, 1974, None]
    assert record.session.judged_by.fingerprint == record.book.fingerprint
