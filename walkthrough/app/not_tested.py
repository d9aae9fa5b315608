"""What of an outlet was not tested, and why: with a key, or in words of one's own."""

from __future__ import annotations

from walkthrough.app.prompt import Choice
from walkthrough.survey.model import Outlet

TESTED = "tested"
STATES = {
    TESTED: "Reached and tested",
    "seen only": "Seen, but not reached",
    "not reached": "Not seen and not reached",
    "not tested": "Reached, but not tested",
    "not there": "It is not there",
}
"""What can be told of an outlet that was tested or not, in words."""
OTHER_REASON = "another reason"
NO_REASON = "no reason given"
"""What stands in the record where it cannot be told why."""
REASONS = (
    "behind furniture",
    "locked",
    "behind stored goods",
    "an appliance is in use or was not pulled",
    "too high",
    "refused",
    "the power is off",
    "medical or alarm equipment hangs on it",
    OTHER_REASON,
)
"""Why something was not tested, each with a key of its own."""
OR_REASON = "or type the reason"
"""What words typed instead of a key are."""


def reasons(words: str = "") -> tuple[Choice, ...]:
    """Why something was not tested, each with its key; `words` were told already."""
    told = {OTHER_REASON: f"Another reason: {words}"} if words else {}
    return tuple(Choice(each, told.get(each, each.capitalize())) for each in REASONS)


def reason_of(outlet: Outlet) -> str:
    """Why it was not tested, "" where it was, or where nothing is told."""
    return outlet.limits[0].reason if outlet.limits else ""


def own_words(outlet: Outlet) -> str:
    """The reason that was typed, "" where one of the list or none was told."""
    reason = reason_of(outlet)
    return "" if reason in (*REASONS, NO_REASON) else reason
