"""One calculation as text, as it is written on paper, and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from walkthrough.report.cautions import CAUTIONS, CODE_BOOK, NOT_A_CERTIFICATE, how_sure
from walkthrough.report.text import clean, wrapped
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.trade.tables import Ground
from walkthrough.trade.working import VERDICTS, Step, Value, Working, told


@dataclass(frozen=True)
class Calculated:
    """A calculation with what was told to it and by which ruleset it was done."""

    name: str
    title: str
    book: Rulebook
    inputs: Mapping[str, Any]
    working: Working


def as_json(calculated: Calculated) -> dict[str, Any]:
    """The calculation for scripts; numbers are not rounded."""
    working, book = calculated.working, calculated.book
    return {
        "calculation": calculated.name,
        "ruleset": {"id": book.id, "title": book.title, "fingerprint": book.fingerprint},
        "inputs": dict(calculated.inputs),
        "steps": [_step_as_json(step) for step in working.steps],
        "result": _plain({**working.result, **working.for_scripts}),
        "verdict": working.verdict,
        "because": working.because,
        "confidence": working.confidence,
        "caveats": [*working.caveats, *book.notices],
        **({"drawing": list(working.drawing)} if working.drawing else {}),
    }


def as_text(calculated: Calculated) -> str:
    """The calculation for a person, wrapped for 96 columns."""
    return "\n".join(clean(line) for line in _lines(calculated)) + "\n"


def _step_as_json(step: Step) -> dict[str, Any]:
    return {
        "label": step.label,
        "formula": step.formula,
        "value": _plain(step.value),
        "unit": step.unit,
        "cite": list(step.ground.cite),
        "confidence": step.ground.confidence,
    }


def _plain(value: Value | Mapping[str, Value]) -> Any:
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, Mapping):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    return value


def _lines(calculated: Calculated) -> Iterator[str]:
    working, book = calculated.working, calculated.book
    yield from wrapped(f"Calculation: {calculated.name} ({calculated.title})")
    yield from wrapped(f"By: {book.title} ({book.id})")
    given = (f"{name.replace('_', ' ')} {_shown(each)}" for name, each in calculated.inputs.items())
    yield from wrapped(f"Told: {'; '.join(given)}")
    yield ""
    for number, step in enumerate(working.steps, start=1):
        yield from _step(number, step)
    yield ""
    if working.drawing:
        yield from (*working.drawing, "")
    yield from wrapped(f"Verdict: {working.verdict} ({VERDICTS[working.verdict]})")
    yield from wrapped(working.because, "  ")
    yield ""
    for name, each in working.result.items():
        if each is not None:
            yield from wrapped(f"{name.replace('_', ' ')}: {_shown(each)}", "  ")
    yield ""
    for caveat in (*working.caveats, *book.notices):
        yield from wrapped(caveat, "* ")
    yield from wrapped(NOT_A_CERTIFICATE)
    for caution in CAUTIONS:
        yield from wrapped(caution, "! ")


def _step(number: int, step: Step) -> Iterator[str]:
    yield from wrapped(sum_of(step), f"{number:3}. ")
    if rests := rests_on(step.ground):
        yield from wrapped(rests, " " * 5)


def sum_of(step: Step) -> str:
    """What a step works out, and how."""
    result = "" if step.value is None else f" = {told(step.value)} {step.unit}".rstrip()
    return f"{step.label}: {step.formula}{result}"


def rests_on(ground: Ground) -> str:
    """The sections with the mark of the weakest; "" where there is neither."""
    mark = how_sure(ground.confidence, CODE_BOOK)
    return (", ".join(ground.cite) + (f" [{mark}]" if mark else "")).strip()


def _shown(value: Any) -> str:
    """A result in words: numbers rounded, parts with their names."""
    match value:
        case bool():
            return "yes" if value else "no"
        case Decimal():
            return told(value)
        case float():
            return told(Decimal(str(value)))
        case {"box": box, "volume_in3": volume}:
            return f"{box} ({_shown(volume)} in3)"
        case {"check": check, "verdict": verdict}:
            return f"{check} ({verdict})"
        case {"possibility": _, "says": says}:
            return str(says)
        case {"measurement": measurement}:
            return str(measurement).replace("_", " ")
        case {"instrument": instrument}:
            return f"{instrument} (see below)"
        case Mapping() if all(isinstance(each, Mapping) for each in value.values()):
            return "; ".join(_shown(each) for each in value.values())
        case Mapping():
            parts = (f"{str(key).replace('_', ' ')} {_shown(each)}" for key, each in value.items())
            return ", ".join(parts)
        case list() | tuple():
            return "; ".join(_shown(each) for each in value)
        case _:
            return "not known" if value is None else str(value)
