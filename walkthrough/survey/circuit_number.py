"""What stands beside a breaker in a panel, told from what was typed by mistake."""

from __future__ import annotations

import re

EXAMPLES = "1, 12, 2/4, 1-3, 3A, F1 or C7"
_PART = r"(?:[a-z]{0,8}[ .]?\d{1,3}[a-z]{0,2}|[a-z]{1,2}|main)"
_BETWEEN = r"(?: ?[-/,&+] ?| )"
_NUMBER = re.compile(rf"{_PART}(?:{_BETWEEN}{_PART}){{0,5}}", re.IGNORECASE)
_BEFORE = re.compile(r"^(?:#|no\.? |number )\s*", re.IGNORECASE)


def circuit_number(text: str) -> str | None:
    """The number of a circuit as records keep it; None where no panel carries such a one.

    A breaker of several poles takes several positions: 2/4, 2,4 and 2 & 4 are kept as 2-4, because
    a slash stands between panel and circuit.
    """
    plain = _BEFORE.sub("", " ".join(text.split()))
    if _NUMBER.fullmatch(plain) is None:
        return None
    return re.sub(r" ?[-/,&+] ?", "-", plain)
