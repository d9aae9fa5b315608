"""Forms of sections: which numbers an edition can have."""

from __future__ import annotations

import pytest

from walkthrough.rulebook.sections import fits, joined


@pytest.mark.parametrize(
    ("section", "form", "expected"),
    [
        ("210.8(A)(7)", "210.8(A)({1-11})", True),
        ("210.8(A)(12)", "210.8(A)({1-11})", False),
        ("210.8(A)(0)", "210.8(A)({1-11})", False),
        ("406.4(D)(2)(b)", "406.4(D)(#)(~)", True),
        ("406.4(D)(2)(B)", "406.4(D)(#)(~)", False),
        ("406.9(C)", "406.9(@)", True),
        ("406x9(C)", "406.9(@)", False),
        ("210.8(A)(7) Exception", "210.8(A)({1-11})", False),
        ("OAC 4101:8-34-01, amendment", "OAC 4101:8-34-01*", True),
        ("Article 430", "Article {430-440}", True),
        ("Article 450", "Article {430-440}", False),
    ],
)
def test_a_section_has_a_form_or_not(section: str, form: str, expected: bool) -> None:
    assert fits(section, [form]) is expected


def test_a_file_takes_over_the_forms_below_where_it_says_so() -> None:
    assert joined(["...", "SPS 316"], ("210.8",)) == ("210.8", "SPS 316")
    assert joined(["SPS 316"], ("210.8",)) == ("SPS 316",)
