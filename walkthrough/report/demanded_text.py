"""What is asked of every outlet and what is there, as plain text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from walkthrough.judge.judge import Judgement
from walkthrough.judge.under import Judged
from walkthrough.report.text import counted, heading, wrapped
from walkthrough.survey.model import Outlet


def demanded(judgement: Judgement, first: str) -> Iterator[str]:
    """How often each kind of protection is asked for and there; `first` begins each line."""
    outlets = judgement.session.outlets
    if judgement.made_in:
        outlets = [each for each in outlets if judgement.on(each)]
    for demand in judgement.book.demands.values():
        if not any(rule.declared.topic == demand.topic for rule in judgement.book.rules.values()):
            continue
        needing = [each for each in outlets if judgement.requires(each)[demand.topic]]
        disputed = [
            each
            for each in outlets
            if judgement.disputes(each)[demand.topic] and each not in needing
        ]
        found = Counter(judgement.has(each)[demand.topic] for each in needing)
        title = judgement.book.topics[demand.topic]
        open_here = {
            each.subject
            for each in judgement.undecided
            if each.decision.rule.declared.topic == demand.topic
        } - {judgement.house.key(each)[1] for each in (*needing, *disputed)}
        also = f"; open whether it is asked at {len(open_here)} more" if open_here else ""
        also += f"; disputed at {len(disputed)}" if disputed else ""
        yield from wrapped(
            f"{title}: asked at {counted(len(needing), 'outlet')}; there at {found['yes']}, "
            f"missing at {found['no']}, not known at {found['unknown']}{also}",
            first,
        )


def every_outlet(judged: Judged) -> Iterator[str]:
    """What is asked of each outlet under each ruleset, and what is there."""
    yield from heading("Every outlet: what is asked, and what is there")
    for name, outlet in judged.session.references(judged.session.outlets).items():
        on_it = [each for each in judged.all if each.made_in is None or each.on(outlet)]
        if not on_it and judged.as_built:
            there = _there(judged.as_built.there, outlet)
            yield from wrapped(f"{there} (year not known, or too old)", f"{name}: ")
        for judgement in on_it:
            under = f" ({judgement.under})" if len(judged.all) > 1 else ""
            yield from wrapped(_there(judgement, outlet), f"{name}{under}: ")


def _there(judgement: Judgement, outlet: Outlet) -> str:
    requires, has = judgement.requires(outlet), judgement.has(outlet)
    disputed = judgement.disputes(outlet)
    topics = [demand.topic for demand in judgement.book.demands.values()]
    told = [
        f"{topic}: {has[topic]}"
        + (f" (asked by {', '.join(requires[topic])})" if requires[topic] else "")
        + (f" (disputed, {', '.join(disputed[topic])}: ask the AHJ)" if disputed[topic] else "")
        for topic in topics
        if requires[topic] or disputed[topic] or has[topic] == "yes"
    ]
    return "; ".join(told) or "nothing asked, nothing there"
