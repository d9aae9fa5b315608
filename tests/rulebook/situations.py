"""Random conditions over a small vocabulary, and a slow, obvious judge to set beside ours."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import Any

from hypothesis import strategies as st

from walkthrough.rulebook.conditions import (
    And,
    Answer,
    Compare,
    Has,
    InRow,
    Literal,
    LookUp,
    Node,
    Not,
    OneOf,
    Or,
    Said,
)
from walkthrough.rulebook.words import Word

WORDS: Mapping[str, Word] = {
    "tested": Word("tested", "yes-no"),
    "wet": Word("wet", "yes-no"),
    "device": Word("device", "choice", choices={"plain": "", "gfci": "", "afci": ""}),
    "feet": Word("feet", "number", minimum=0, maximum=20, may_be_none=True),
    "amps": Word("amps", "number", minimum=0, maximum=60),
    "breaker": Word("breaker", "number", minimum=0, maximum=60),
    "place": Word("place", "tags", choices={"kitchen": "", "bath": "", "den": ""}),
}
RATINGS = ((15.0, (15.0,)), (20.0, (15.0, 20.0)), (30.0, (30.0,)))
LIMITS = (("plain", 15.0), ("gfci", 20.0))

# Every value that could matter: the limits below, both their sides, and answers between.
DOMAIN: Mapping[str, list[Any]] = {
    "tested": [True, False],
    "wet": [True, False],
    "device": ["plain", "gfci", "afci"],
    "feet": [0.0, 3.0, 6.0, 9.0, 20.0, float("inf")],
    "amps": [0.0, 7.0, 15.0, 17.0, 18.0, 20.0, 25.0, 30.0, 44.0, 46.0, 60.0],
    "breaker": [0.0, 7.0, 15.0, 17.0, 18.0, 20.0, 25.0, 30.0, 44.0, 46.0, 60.0],
    "place": [
        list(each)
        for n in range(4)
        for each in itertools.combinations(("kitchen", "bath", "den"), n)
    ],
}

_atoms = st.one_of(
    st.sampled_from([Said("tested"), Said("wet")]),
    st.sampled_from([Has(tag, "place") for tag in ("kitchen", "bath", "den")]),
    st.builds(
        lambda d: Compare("==", Answer("device"), Literal(d)), st.sampled_from(DOMAIN["device"])
    ),
    st.builds(
        lambda sign, limit: Compare(sign, Answer("feet"), Literal(limit)),
        st.sampled_from(["==", "<", "<=", ">", ">="]),
        st.just(6.0),
    ),
    st.builds(
        lambda sign: Compare(sign, Answer("amps"), Answer("breaker")),
        st.sampled_from(["==", "<", "<=", ">", ">="]),
    ),
    st.just(OneOf("breaker", (15.0, 20.0, 30.0), "ratings")),
    st.just(InRow("amps", LookUp("ratings", RATINGS, Answer("breaker")))),
    st.just(Compare("<=", Answer("amps"), LookUp("limits", LIMITS, Answer("device")))),
)

conditions: st.SearchStrategy[Node] = st.recursive(
    _atoms,
    lambda inner: st.one_of(
        st.builds(Not, inner),
        st.builds(lambda parts: And(tuple(parts)), st.lists(inner, min_size=1, max_size=3)),
        st.builds(lambda parts: Or(tuple(parts)), st.lists(inner, min_size=1, max_size=3)),
    ),
    max_leaves=7,
)


@st.composite
def partial_answers(draw: st.DrawFn) -> dict[str, Any]:
    """Some words answered, at most three left open, so that brute force can go through all."""
    names = list(WORDS)
    opened = draw(st.lists(st.sampled_from(names), max_size=3, unique=True))
    return {name: draw(st.sampled_from(DOMAIN[name])) for name in names if name not in opened}


def completions(known: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Every way of answering what is open."""
    opened = [name for name in WORDS if name not in known]
    for values in itertools.product(*(DOMAIN[name] for name in opened)):
        yield {**known, **dict(zip(opened, values, strict=True))}


def plainly(node: Node, facts: Mapping[str, Any]) -> bool:
    """Two-valued truth with everything known, written as plainly as can be."""
    match node:
        case Said(name):
            return bool(facts[name])
        case Has(tag, name):
            return tag in facts[name]
        case Not(part):
            return not plainly(part, facts)
        case And(parts):
            return all(plainly(part, facts) for part in parts)
        case Or(parts):
            return any(plainly(part, facts) for part in parts)
        case OneOf(name, values):
            return facts[name] in values
        case InRow(name, row):
            return facts[name] in dict(row.rows).get(facts[row.key.name], ())  # type: ignore[operator]
        case Compare(sign, Answer(name), right):
            left = facts[name]
            if isinstance(right, LookUp):
                if facts[right.key.name] not in dict(right.rows):
                    return False
                limit = dict(right.rows)[facts[right.key.name]]
            else:
                limit = right.value if isinstance(right, Literal) else facts[right.name]
            held: bool = {
                "==": left == limit,
                "<": left < limit,
                "<=": left <= limit,
                ">": left > limit,
                ">=": left >= limit,
            }[sign]
            return held
    raise AssertionError(node)
