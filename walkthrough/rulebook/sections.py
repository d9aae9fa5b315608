"""Forms of section numbers: which sections an edition has, so that a misprint is noticed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

BELOW = "..."
"""In a list of forms: and those of the file that this one extends."""

_PART = re.compile(r"\{(\d+)-(\d+)\}|([#@~*])|(.)", re.DOTALL)
_WILD = {"#": r"\d+", "@": "[A-Z]", "~": "[a-z]", "*": ".*"}


def joined(forms: Iterable[str], below: tuple[str, ...]) -> tuple[str, ...]:
    """The forms of a file, with those of the file below where the list says so."""
    return tuple(each for form in forms for each in (below if form == BELOW else (form,)))


def fits(section: str, forms: Iterable[str]) -> bool:
    """Whether a section has one of the forms.

    In a form `#` stands for a number, `@` for a capital and `~` for a small letter, `*` for
    anything, and `{1-11}` for a number of that range; everything else stands for itself.
    """
    return any(_fits(section, form) for form in forms)


def _fits(section: str, form: str) -> bool:
    parts = list(_PART.finditer(re.sub(r"\*+", "*", form)))
    pattern = "".join(_pattern(part) for part in parts)
    found = re.fullmatch(pattern, section, re.DOTALL)
    if found is None:
        return False
    ranges = [(int(part[1]), int(part[2])) for part in parts if part[1]]
    return all(
        low <= int(number) <= high
        for number, (low, high) in zip(found.groups(), ranges, strict=True)
    )


def _pattern(part: re.Match[str]) -> str:
    if part[1]:
        return r"(\d+)"
    return _WILD[part[3]] if part[3] else re.escape(part[4])


def misfits(sections: Iterable[str], forms: tuple[str, ...]) -> Iterator[str]:
    """The sections that have none of the forms."""
    return (section for section in sections if not fits(section, forms))
