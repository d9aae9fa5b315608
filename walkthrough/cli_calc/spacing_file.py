"""A file of places for `calc spacing`: a room or a whole dwelling, place by place."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from walkthrough.cli_calc.spacing_subjects import Wrong, reckon
from walkthrough.rulebook.files import read_toml
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.locate import locate
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.working import Value, Verdict, Working

PLACE, PLACE_NAME = "place", "name"
MOST_PLACES = 200
_GRAVEST: tuple[Verdict, ...] = ("fail", "ask the AHJ", "cannot assess", "calculated", "pass")


def room_working(
    path: Path, keys: Collection[str], flags: Collection[str], tables: SpacingTables
) -> Working:
    """The calculations of all places of a file, one after the other; raises Unusable."""
    data, text = read_toml(path)
    problems: list[Problem] = []

    def slip(where: TomlPath, message: str) -> None:
        problems.append(Problem(str(path), *locate(text, where), message))

    for key in data:
        if key != PLACE:
            slip((key,), f"found '{key}'; expected [[{PLACE}]] tables only")
    places = data.get(PLACE, [])
    if not isinstance(places, list) or not 1 <= len(places) <= MOST_PLACES:
        slip((PLACE,), f"expected 1 to {MOST_PLACES} [[{PLACE}]] tables")
        places = []
    found: list[tuple[str, Working]] = []
    for number, place in enumerate(places):
        where: TomlPath = (PLACE, number)
        if not isinstance(place, dict):
            slip(where, f"expected a [[{PLACE}]] table")
            continue
        before = len(problems)
        for key, message in _key_slips(place, keys, flags):
            slip((*where, key), message)
        if len(problems) > before:
            continue
        told = {key: value for key, value in place.items() if key != PLACE_NAME}
        try:
            subject, working = reckon(told, tables)
        except Wrong as wrong:
            slip((*where, wrong.option) if wrong.option else where, _without_dashes(wrong))
            continue
        found.append((str(place.get(PLACE_NAME, f"{subject} ({number + 1})")), working))
    if problems:
        raise Unusable(problems)
    return _together(found)


def _key_slips(
    place: Mapping[str, Any], keys: Collection[str], flags: Collection[str]
) -> Iterator[tuple[str, str]]:
    for key, value in place.items():
        if key == PLACE_NAME:
            if not isinstance(value, str):
                yield key, f"'{key}': found {value!r}; expected text"
        elif key not in keys:
            yield key, f"found '{key}'; {nearest(key, (*keys, PLACE_NAME))}"
        elif key in flags:
            if not isinstance(value, bool):
                yield key, f"'{key}': found {value!r}; expected true or false"
        else:
            single = value if isinstance(value, list) else [value]
            if not all(isinstance(each, str) or type(each) is int for each in single):
                yield key, f"'{key}': found {value!r}; expected text with units, or a list of it"


def _without_dashes(wrong: Wrong) -> str:
    message = str(wrong).replace("--", "")
    return f"'{wrong.option}': {message}" if wrong.option else message


def _together(found: list[tuple[str, Working]]) -> Working:
    """One paper for all places; the verdict is the gravest of them."""
    gravest = min((each.verdict for _, each in found), key=_GRAVEST.index)
    short = [name for name, each in found if each.verdict == gravest]
    whole: dict[str, Value] = {
        row: _sum(each.result.get(row) for _, each in found)
        for row in ("required", "credited", "missing")
    }
    return Working(
        tuple(
            replace(step, label=f"{name}: {step.label}")
            for name, each in found
            for step in each.steps
        ),
        whole,
        gravest,
        f"{', '.join(short)}" if gravest != "pass" else "every place has what it needs",
        tuple(f"{name}: {caveat}" for name, each in found for caveat in each.caveats),
        tuple(line for name, each in found if each.drawing for line in (name, *each.drawing)),
        {
            "places": tuple(
                {
                    "name": name,
                    "verdict": each.verdict,
                    "because": each.because,
                    **each.result,
                    **each.for_scripts,
                }
                for name, each in found
            )
        },
    )


def _sum(values: Iterator[Value]) -> Value:
    """The sum; not known as soon as one is not known."""
    total = 0
    for each in values:
        if not isinstance(each, int):
            return None
        total += each
    return total
