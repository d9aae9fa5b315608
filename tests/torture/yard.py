"""The good files from which hostile ones are made, in a folder of their own."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

from tests.app.conftest import BASE, EDITION
from tests.torture.good import AMENDMENT, CASES, FIRM, PLACES, RECORD, UNITS
from walkthrough.survey import store
from walkthrough.survey.canonical import as_toml

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = ROOT / "rulesets"


@dataclass(frozen=True)
class Yard:
    """A folder with rulesets, a record of each sort, and texts to make hostile files of."""

    folder: Path
    texts: dict[str, str]

    @property
    def rulesets(self) -> Path:
        return self.folder / "rulesets"

    def path(self, name: str) -> Path:
        return self.folder / name

    def snapshot(self) -> dict[str, tuple[int, int, bytes]]:
        """Every file with what would tell that it was changed."""
        return {
            str(each.relative_to(self.folder)): (
                each.stat().st_mtime_ns,
                each.stat().st_ino,
                each.read_bytes(),
            )
            for each in sorted(self.folder.rglob("*"))
            if each.is_file()
        }


def small_house() -> str:
    """A part of the demonstration house that is planned within a moment."""
    session = store.load(ROOT / "sessions" / "larkspur-house.toml")
    session.outlets = [each for each in session.outlets if each.circuit == "C1"][:1]
    for each in session.outlets:
        each.fed_from = ""
    session.rooms = [each for each in session.rooms if each.id == session.outlets[0].room]
    session.circuits = [each for each in session.circuits if each.id == "C1"]
    session.trips, session.findings = [], []
    return as_toml(session)


def laid_out(folder: Path) -> Yard:
    """Write the good files, and let the program find its rulesets there."""
    texts = {
        "practice-base": BASE,
        "practice": EDITION,
        "third": AMENDMENT,
        "record": RECORD,
        "units": UNITS,
        "house": small_house(),
        "cases": CASES,
        "firm": FIRM,
        "places": PLACES,
        "prices": (SHIPPED / "remedy" / "prices-demo.toml").read_text("utf-8"),
    }
    for name in ("wisconsin-2017", "indiana-2009", "nec-2023", "dwelling"):
        texts[name] = (SHIPPED / f"{name}.toml").read_text("utf-8")
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "rulesets").mkdir(parents=True)
    for name in ("practice-base", "practice", "third"):
        (folder / "rulesets" / f"{name}.toml").write_text(texts[name], "utf-8")
    for name in ("record", "units", "house", "cases", "firm", "places", "prices"):
        (folder / f"{name}.toml").write_text(texts[name], "utf-8")
    os.environ["WALKTHROUGH_RULESETS"] = str(folder / "rulesets")
    return Yard(folder, texts)
