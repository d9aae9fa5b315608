"""What was copied with "the same again" and not looked at is told among the limits."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from walkthrough.cli import main
from walkthrough.survey import store

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
TOLD = "Entered like another outlet, with so many answers copied that nobody looked at there"


@pytest.mark.parametrize(
    "form",
    [
        ["text"],
        *([form, "--for", who] for form in ("html", "md") for who in ("client", "landlord")),
        ["html", "--for", "electrician"],
    ],
)
def test_it_is_told_in_every_report(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], form: list[str]
) -> None:
    session = store.load(RECORD)
    for outlet in session.outlets[2:4]:
        outlet.carried = ["slots", "yoke", "volts"]
    path = tmp_path / "house.toml"
    store.save(session, path)
    assert main(["replay", str(path), "--format", *form]) in (0, 1)
    told = " ".join(capsys.readouterr().out.split())
    one, other = (each.id for each in session.outlets[2:4])
    assert f"{TOLD}: {one} (3), {other} (3)" in told


def test_nothing_is_told_where_each_was_looked_at(capsys: pytest.CaptureFixture[str]) -> None:
    main(["replay", str(RECORD), "--format", "json"])
    assert json.loads(capsys.readouterr().out)["copied"] == []
    main(["replay", str(RECORD), "--format", "md"])
    assert TOLD not in capsys.readouterr().out
