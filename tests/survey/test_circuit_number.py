"""What panels carry beside their breakers is taken, and nothing that nobody would look for there.

Source of the forms: common practice, no source.
"""

from __future__ import annotations

import pytest

from walkthrough.survey.circuit_number import circuit_number


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("1", "1"),
        ("12", "12"),
        ("C7", "C7"),
        ("3A", "3A"),
        ("F1", "F1"),
        ("1-3", "1-3"),
        ("2/4", "2-4"),
        ("2 / 4", "2-4"),
        ("2,4", "2-4"),
        ("14&16", "14-16"),
        ("1-3-5", "1-3-5"),
        ("#9", "9"),
        ("No. 9", "9"),
        ("A", "A"),
        ("Main", "Main"),
        ("CB 12", "CB 12"),
        ("SP-2", "SP-2"),
        ("GFI 3", "GFI 3"),
    ],
)
def test_numbers_of_panels(typed: str, kept: str) -> None:
    assert circuit_number(typed) == kept


@pytest.mark.parametrize(
    "typed", ["", "?", "!!!", "kitchen", "asdf", "12345", "1/", "-3", "1 2 3 4 5 6 7", "(;"]
)
def test_rubbish(typed: str) -> None:
    assert circuit_number(typed) is None
