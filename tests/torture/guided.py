"""Hostile inputs guided by the code that they reach: `python -m tests.torture.guided KIND`.

KIND is one of ruleset, record, cases, prices, firm and places; options of libFuzzer may follow, such
as `-runs=20000` (else 2000) and `-seed=1`. An input that leads to new code is kept and turned
further. It ends at the first input that is not used or refused as it must be, and keeps that in
the folder where it was started.
"""

from __future__ import annotations

import random
import sys
import tempfile
import tomllib
import zlib
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["walkthrough"]):
    from tests.torture.mutate import mutated
    from tests.torture.targets import TARGETS, unharmed
    from tests.torture.yard import laid_out

    # The commands are imported only when they are asked for, which would be too late.
    from walkthrough import cli_plan, cli_replay, cli_rules  # noqa: F401
    from walkthrough.cli_calc import command  # noqa: F401
    from walkthrough.report import pages  # noqa: F401

RUNS = "-runs=2000"
LONGEST = 200_000
_BEGIN_WITH = {
    "ruleset": ("third",),
    "record": ("record", "units"),
    "cases": ("cases",),
    "prices": ("prices",),
    "firm": ("firm",),
    "places": ("places",),
}


def main(kind: str, options: list[str]) -> None:
    """Go on until it fails, or until as many as were asked for have been tried."""
    folder = Path(tempfile.mkdtemp(prefix="walkthrough-")).resolve()
    yard = laid_out(folder / "yard")
    target, _ = TARGETS[kind]
    kept = folder / "kept"
    kept.mkdir()
    for name in _BEGIN_WITH[kind]:
        (kept / name).write_text(yard.texts[name], "utf-8")

    def try_one(data: bytes) -> None:
        # The command hangs on the input alone, so that it is the same when tried again.
        tried = unharmed(target, yard, random.Random(zlib.crc32(data)), data)
        if tried.wrong:
            raise AssertionError("\n".join(dict.fromkeys(tried.wrong)))

    def turned(data: bytes, longest: int, seed: int) -> bytes:
        chance = random.Random(seed)
        try:
            text = data.decode()
            if chance.random() < 0.7 and tomllib.loads(text):
                return mutated(text, chance)[:longest]
        except (ValueError, RecursionError):
            pass
        found: bytes = atheris.Mutate(data, longest)
        return found

    given = options if any(each.startswith("-runs") for each in options) else [*options, RUNS]
    atheris.Setup(
        [sys.argv[0], str(kept), f"-max_len={LONGEST}", "-rss_limit_mb=2048", *given],
        try_one,
        custom_mutator=turned,
    )
    atheris.Fuzz()


if __name__ == "__main__":
    if sys.argv[1:2] == [] or sys.argv[1] not in _BEGIN_WITH:
        sys.exit(f"expected one of {', '.join(_BEGIN_WITH)}")
    main(sys.argv[1], sys.argv[2:])
