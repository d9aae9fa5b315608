"""Three invented dwellings and two rules of a made-up town, small enough to be judged by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

RULES = """format = 1
id = "our-two-rules"
title = "Two rules of a made-up town"
extends = "dwelling"
drop = ["*"]
section_forms = ["Town {1-9}"]
verify_in = "the town ordinance"

[question.programme]
of = "dwelling"
ask = "Which programme?"
kind = "choice"
choices = { town = "Town", county = "County" }

[rule."town.reversed"]
topic = "device"
of = "outlet"
cite = "Town 1"
when = "point == 'receptacle'"
needs = "tester == 'correct'"
kind = "defect"
severity = "hazard"
says = "Tested as wired wrong."
why = "Made up."
cure = ["rewire"]
done_by = "qualified person"
deadlines = [
  { programme = "town homes", when = "programme == 'town'", hours = 24, confidence = "memory" },
  { programme = "county homes", when = "programme == 'county'", days = 30, confidence = "confirmed" },
]
confidence = "memory"
source = "made up for tests"

[rule."town.old"]
topic = "device"
of = "dwelling"
cite = "Town 2"
when = "year_built < 1990"
needs = "no"
kind = "gap"
severity = "upgrade"
says = "An old dwelling."
why = "Made up."
done_by = "qualified person"
confidence = "memory"
source = "made up for tests"
"""

# By hand: Ash has two hazards and one gap, both times hold as the programme is not told; Birch has
# no hazard, a gap, and one receptacle that was not tested; Cedar has one hazard, due in 30 days.
ASH = ("Ash Cottage", 1950, "", ("reversed", "open_ground", "correct"))
BIRCH = ("Birch Cottage", 1980, "town", ("correct", ""))
CEDAR = ("Cedar Cottage", 2001, "county", ("reversed", "correct"))


def record(title: str, year: int, programme: str, tests: tuple[str, ...], *, more: str = "") -> str:
    """A record with one room and a receptacle for each test; "" was not tested."""
    told = f'programme = "{programme}"\n' if programme else ""
    outlets = "".join(
        f'\n[[outlet]]\nid = "R-{number}"\nroom = "hall"\ncircuit = "C1"\n'
        '\n[outlet.answers]\npoint = "receptacle"\n'
        + (f'\n[outlet.readings]\ntester = "{shown}"\n' if shown else "")
        for number, shown in enumerate(tests, 1)
    )
    return f"""format = 1
title = "{title}"
{more}
[judged_by]
ruleset = "our-two-rules"

[[visit]]
date = 2026-11-0{len(tests)}

[dwelling.answers]
year_built = {year}
{told}
[[panel]]
id = "P"

[[circuit]]
id = "C1"
panel = "P"

[[room]]
id = "hall"
name = "Hall"
{outlets}"""


@pytest.fixture
def homes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the three, and beside them what the app keeps there."""
    rules, folder = tmp_path / "rules", tmp_path / "homes"
    rules.mkdir()
    folder.mkdir()
    (rules / "our-two-rules.toml").write_text(RULES, encoding="utf-8")
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(rules))
    for name, told in (("birch", BIRCH), ("cedar", CEDAR), ("ash", ASH)):
        (folder / f"{name}.toml").write_text(record(*told), encoding="utf-8")
    for aside in ("ash.toml.history", "ash.toml.lock", "ash.toml.previous", ".ash.toml.7.new.tmp"):
        (folder / aside).write_text("no record", encoding="utf-8")
    return folder
