"""Ten thousand hostile inputs through the program: each is used or refused, and nothing is harmed.

How many, from which seed and in how many processes come from the environment: TORTURE_INPUTS
(10000), TORTURE_SEED (any; it is printed) and TORTURE_AT_ONCE (2). One input again: `python -m tests.torture.test_fuzz SEED NUMBER`.
"""

from __future__ import annotations

import multiprocessing
import os
import random
import resource
import subprocess
import sys
import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests.torture.targets import tried_on
from tests.torture.watched import Tried
from tests.torture.yard import Yard, laid_out

pytestmark = [
    pytest.mark.torture,
    pytest.mark.skipif(sys.platform == "win32", reason="bounds memory and time as POSIX does"),
]

INPUTS = int(os.environ.get("TORTURE_INPUTS", "10000"))
SEED = int(os.environ.get("TORTURE_SEED") or random.SystemRandom().randrange(10**6))
AT_ONCE = int(os.environ.get("TORTURE_AT_ONCE", "2"))
SHARE = 100
MOST_MEMORY = 2 * 2**30
ONE_IN = 200
"""So many inputs are given to the real command as well."""


@dataclass
class Run:
    """What came of a number of inputs."""

    counts: Counter[str] = field(default_factory=Counter)
    slowest: tuple[float, str] = (0.0, "")
    peak_mb: float = 0.0
    wrong: list[str] = field(default_factory=list)

    def add(self, other: Run) -> None:
        self.counts += other.counts
        self.slowest = max(self.slowest, other.slowest)
        self.peak_mb = max(self.peak_mb, other.peak_mb)
        self.wrong += other.wrong

    def note(self, tried: Tried, name: str) -> None:
        self.counts[f"{tried.kind}: tried"] += 1
        self.counts[f"{tried.kind}: {'refused' if tried.refused else 'accepted'}"] += 1
        self.counts["commands"] += len(tried.told)
        self.slowest = max(self.slowest, (tried.seconds, f"{tried.kind}, {name}"))
        if tried.wrong:
            told = "\n".join(dict.fromkeys(tried.wrong))
            self.wrong.append(f"{name}, {tried.kind}: {told}\ninput: {tried.data[:300]!r}")

    def table(self) -> str:
        """The run as rows of a Markdown table."""
        rows = []
        kinds = sorted({name.partition(":")[0] for name in self.counts if ":" in name})
        for kind in kinds:
            tried, refused, accepted = (
                self.counts[f"{kind}: {each}"] for each in ("tried", "refused", "accepted")
            )
            rows.append(f"| {kind} | {tried} | {refused} | {accepted} |")
        total = [
            sum(self.counts[f"{k}: {e}"] for k in kinds) for e in ("tried", "refused", "accepted")
        ]
        rows.append(f"| together | {total[0]} | {total[1]} | {total[2]} |")
        return "\n".join(
            [
                "| input | tried | refused | accepted |",
                "|---|---|---|---|",
                *rows,
                "",
                f"{self.counts['commands']} commands, {self.counts['real']} of the inputs also through "
                f"the real program; {len(self.wrong)} inputs with a traceback, a file changed, a "
                "message without place or anything else that must not be.",
                f"Slowest {self.slowest[0]:.1f} s of processor time ({self.slowest[1]}); "
                f"peak memory {self.peak_mb:.0f} MB.",
            ]
        )


def tortured(seed: int, first: int, last: int) -> Run:
    """Inputs `first` to `last` (without it) of a run, in this process."""
    run = Run()
    with tempfile.TemporaryDirectory(prefix="walkthrough-") as folder:
        yard = laid_out(Path(folder).resolve() / "yard")
        for number in range(first, last):
            tried = tried_on(yard, number, seed)
            if number % ONE_IN == 0 and "\0" not in "".join(tried.told[0].arguments):
                tried.wrong += _really(tried, yard)
                run.counts["real"] += 1
            run.note(tried, f"seed {seed} input {number}")
    run.peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return run


def _really(tried: Tried, yard: Yard) -> list[str]:
    """The first command of an input once more, as a program of its own."""
    told = tried.told[0]
    places = {"record": "record", "cases": "cases", "prices": "prices", "firm": "firm"}
    if tried.kind != "command line" and tried.kind not in places:
        return []
    path = yard.path(f"{places.get(tried.kind, 'record')}.toml")
    good = path.read_bytes()
    if tried.kind in places:
        if str(path) not in told.arguments:
            return []
        path.write_bytes(tried.data)
    done = subprocess.run(
        [sys.executable, "-m", "walkthrough", *told.arguments],
        capture_output=True,
        text=True,
        errors="replace",
        timeout=120,
    )
    path.write_bytes(good)
    # What it was asked to write is none of the files that have to stay as they are.
    yard.path("out.txt").unlink(missing_ok=True)
    found = [] if done.returncode == told.code else [f"really: {done.returncode}, not {told.code}"]
    if "Traceback" in done.stderr:
        found.append(done.stderr)
    return found


def _bounded() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))


def test_hostile_inputs(capsys: pytest.CaptureFixture[str]) -> None:
    with capsys.disabled():
        print(f"\nseed {SEED}, {INPUTS} inputs")
    parts = [(first, min(first + SHARE, INPUTS)) for first in range(0, INPUTS, SHARE)]
    whole = Run()
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(AT_ONCE, context, _bounded) as pool:
        for run in pool.map(tortured, *zip(*((SEED, *part) for part in parts), strict=True)):
            whole.add(run)
            with capsys.disabled():
                print(".", end="", flush=True)
    with capsys.disabled():
        print(f"\n{whole.table()}")
    assert not whole.wrong, "\n\n".join(whole.wrong[:20])


if __name__ == "__main__":
    print(tortured(int(sys.argv[1]), int(sys.argv[2]), int(sys.argv[2]) + 1).wrong)
