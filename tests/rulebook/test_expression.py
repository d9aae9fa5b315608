"""What expressions may say, and how a slip is told."""

from __future__ import annotations

import pytest

from walkthrough.rulebook.conditions import (
    Compare,
    Not,
    OneOf,
    written,
)
from walkthrough.rulebook.expression import (
    MAX_DEPTH,
    MAX_LENGTH,
    ExpressionError,
    parse,
)
from walkthrough.rulebook.words import Table, Vocabulary, Word

WORDS = Vocabulary(
    words={
        "device": Word("device", "choice", choices={"plain": "Plain", "gfci": "GFCI"}),
        "place": Word("place", "tags", choices={"kitchen": "Kitchen", "bathroom": "Bathroom"}),
        "feet_to_sink": Word("feet_to_sink", "number"),
        "amps": Word("amps", "number"),
        "date": Word("date", "date"),
        "tested": Word("tested", "yes-no"),
    },
    tables={
        "ratings": Table("ratings", {"15": [15.0], "20": [15.0, 20.0]}),
        "colours": Table("colours", {"red": 1}),
    },
)


def slip(text: str) -> tuple[int, str]:
    with pytest.raises(ExpressionError) as caught:
        parse(text, WORDS)
    return caught.value.offset, caught.value.message


def test_reads_a_chain_of_limits() -> None:
    assert str(parse("1 < feet_to_sink <= 6", WORDS)).count("Compare") == 2


def test_a_value_may_stand_first() -> None:
    assert parse("6 >= feet_to_sink", WORDS) == parse("feet_to_sink <= 6", WORDS)


def test_not_equal_is_the_opposite_of_equal() -> None:
    node = parse("device != 'gfci'", WORDS)
    assert isinstance(node, Not)
    assert isinstance(node.part, Compare)


def test_a_table_before_its_rows() -> None:
    assert parse("amps in ratings", WORDS) == OneOf("amps", (15.0, 20.0), "ratings")


@pytest.mark.parametrize(
    ("text", "offset", "said"),
    [
        ("tested and devise == 'gfci'", 11, "unknown word 'devise'; did you mean 'device'?"),
        ("device == 'gfic'", 10, "'gfic' is not a choice of 'device'; did you mean 'gfci'?"),
        ("'kitchn' in place", 0, "'kitchn' is not a choice of 'place'; did you mean 'kitchen'?"),
        ("device", 0, "'device' is a choice word; compare it, for example with 'plain'"),
        ("feet_to_sink <= '6'", 16, "'feet_to_sink' is a number; found '6'"),
        ("device < 'gfci'", 0, "a choice has no order; use == or !="),
        ("tested == amps", 10, "a yes-no cannot be compared with a number"),
        ("date < '2026-13-01'", 7, "'2026-13-01' is not a date; write 'YYYY-MM-DD'"),
        ("amps in rating", 8, "unknown table 'rating'; did you mean 'ratings'?"),
        ("amps in colours", 8, "row 'red' of 'colours' is no number, as 'amps' is"),
        ("amps <= ratings[amps]", 8, "a row of 'ratings' is a list; use 'in'"),
        ("amps in ratings[place]", 16, "a tags word cannot choose a row"),
        ("", 0, "empty expression; expected a condition"),
        ("tested and", 10, "this is not an expression"),
        ("tested # really", 7, "no comments inside an expression"),
    ],
)
def test_a_slip_names_its_place_and_the_nearest_word(text: str, offset: int, said: str) -> None:
    assert slip(text) == (offset, said)


@pytest.mark.parametrize(
    "text",
    [
        "__import__('os').system('true')",
        "tested.__class__",
        "(lambda: tested)()",
        "[x for x in place]",
        "amps + 1 <= 20",
        "amps ** 999999999 > 1",
        "tested if tested else tested",
        "(tested := tested)",
        "f'{tested}' == 'x'",
        "tested is tested",
        "ratings[0]",
        "amps in ratings[amps][0]",
        "device == b'gfci'",
        "...",
        "await tested",
        "tested; tested",
        "*place",
    ],
)
def test_nothing_but_declared_words_can_be_reached(text: str) -> None:
    slip(text)


@pytest.mark.parametrize(
    "text",
    [
        "not " * 5000 + "tested",
        "(" * 500 + "tested" + ")" * 500,
        " and ".join(["tested"] * 1000),
        "not " * (MAX_DEPTH + 1) + "tested",
        "tested" + " " * MAX_LENGTH,
        "amps > " + "9" * 5000,
    ],
)
def test_size_and_depth_are_bounded(text: str) -> None:
    slip(text)


@pytest.mark.parametrize(
    "text",
    [
        "device == 'gfci'",
        "'kitchen' in place",
        "amps in ratings",
        "amps in ratings[amps]",
        "feet_to_sink <= 6",
        "date < '2026-09-01'",
        "device in ['plain', 'gfci']",
        "(tested and not (tested or feet_to_sink > 6))",
    ],
)
def test_a_condition_is_written_as_it_is_read(text: str) -> None:
    assert parse(written(parse(text, WORDS)), WORDS) == parse(text, WORDS)
