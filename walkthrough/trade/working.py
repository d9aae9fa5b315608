"""A calculation as it is written on paper: steps with their sections, the result, the verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from walkthrough.rulebook.declarations import Confidence
from walkthrough.trade.tables import NOTHING, Ground, weakest

Verdict = Literal[
    "pass",
    "fail",
    "warning",
    "advice",
    "within advice",
    "ask the AHJ",
    "cannot assess",
    "calculated",
]
VERDICTS: Mapping[Verdict, str] = {
    "pass": "within the limit; a value equal to the limit passes",
    "fail": "outside the limit",
    "warning": "a user's load is above the limit; the wiring itself does not fail by it",
    "advice": "above an advised figure that nobody can be held to",
    "within advice": "not above the advised figure",
    "ask the AHJ": "sources or words dispute a point that decides it; the readings are told",
    "cannot assess": "something that decides it is not known; it says what",
    "calculated": "nothing was given to be judged; the figures stand in the result",
}
Value = Decimal | int | str | bool | None | Mapping[str, "Value"] | tuple["Value", ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One line on the paper; `value` is missing where the step only states something."""

    label: str
    formula: str
    value: Decimal | None = None
    unit: str = ""
    ground: Ground = NOTHING


@dataclass(frozen=True, slots=True)
class Working:
    """The whole of one calculation."""

    steps: tuple[Step, ...]
    result: Mapping[str, Value]
    verdict: Verdict
    because: str
    caveats: tuple[str, ...] = ()
    drawing: tuple[str, ...] = ()
    for_scripts: Mapping[str, Value] = field(default_factory=dict)
    """Further results whose words stand in the steps already."""

    @property
    def confidence(self) -> Confidence:
        """The mark of the weakest step."""
        return weakest(step.ground.confidence for step in self.steps)


def told(value: Decimal, places: int = 4) -> str:
    """A number for reading: rounded to so many places, without trailing noughts."""
    text = f"{rounded(value, places):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def rounded(value: Decimal, places: int = 4) -> Decimal:
    """Rounded as a person would, the half upwards."""
    return value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
