"""What an outlet is asked to be protected by, and whether it is, under all rulesets at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from walkthrough.judge.house import House
from walkthrough.judge.judge import Judgement
from walkthrough.report.text import clean
from walkthrough.survey.model import Outlet

Standing = Literal["ok", "missing", "disputed", "open", "asked or not", "not asked"]
# The worst first: of several rulesets the one that finds most to do is shown.
SIGNS: dict[Standing, str] = {
    "missing": "!",
    "disputed": "A",
    "open": "?",
    "ok": "ok",
    "asked or not": "ok",
    "not asked": "-",
}
_WORST_FIRST = tuple(SIGNS)
_PROTECTED = "_protected"


@dataclass(frozen=True)
class Demanded:
    """One kind of protection at an outlet: whether it is asked for, and whether it is there."""

    topic: str
    standing: Standing
    sections: tuple[str, ...]
    has: str
    told: str


def demanded(judged: Sequence[Judgement], outlet: Outlet) -> tuple[Demanded, ...]:
    """Each kind once, as the strictest ruleset has it; under which, where they differ."""
    found: dict[str, dict[str, Demanded]] = {}
    for one in judged:
        for each in _of(one, outlet):
            found.setdefault(each.topic, {})[one.under] = each
    return tuple(_together(under) for under in found.values())


def _together(under: dict[str, Demanded]) -> Demanded:
    standing = min((each.standing for each in under.values()), key=_WORST_FIRST.index)
    alike = {name: each for name, each in under.items() if each.standing == standing}
    sections = dict.fromkeys(section for each in alike.values() for section in each.sections)
    told = next(iter(alike.values())).told
    if len(alike) < len(under):
        told += f", under {', '.join(alike)}"
    return replace(next(iter(alike.values())), sections=tuple(sections), told=clean(told))


def _of(judged: Judgement, outlet: Outlet) -> Iterator[Demanded]:
    requires, has = judged.requires(outlet), judged.has(outlet)
    disputed = judged.disputes(outlet)
    # What waits for no answer that could make it a deficiency is in order either way.
    open_topics: dict[str, bool] = {}
    for verdict in judged.undecided:
        topic = verdict.decision.rule.declared.topic
        open_topics[topic] = open_topics.get(topic, False) or bool(verdict.asks)
    for demand in judged.book.demands.values():
        topic = demand.topic
        sections, there = tuple(requires[topic]), has[topic]
        told = _told(judged.house, outlet, demand.has, there)
        standing: Standing = "not asked"
        if sections:
            standing = "ok" if there == "yes" else "missing" if there == "no" else "open"
        elif disputed[topic]:
            standing, sections = "disputed", tuple(disputed[topic])
        elif topic in open_topics:
            standing = "open" if open_topics[topic] else "asked or not"
        yield Demanded(topic.upper(), standing, sections, there, told)


def _told(house: House, outlet: Outlet, word: str, there: str) -> str:
    words = {"yes": "there", "no": "missing", "unknown": "not known"}
    told = words[there]
    if word.endswith(_PROTECTED):
        protection = house.tracer.protection(outlet, word.removesuffix(_PROTECTED))
        by = ", ".join(protection.by)
        if there == "yes" and by:
            told = f"there, by {by}"
        elif there == "no":
            told = "not protected"
        if protection.notes:
            told += f" ({'; '.join(protection.notes)})"
    return clean(told)
