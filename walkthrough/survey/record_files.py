"""Which files of a folder may be records: a firm's and its price lists can lie beside them."""

from __future__ import annotations

from pathlib import Path

FIRMS, PRICES = "*firm.toml", "*prices*.toml"
"""How the names of those look: `firm.toml`, `elm-firm.toml`, `prices-2026.toml`."""
_HEAD = 4096


def may_be_record(path: Path) -> bool:
    """Whether a TOML file is not named like one of these, or is a record all the same."""
    if not (path.match(FIRMS) or path.match(PRICES)):
        return True
    try:
        with path.open(encoding="utf-8") as file:
            return "\n[judged_by]\n" in file.read(_HEAD)
    except (OSError, UnicodeDecodeError):
        # What cannot be read is rather told than passed over.
        return True
