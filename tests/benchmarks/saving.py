"""Saving one answer, beside the least that a durable save can do."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import tomli_w

from tests.benchmarks.house import house
from tests.benchmarks.measure import Row, in_turn, ratio
from walkthrough.survey import store


def one_answer(folder: Path, outlets: int, repeats: int) -> Iterator[Row]:
    """A changed answer of a large house, written so that a power cut cannot lose it."""
    session = house(outlets)
    ours_at, theirs_at = folder / "ours.toml", folder / "theirs.toml"
    store.save(session, ours_at)

    def ours() -> None:
        session.outlets[-1].note += "."
        store.save(session, ours_at)

    def theirs() -> None:
        session.outlets[-1].note += "."
        dumped = tomli_w.dumps(
            session.model_dump(mode="python", by_alias=True, exclude_defaults=True)
        )
        fresh = theirs_at.with_suffix(".tmp")
        with fresh.open("wb") as file:
            file.write(dumped.encode())
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(theirs_at)
        number = os.open(folder, os.O_RDONLY)
        os.fsync(number)
        os.close(number)

    yield Row(
        f"saving one answer, {outlets} outlets",
        "at most 1.2x",
        ratio(*in_turn(ours, theirs, repeats=repeats)),
        "dump as TOML, write, sync, rename, sync the folder",
    )
