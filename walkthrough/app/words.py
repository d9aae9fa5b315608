"""What a word means where answers have keys: a choice by its name, or the rest of an answer."""

from __future__ import annotations

import re
from collections.abc import Sequence

from walkthrough.app.prompt import Choice, Prompt

_LEAST = 2
"""One letter is a key, and no word."""
_AS_WELL = {"n": "none"}
"""What people type besides the label, by its first letter."""


def named(choices: Sequence[Choice], word: str) -> list[Choice]:
    """The choices that a typed word may mean: by value or label, as they begin, or by a word."""
    sought = word.casefold().strip()
    if len(sought) < _LEAST:
        return []
    names = [
        (each, (each.value.replace("_", " ").casefold(), each.label.casefold())) for each in choices
    ]
    exact = [each for each, both in names if sought in both or sought == each.value.casefold()]
    begin = [each for each, both in names if any(name.startswith(sought) for name in both)]
    within = [each for each, both in names if re.search(rf"\b{re.escape(sought)}", " ".join(both))]
    return exact or begin or within


def begins_name(choices: Sequence[Choice], letters: str) -> bool:
    """Whether a word that names a choice can begin so."""
    begins = re.compile(rf"\b{re.escape(letters)}", re.IGNORECASE)
    names = (
        name for each in choices for name in (each.value, each.value.replace("_", " "), each.label)
    )
    return any(begins.search(name) for name in names)


def rests(key: str, choice: Choice) -> tuple[str, ...]:
    """What is still to come of a word whose first letter was an answer by itself.

    Who types "yes" at a question that takes "y" types "es" and Enter at the next one.
    """
    words = [*re.findall(r"[^\W\d_]+", choice.label.casefold()), _AS_WELL.get(key, "")]
    return tuple(each[1:] for each in words if each.startswith(key) and len(each) >= _LEAST)


def nothing_chosen(prompt: Prompt, typed: str) -> str:
    """What can be done where Enter found nothing in hand in a list."""
    if typed or not prompt.choices:
        told = f"nothing fits '{typed}'" if typed else "there is nothing to choose"
        return told + (f": {prompt.if_missing}" if prompt.if_missing else "")
    skip = ", or ? if you cannot tell" if prompt.can_skip else ""
    return f"type a word of it, or choose it with Down{skip}"
