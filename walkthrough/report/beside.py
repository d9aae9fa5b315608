"""The files of a firm and its price lists that lie beside a record, or in the user's own folder."""

from __future__ import annotations

from pathlib import Path

from walkthrough.remedy.files import FOLDER
from walkthrough.remedy.prices import DEMONSTRATION
from walkthrough.rulebook.files import ruleset_folders
from walkthrough.survey.record_files import FIRMS, PRICES, may_be_record


def firm_files(record: Path) -> list[Path]:
    """The files of firms, those beside the record first."""
    return _found(record, FIRMS)


def price_files(record: Path) -> list[Path]:
    """The user's own price lists, those beside the record first."""
    return [each for each in _found(record, PRICES) if each.name != DEMONSTRATION]


def the_only(found: list[Path], record: Path) -> Path | None:
    """What lies beside a record and is the only one there: it is meant for it. None else."""
    beside = [each for each in found if each.parent == record.absolute().parent]
    return beside[0] if len(beside) == 1 else None


def the_only_prices(record: Path) -> Path | None:
    """The one list that can be meant for a record: beside it, else in the user's own folder."""
    found = price_files(record)
    beside = [each for each in found if each.parent == record.absolute().parent]
    likely = beside or found
    return likely[0] if len(likely) == 1 else None


def _found(record: Path, names: str) -> list[Path]:
    folders = (record.absolute().parent, ruleset_folders()[0] / FOLDER)
    files = (each for folder in folders for each in sorted(folder.glob(names)))
    return [each for each in dict.fromkeys(files) if not may_be_record(each)]
