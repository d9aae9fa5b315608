"""Reads another state of a record: only the parts that stand otherwise in it are read anew."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import tomli

from walkthrough.survey import store
from walkthrough.survey.canonical import key_of
from walkthrough.survey.history import as_entered, with_findings
from walkthrough.survey.model import Session
from walkthrough.survey.naming import shorten

_KEYS = {key_of(name, field): name for name, field in Session.model_fields.items()}
_LISTS = {key: name for key, name in _KEYS.items() if Session.model_fields[name].default == []}
# Tables below a part of a list stay with it. What is in no list may have tables below it alone.
_ALONE = "|".join(key for key in _KEYS if key not in _LISTS)
_PART = re.compile(rf"\n(?=\[\[\w+\]\]\n|\[(?:{_ALONE})[\].])")
_OF_A_LIST = re.compile(r"\[\[(\w+)\]\]\n")


def other_state(session: Session, now: str, wanted: str, path: Path) -> Session:
    """The record that has the text `wanted`, where `now` is that of `session`.

    Both are canonical, and without what is judged or measured: that stays as it is. Parts that
    stand alike in both are the same objects afterwards. Raises RecordError as `store.parse` does.
    """
    known: dict[str, list[Any]] = {}
    rest = {key: iter(getattr(session, name)) for key, name in _LISTS.items()}
    for key, text in _parts(now):
        if key:
            known.setdefault(text, []).append(next(rest[key]))
    lists: dict[str, list[Any]] = {key: [] for key in _LISTS}
    anew: list[str] = []
    for key, text in _parts(wanted):
        if known.get(text):
            lists[key].append(known[text].pop(0))
        else:
            anew.append(text)
            if key:
                lists[key].append(None)
    try:
        raw = tomli.loads("\n".join(anew))
        read = Session.model_validate(raw, by_alias=True, by_name=False)
    except ValueError:
        # Told with the line of the whole text.
        return _whole(session, wanted, path)
    fresh = {key: iter(getattr(read, name)) for key, name in _LISTS.items()}
    kept: dict[str, Any] = {"findings": session.findings, "photo_sums": session.photo_sums}
    for key, parts in lists.items():
        kept.setdefault(_LISTS[key], [next(fresh[key]) if each is None else each for each in parts])
    found = read.model_copy(update=kept)
    shorten(found)
    # A history that was written by hand, or by another version, may stand otherwise than we write.
    return found if as_entered(found) == wanted else _whole(session, wanted, path)


def _whole(session: Session, wanted: str, path: Path) -> Session:
    return store.parse(with_findings(wanted, session), path)


def _parts(text: str) -> Iterator[tuple[str, str]]:
    """Each part of a text with the list that it belongs to, "" for what is in none."""
    for part in _PART.split(text):
        heading = _OF_A_LIST.match(part)
        yield (heading[1] if heading else ""), part
