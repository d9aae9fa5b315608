"""A disk that is full, cannot be written or is gone: told, and the answer is kept till it can."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest

from tests.app.conftest import DAY
from tests.app.test_screens import flat, inspecting
from walkthrough.app.record import Record
from walkthrough.survey import store


class Disk:
    """Refuses to open files for writing in one folder while `error` is set."""

    def __init__(self, patch: pytest.MonkeyPatch, folder: Path) -> None:
        self.error = 0
        real = Path.open

        def opened(path: Path, mode: str = "r", *rest: Any, **options: Any) -> Any:
            if self.error and path.parent == folder and mode.strip("b") in ("w", "r+"):
                raise OSError(self.error, os.strerror(self.error))
            return real(path, mode, *rest, **options)

        patch.setattr(Path, "open", opened)


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch, folders: Path) -> Disk:
    return Disk(monkeypatch, folders)


def year_on_disk(record: Record) -> object:
    return store.load(record.path).dwelling.answers.get("year_built")


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (errno.ENOSPC, "No space left on device"),
        (errno.EROFS, "Read-only file system"),
        (errno.EACCES, "Permission denied"),
        (errno.EIO, "Input/output error"),
    ],
)
async def test_an_answer_that_cannot_be_written_is_kept(
    record: Record, disk: Disk, error: int, told: str
) -> None:
    async with inspecting(record) as inspector:
        disk.error = error
        await inspector.types("1974")
        seen = flat(inspector.sees)
        assert "[NOT SAVED]" in seen
        assert "Your last answer is kept here, but it is not on the disk" in seen
        assert told in seen.replace("- ", "-")  # a line may end at a hyphen
        assert "Try to save again" in seen
        assert year_on_disk(record) is None
        disk.error = 0
        await inspector.press("ctrl+s")
        assert year_on_disk(record) == 1974
        assert "[saved]" in inspector.sees
        assert "Where is the panel" in inspector.sees


async def test_a_folder_that_vanished_is_not_made_anew(record: Record, folders: Path) -> None:
    unplugged = folders.with_name("unplugged")
    async with inspecting(record) as inspector:
        folders.rename(unplugged)
        await inspector.types("1974")
        seen = flat(inspector.sees)
        assert "[NOT SAVED]" in seen
        assert "its folder is gone; was a drive unplugged or a folder renamed?" in seen
        assert not folders.exists()
        await inspector.press("enter")
        assert not folders.exists()
        unplugged.rename(folders)
        await inspector.press("enter")
        assert year_on_disk(record) == 1974
        assert "[saved]" in inspector.sees
        await inspector.types("Garage")
        await inspector.press("ctrl+z", "ctrl+z")
        assert year_on_disk(record) is None


async def test_what_was_typed_ahead_is_no_answer_to_the_bad_news(
    record: Record, disk: Disk
) -> None:
    """ "1" would be its key, and the rest would go to a question that nobody saw."""
    async with inspecting(record) as inspector:
        disk.error = errno.ENOSPC
        await inspector.press(*"1974", "enter", *"1st floor", "enter")
        assert "[NOT SAVED]" in inspector.sees
        assert record.session.panels == []


async def test_leaving_tries_once_more(record: Record, disk: Disk) -> None:
    async with inspecting(record) as inspector:
        disk.error = errno.ENOSPC
        await inspector.types("1974")
        disk.error = 0
        await inspector.press("ctrl+q")
    assert record.close()
    assert year_on_disk(record) == 1974


def test_steps_from_a_full_disk_can_be_taken_back_after_a_restart(
    record: Record, disk: Disk
) -> None:
    """Those that could not be written then are written with the next one."""
    record.answer(record.session.dwelling, "year_built", 1974)
    disk.error = errno.ENOSPC
    record.answer(record.session.dwelling, "year_built", 1975)
    record.undo()
    record.answer(record.session.dwelling, "year_built", 1976)
    disk.error = 0
    record.answer(record.session.dwelling, "year_built", 1977)
    record.close()
    again = Record.open(record.path, today=DAY)
    years = []
    while again.undo():
        years.append(again.session.dwelling.answers.get("year_built"))
    assert years == [1976, 1974, None]
