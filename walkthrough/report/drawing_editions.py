"""Several rulesets beside each other as a picture: how much is found under each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from walkthrough.report.drawing import SOFT, WIDTH, Band, Drawing, piled, written
from walkthrough.report.drawing_rooms import counted, severities_told

Data = Mapping[str, Any]


def editions_drawn(data: Data, id: str) -> list[Drawing]:
    """Every ruleset with a bar for what is found under it, and how much of that only there."""
    rulesets = data["rulesets"]
    most = max((sum(each["by_severity"].values()) for each in rulesets), default=0)
    parts = [
        [
            counted(each["under"], each["by_severity"], most),
            Band(18, (written(8, 11, only_told(each), WIDTH - 16, SOFT),)),
        ]
        for each in rulesets
    ]
    told = " ".join(
        f"{each['under']}: {severities_told(each['by_severity']) or 'nothing found'}; "
        f"{only_told(each)}."
        for each in rulesets
    )
    return piled(id, "What is found under each ruleset", told, parts)


def only_told(ruleset: Data) -> str:
    """How many of the findings of a ruleset no other one makes."""
    return f"found only under this one: {ruleset['only_here']}"
