"""Which words of the trade a page uses, so that it explains these and no others."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from markupsafe import Markup

Data = Mapping[str, Any]


def used(words: Iterable[Data], page: Markup) -> list[Data]:
    """The words that a page uses, as it writes them, in the order in which they come up there."""
    text = page.striptags()
    found: list[tuple[int, Data]] = []
    for word in words:
        hits = {
            each: hit.start() for each in word["written"] if (hit := _pattern(each).search(text))
        }
        if hits:
            found.append((min(hits.values()), {**word, "written": list(hits)}))
    return [each for _, each in sorted(found, key=lambda one: one[0])]


def _pattern(written: str) -> re.Pattern[str]:
    # An ordinary word may begin a sentence; of capitals, such as TR, the case tells it apart.
    flags = re.IGNORECASE if written.islower() else 0
    return re.compile(rf"(?<!\w){re.escape(written)}(?!\w)", flags)
