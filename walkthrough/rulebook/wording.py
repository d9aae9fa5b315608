"""What a rule tells its reader, set against the topics, dangers and words of its ruleset."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping

from walkthrough.rulebook.checks import Slip
from walkthrough.rulebook.declarations import SEES, CaveatDeclared, RuleDeclared
from walkthrough.rulebook.problems import nearest
from walkthrough.rulebook.words import Word

_PLACEHOLDER = re.compile(r"\{([^{}]*)\}")


def rule_slips(
    rule: RuleDeclared,
    words: Mapping[str, Word],
    topics: Collection[str],
    dangers: Collection[str],
) -> Iterator[Slip]:
    """What is wrong with the topic, sections, danger and sentences of a rule."""
    if rule.topic not in topics:
        yield ("topic",), f"unknown topic '{rule.topic}'; {nearest(rule.topic, topics)}"
    if not all(section.strip() for section in rule.cite):
        yield ("cite",), "a section is empty"
    for key, text in (("says", rule.says), ("remedy", rule.remedy)):
        for word in _PLACEHOLDER.findall(text):
            known = words.get(word)
            if known is None:
                yield (key,), f"unknown word '{{{word}}}' in {key}; {nearest(word, words)}"
            elif known.of and not set(known.of) & set(SEES[rule.of]):
                message = f"'{word}' belongs to the {known.of[0]}; a {rule.of} rule cannot see it"
                yield (key,), message
    if rule.danger and rule.danger not in dangers:
        yield ("danger",), f"unknown danger '{rule.danger}'; {nearest(rule.danger, dangers)}"


def caveat_slips(
    caveat: CaveatDeclared, cures: Collection[str], topics: Collection[str]
) -> Iterator[Slip]:
    """What is wrong with the cures and topics that a caveat names."""
    for number, cure in enumerate(caveat.cures):
        if cure not in cures:
            yield ("cures", number), f"no cure '{cure}'; {nearest(cure, cures)}"
    for number, topic in enumerate(caveat.except_topics):
        if topic not in topics:
            yield ("except_topics", number), f"no topic '{topic}'; {nearest(topic, topics)}"


def danger_slips(
    topic: str, danger: str, topics: Collection[str], dangers: Collection[str]
) -> Iterator[Slip]:
    """What is wrong with saying which danger a topic is."""
    if topic not in topics:
        yield (), f"no topic '{topic}'; {nearest(topic, topics)}"
    if danger not in dangers:
        yield (), f"no danger '{danger}'; {nearest(danger, dangers)}"
