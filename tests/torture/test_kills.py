"""The real program, killed at random instants while one types: nothing confirmed is lost.

An answer is confirmed once the question after it was painted. The number of kills and the seed
come from the environment: TORTURE_KILLS (500) and TORTURE_SEED (any).
"""

from __future__ import annotations

import datetime
import difflib
import json
import os
import random
import shutil
import sys
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.app.terminal import SECONDS, Terminal
from tests.torture.twin import State, begun, is_right, reopened, told
from walkthrough.survey import store
from walkthrough.survey.history import beside

pytestmark = [
    pytest.mark.torture,
    pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal and SIGKILL"),
]

KILLS = int(os.environ.get("TORTURE_KILLS", "500"))
SEED = int(os.environ.get("TORTURE_SEED") or random.SystemRandom().randrange(10**6))
AT_ONCE = 2
KILLS_PER_HOUSE = 12
RULESETS = ("practice", "nec-2020")
# Nobody walks tomorrow: so no change falls on a day after the visit, even around midnight.
DAY = datetime.date.today() + datetime.timedelta(days=1)
LONGEST_START, LONGEST_WALK = 2.0, 1.5
"""Seconds within which the instant of a kill lies, in the start and in the walk."""


class House:
    """One record that is entered, killed and gone on with, over and over."""

    def __init__(self, folder: Path, number: int) -> None:
        self.number = number
        self.chance = random.Random(f"{SEED}/{number}")
        self.ruleset = RULESETS[number % len(RULESETS)]
        self.folder = folder / f"house-{number}"
        self.folder.mkdir()
        self.record = self.folder / "house.toml"
        self.twins = folder / f"twins-{number}"
        self.counts: Counter[str] = Counter()
        self.instant = ""
        self.failure = ""
        self.typed: list[tuple[str, str]] = []
        self.killed = 0
        self.twin = begun(self._copy(0), "House", self.ruleset, DAY)
        self.confirmed = 0

    def torture(self, kills: int) -> None:
        """Kill so often, then leave in good order; the first thing that is wrong ends it."""
        kill = 0
        try:
            for kill in range(1, kills + 1):
                self._enter_and_kill()
                self._look(kill)
            self._leave()
        except AssertionError as error:
            told = f"seed {SEED}, house {self.number} ({self.ruleset}), kill {kill}"
            self.failure = f"{told}, {self.instant}, typed {self.typed}: {error}"

    def _copy(self, kill: int) -> Path:
        here = self.twins / str(kill)
        here.mkdir(parents=True)
        return here / "house.toml"

    def _start(self) -> Terminal:
        if self.record.exists() and self.killed:
            # As a kill in the midst of writing leaves it.
            half = self.record.with_name(f".{self.record.name}.{self.killed}.new.tmp")
            half.write_bytes(self.record.read_bytes()[:-20])
        return Terminal("walk", str(self.record), "--ruleset", self.ruleset)

    def _enter_and_kill(self) -> None:
        self.confirmed = len(self.twin.states) - 1
        with self._start() as terminal:
            began = time.monotonic()
            in_start = self.chance.random() < 0.2
            until = began + (self.chance.uniform(0, LONGEST_START) if in_start else SECONDS)
            arrived = self._arrive(terminal, until)
            walked = time.monotonic()
            if arrived:
                self.counts["starts"] += 1
                self._assert_swept(terminal.program.pid)
            else:
                told = f"exit code {terminal.program.poll()}, painted: {terminal.painted[-2000:]}"
                assert in_start, f"it did not come to '{self.twin.ask}': {told}"
            if not in_start:
                until = walked + self.chance.uniform(0, LONGEST_WALK)
            self._walk(terminal, until, arrived)
            terminal.kill()
            self._take_what_was_painted(terminal)
            seconds = time.monotonic() - (walked if arrived else began)
            self.instant = f"{seconds * 1000:.0f} ms after {'it was ready' if arrived else 'start'}"
            self.counts["kills"] += 1
            self.counts["kills while it starts"] += not arrived
            self.killed = terminal.program.pid

    def _arrive(self, terminal: Terminal, until: float) -> bool:
        """At the first question of the walk; False when there was no time for it."""
        if not self.record.exists():
            for asked, keys in (
                ("What is this walk called?", "House\r"),
                ("By which others", "\r"),
                ("Day of the visit?", f"{DAY}\r"),
            ):
                if not terminal.saw(asked, until=until):
                    return False
                terminal.type(keys)
        return terminal.saw(self.twin.ask, until=until)

    def _walk(self, terminal: Terminal, until: float, arrived: bool) -> None:
        """Answer as fast as questions are painted, with a rest now and then."""
        self._waits_for = ""
        self.typed = []
        asked = [self.twin.ask]
        while arrived and time.monotonic() < until:
            if self.chance.random() < 0.04:
                # Long enough for the findings to be judged and written.
                terminal.watch(min(until, time.monotonic() + self.chance.uniform(0.2, 0.6)))
            keys = ""
            # Mostly one answer to a question that is there; at times several typed ahead.
            for _ in range(self.chance.choice((1, 1, 1, 4))):
                keys += self.twin.step(self.chance)
                asked.append(self.twin.ask)
                self.counts["answers typed"] += 1
            terminal.type(keys)
            self.typed.append((keys, asked[-1]))
            if asked[-1] in asked[:-1]:
                # Nothing tells the two apart on the screen: a later one will confirm both.
                continue
            self._waits_for = self.twin.ask
            if not terminal.saw(self._waits_for, until=until):
                left = until - time.monotonic()
                assert left <= 0, f"it never came to '{self._waits_for}'"
                break
            self._confirm()
            asked = [self.twin.ask]

    def _take_what_was_painted(self, terminal: Terminal) -> None:
        if self._waits_for and terminal.has_painted(self._waits_for):
            self._confirm()

    def _confirm(self) -> None:
        self._waits_for = ""
        self.confirmed = len(self.twin.states) - 1

    def _look(self, kill: int) -> None:
        """The record holds what was confirmed, is whole, and is gone on with where it ended."""
        if not self.record.exists():
            assert len(self.twin.states) == 1, "the record is gone"
            return
        half_written = self.folder.glob(f".*.{self.killed}.*.tmp")
        self.counts["kills in the midst of a save"] += any(half_written)
        store.load(self.record)
        kept = store.previous(self.record)
        if kept.exists():
            store.load(kept)
        found = told(self.record)
        allowed = self.twin.states[self.confirmed :]
        fits = [state for state in allowed if state.text == found]
        assert fits, f"the record is none of {len(allowed)} states: {_differs(allowed, found)}"
        self.counts["answers confirmed"] += self.confirmed
        self.counts["answers saved, not yet confirmed"] += fits[-1] is not allowed[0]
        copy = self._copy(kill)
        shutil.copy(self.record, copy)
        if beside(self.record).exists():
            shutil.copy(beside(self.record), beside(copy))
        self.twin = reopened(copy, DAY)
        steps = self.twin.record.history.place
        # An answer may leave the text as it was: then the steps tell whether it was still noted.
        ways = [state.at for state in fits if state.steps == steps]
        assert ways, f"{steps} steps can be taken back"
        if None not in ways:
            now = f"{self.twin.record.key(self.twin.walk.focus)} {self.twin.walk.prompt.id}"
            assert any(is_right(self.twin, at) for at in ways if at), f"at {now}, left at {ways}"
            self.counts["resumed where it was left"] += 1

    def _assert_swept(self, running: int) -> None:
        left = [each.name for each in self.folder.glob(".*.tmp")]
        stale = [each for each in left if f".{running}." not in each]
        assert not stale, f"not swept: {stale}"
        sign = json.loads(self.record.with_name(self.record.name + ".lock").read_text())
        assert sign["pid"] == running

    def _leave(self) -> None:
        """Quit as a person does: nothing but the record and what belongs to it stays."""
        with self._start() as terminal:
            terminal.wait_for(self.twin.ask)
            terminal.type("\x11")
            assert terminal.ended() == 0
        names = {each.name for each in self.folder.iterdir()}
        mine = self.record.name
        assert names <= {mine, f"{mine}.history", f"{mine}.previous"}
        assert told(self.record) == self.twin.states[-1].text


def test_killed_at_any_instant(
    folders: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert folders.parent == tmp_path
    with capsys.disabled():
        print(f"\nseed {SEED}, {KILLS} kills")
    began = time.monotonic()
    shares = [min(KILLS_PER_HOUSE, KILLS - at) for at in range(0, KILLS, KILLS_PER_HOUSE)]

    def tortured(number: int) -> House:
        house = House(tmp_path, number)
        house.torture(shares[number])
        return house

    with ThreadPoolExecutor(AT_ONCE) as pool:
        houses = list(pool.map(tortured, range(len(shares))))
    failures = [each.failure for each in houses if each.failure]
    counts = sum((each.counts for each in houses), Counter({"houses": len(houses)}))
    counts["failures"] = len(failures)
    with capsys.disabled():
        for name, count in counts.items():
            print(f"{name:36} {count:6}")
        print(f"{'minutes':36} {(time.monotonic() - began) / 60:6.1f}")
    assert not failures, "\n\n".join(failures)


def _differs(allowed: Sequence[State], found: str) -> str:
    lines = [
        difflib.unified_diff(each.text.split("\n"), found.split("\n"), n=2) for each in allowed
    ]
    return "\n\n".join("\n".join(each) for each in lines)
