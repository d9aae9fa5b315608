"""Box fill against published worked examples, and properties that hold for every box."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkthrough.trade.box_fill import BoxContents, Device, contents_from, fill
from walkthrough.trade.tables import NoRow

# Volume per conductor: two public reproductions of Table 314.16(B).
ALLOWANCE = {
    "18": 1.5,
    "16": 1.75,
    "14": 2.0,
    "12": 2.25,
    "10": 2.5,
    "8": 3.0,
    "6": 5.0,
}
# One allowance for up to four grounds and a quarter for each further one: 2020 edition on.
COUNTS_2020 = {
    "first_grounds": 1,
    "grounds_in_first": 4,
    "per_further_ground": 0.25,
    "clamps": 1,
    "support_fitting": 1,
    "per_gang": 2,
    "terminal_block": 0,
}
# Terminal blocks: continuing-education page on 314.16(B)(6), 2023 edition.
COUNTS_2023 = COUNTS_2020 | {"terminal_block": 1}
# All grounds together one allowance: box-fill lesson of a web electrician course, to 2017.
COUNTS_2017 = COUNTS_2020 | {"per_further_ground": 0}


def total(contents: BoxContents, counts: dict[str, float] | None = None) -> float:
    return fill(contents, ALLOWANCE, counts or COUNTS_2020).total_in3


# ------------------------------------------------------------- published worked examples


def test_loops_of_twelve_inches_count_twice() -> None:
    # EC&M Code Quiz 39: 3 black straight through, 3 red and 6 white looped 12 in., a green cut
    # in two, a bonding pigtail inside; 49.5 in3.
    contents = BoxContents(wires={"12": 3 + 2 * 3 + 2 * 6}, grounds=2, ground_size="12")
    assert total(contents) == 49.5


def test_ten_grounds_are_two_and_a_half_allowances() -> None:
    # Public code forum "EGC Fill": five 14 AWG and five 12 AWG grounds, 5.6 in3 (5.625).
    contents = BoxContents(grounds=10, ground_size="12")
    assert total(contents) == 5.625
    assert total(contents, COUNTS_2017) == 2.25


def test_dryer_receptacle_that_takes_two_gangs() -> None:
    # Contractors' forum "Box fill question 314.16(B)(4)": 20.0 in3.
    contents = BoxContents(wires={"10": 3}, grounds=1, ground_size="10", devices=(Device(2, "10"),))
    assert total(contents) == 20.0


def test_four_cables_and_a_receptacle() -> None:
    # Practice-exam page, Code Standards and Practices 1: four 12/2, no clamps, 24.75 in3; four
    # grounds are one allowance before and after 2020.
    contents = BoxContents(wires={"12": 8}, grounds=4, ground_size="12", devices=(Device(1, "12"),))
    assert total(contents, COUNTS_2020) == total(contents, COUNTS_2017) == 24.75


def test_nine_wires_of_12_awg_need_the_4_by_1_1_2_square_box() -> None:
    # EC&M "Code Calculations" and "NEC Requirements for Sizing Outlet Boxes" (2019): 21.0 in3.
    nine = fill(BoxContents(wires={"12": 9}), ALLOWANCE, COUNTS_2020)
    assert nine.total_in3 == 20.25
    assert nine.fits(21.0)
    assert not nine.fits(18.0)  # the next smaller square box


def test_seven_wires_of_14_awg_in_a_4_by_1_1_2_round_box() -> None:
    # EC&M "Code Calculations": 15.5 in3 holds seven.
    assert fill(BoxContents(wires={"14": 7}), ALLOWANCE, COUNTS_2020).fits(15.5)
    assert not fill(BoxContents(wires={"14": 8}), ALLOWANCE, COUNTS_2020).fits(15.5)


TWO_CABLES_CLAMP_RECEPTACLE = BoxContents(
    wires={"12": 4}, grounds=2, ground_size="12", clamps=True, devices=(Device(1, "12"),)
)


def test_a_full_box_passes_and_its_sum_can_be_checked() -> None:
    # Contractor's page on Article 314: 9.0 + 2.25 + 2.25 + 4.5 = 18.0. The page then calls an
    # 18 in3 box too small; "in no case less than" lets equal pass.
    result = fill(TWO_CABLES_CLAMP_RECEPTACLE, ALLOWANCE, COUNTS_2020)
    assert [(step.label, step.count, step.each_in3, step.in3) for step in result.steps] == [
        ("12 AWG wires", 4, 2.25, 9.0),
        ("grounding wires", 1, 2.25, 2.25),
        ("clamps inside", 1, 2.25, 2.25),
        ("device on 12 AWG", 2, 2.25, 4.5),
    ]
    assert result.total_in3 == 18.0
    assert result.fits(18.0)
    assert not result.fits(17.99)


# ----------------------------------------------------- what each thing is measured by (facts)


def test_each_device_is_measured_by_its_own_wire() -> None:
    # Two pages on 314.16(B)(4); using the largest wire for every yoke is a known short cut.
    mixed = BoxContents(wires={"14": 2, "12": 2}, devices=(Device(1, "14"), Device(1, "12")))
    assert total(mixed) == 2 * 2.0 + 2 * 2.25 + 2 * 2.0 + 2 * 2.25


def test_grounds_are_measured_by_the_largest_ground_not_the_largest_wire() -> None:
    # Two pages on 314.16(B)(5).
    assert total(BoxContents(wires={"10": 2}, grounds=1, ground_size="14")) == 2 * 2.5 + 2.0


def test_clamps_and_fittings_are_measured_by_the_largest_conductor_in_the_box() -> None:
    # Two pages on 314.16(B)(2) and (B)(3); a ground and a device's pigtail are conductors too.
    box = BoxContents(wires={"14": 2}, clamps=True, support_fittings=2)
    assert total(box) == 2 * 2.0 + 3 * 2.0
    assert total(replace(box, grounds=1, ground_size="12")) == 2 * 2.0 + 2.25 + 3 * 2.25
    assert total(replace(box, devices=(Device(1, "12"),))) == 2 * 2.0 + 2 * 2.25 + 3 * 2.25


def test_the_fifth_ground_adds_a_quarter() -> None:
    # Two pages on 314.16(B)(5), 2020 edition.
    four, five, six = (total(BoxContents(grounds=n, ground_size="14")) for n in (4, 5, 6))
    assert (four, five, six) == (2.0, 2.5, 3.0)


def test_terminal_blocks_count_from_the_2023_edition() -> None:
    # Continuing-education page on 314.16(B)(6).
    box = BoxContents(wires={"12": 4}, terminal_blocks=1)
    assert total(box, COUNTS_2020) == 9.0
    assert total(box, COUNTS_2023) == 11.25


def test_an_empty_box_takes_nothing() -> None:
    assert fill(BoxContents(clamps=True), ALLOWANCE, COUNTS_2023).steps == ()


def test_a_wire_without_an_allowance_is_refused() -> None:
    with pytest.raises(ValueError, match="no volume allowance for 18 AWG"):
        fill(BoxContents(wires={"18": 1}), {"14": 2.0}, COUNTS_2020)


def test_decimal_volumes_that_are_no_binary_fractions_still_fit_exactly() -> None:
    # 3 x 0.1 is more than 0.3 in binary arithmetic.
    assert fill(BoxContents(wires={"14": 3}), {"14": 0.1}, COUNTS_2020).fits(0.3)


# --------------------------------------------------------------- properties of every box

sizes = st.sampled_from(sorted(ALLOWANCE))
boxes = st.builds(
    BoxContents,
    wires=st.dictionaries(sizes, st.integers(0, 12)),
    grounds=st.integers(0, 12),
    ground_size=sizes,
    clamps=st.booleans(),
    devices=st.lists(st.builds(Device, st.integers(0, 3), sizes), max_size=4).map(tuple),
    support_fittings=st.integers(0, 2),
    terminal_blocks=st.integers(0, 3),
)


@given(boxes, sizes)
def test_putting_something_in_never_makes_room(box: BoxContents, size: str) -> None:
    before = total(box, COUNTS_2023)
    more = [
        replace(box, wires={**box.wires, size: box.wires.get(size, 0) + 1}),
        replace(box, grounds=box.grounds + 1),
        replace(box, clamps=True),
        replace(box, devices=(*box.devices, Device(1, size))),
        replace(box, support_fittings=box.support_fittings + 1),
        replace(box, terminal_blocks=box.terminal_blocks + 1),
    ]
    assert all(total(each, COUNTS_2023) >= before for each in more)
    assert total(more[0], COUNTS_2023) >= before + ALLOWANCE[size]


@given(boxes)
def test_the_order_of_telling_does_not_matter(box: BoxContents) -> None:
    turned = replace(
        box,
        wires=dict(reversed(list(box.wires.items()))),
        devices=tuple(reversed(box.devices)),
    )
    assert fill(turned, ALLOWANCE, COUNTS_2023) == fill(box, ALLOWANCE, COUNTS_2023)


@given(boxes)
def test_the_total_is_the_sum_of_the_steps_and_fits_itself(box: BoxContents) -> None:
    result = fill(box, ALLOWANCE, COUNTS_2023)
    assert result.total_in3 == sum(step.in3 for step in result.steps)
    assert result.fits(result.total_in3)
    assert all(step.count > 0 and step.each_in3 > 0 for step in result.steps)


# -------------------------------------------------------------------- from the answers

TWO_CABLES_ANSWERED: dict[str, Any] = {
    "box_wires_12": 4,
    "box_grounds": 2,
    "box_ground_size": "awg12",
    "box_clamps": True,
    "box_device_gangs": 1,
    "box_device_wire": "awg12",
}


def test_answers_make_the_contents() -> None:
    assert contents_from(TWO_CABLES_ANSWERED) == TWO_CABLES_CLAMP_RECEPTACLE


def test_fittings_and_blocks_are_taken_over() -> None:
    contents = contents_from(
        TWO_CABLES_ANSWERED | {"box_support_fittings": 1, "box_terminal_blocks": 2.0}
    )
    assert contents == replace(TWO_CABLES_CLAMP_RECEPTACLE, support_fittings=1, terminal_blocks=2)


@pytest.mark.parametrize("question", sorted(set(TWO_CABLES_ANSWERED) - {"box_wires_12"}))
def test_each_needed_answer_is_asked_for(question: str) -> None:
    answers = {key: value for key, value in TWO_CABLES_ANSWERED.items() if key != question}
    assert contents_from(answers) == (question,)


def test_sizes_are_not_asked_for_where_there_is_nothing_of_the_kind() -> None:
    answers = {"box_wires_14": 2, "box_grounds": 0, "box_clamps": False, "box_device_gangs": 0}
    assert contents_from(answers) == BoxContents(wires={"14": 2})


def test_nothing_answered_asks_for_the_commonest_wires_first() -> None:
    missing = contents_from({})
    assert isinstance(missing, tuple)
    assert missing[:2] == ("box_wires_14", "box_wires_12")
    assert missing[-3:] == ("box_grounds", "box_clamps", "box_device_gangs")
    assert len(missing) == 10


def test_no_wire_of_one_size_leaves_the_other_sizes_open() -> None:
    answers = {key: value for key, value in TWO_CABLES_ANSWERED.items() if key != "box_wires_12"}
    missing = contents_from(answers | {"box_wires_14": 0})
    assert isinstance(missing, tuple)
    assert "box_wires_12" in missing
    assert "box_wires_14" not in missing


def test_no_wire_of_any_size_is_an_answer() -> None:
    none = {f"box_wires_{size}": 0 for size in ALLOWANCE}
    answers = {**none, "box_grounds": 0, "box_clamps": False, "box_device_gangs": 0}
    assert contents_from(answers) == BoxContents()


def test_an_answer_of_the_wrong_kind_is_no_answer() -> None:
    assert contents_from(TWO_CABLES_ANSWERED | {"box_grounds": True}) == ("box_grounds",)
    assert contents_from(TWO_CABLES_ANSWERED | {"box_clamps": "some"}) == ("box_clamps",)


@pytest.mark.parametrize("count", [float("inf"), float("nan")])
@pytest.mark.parametrize("question", ["box_grounds", "box_device_gangs"])
def test_a_number_that_counts_nothing_is_no_answer(question: str, count: float) -> None:
    assert contents_from(TWO_CABLES_ANSWERED | {question: count}) == (question,)


def test_only_counts_that_the_box_needs_are_looked_up() -> None:
    contents = BoxContents(wires={"12": 4})
    assert total(contents, {"unused": 1.0}) == 9.0
    with pytest.raises(NoRow, match="terminal_block"):
        total(replace(contents, terminal_blocks=1), {"unused": 1.0})
