"""The demonstration house: the plan is that of the hand-worked key, to the cent and the minute.

Source of every figure here: the hand-worked key of the invented demonstration house, which was
added up before the program existed, with its list of assumed round prices.
"""

from __future__ import annotations

import pytest

from tests.remedy.houses import larkspur, planner
from walkthrough.judge.judge import judge
from walkthrough.remedy.items import known_cents
from walkthrough.remedy.plan import Plan, make_plan
from walkthrough.remedy.work import applied
from walkthrough.report.plan_lists import material, minutes

BOTH: dict[str, tuple[float, list[str]]] = {
    "C1": (45.00, ["REWIRE B2-2", "REWIRE B3-2"]),
    "C2": (198.00, [f"PIGTAIL-AL PR-{n}" for n in (1, 2, 3, 4)]),
    "C3": (
        222.50,
        [
            "DF15-TR L-1",
            "DUP15-TR L-2",
            "DUP15-TRWR OUT-1",
            "DUP15-TRWR P-1",
            "DUP15-TRWR P-2",
            "FLIP P-1",
            "HOOD OUT-1",
            "UNCORD P-2",
        ],
    ),
    "C5 + C7": (37.50, ["REWIRE K-4", "TIE C5"]),
    "C8": (77.50, ["BRK-GFCI C8"]),
    "C13": (77.50, ["BRK-GFCI C13"]),
    "C14": (150.00, ["BRK2-GFCI30/50 C14"]),
    "C15": (79.00, ["DF20-TR R-1", "PLATE R-3"]),
    "C17": (54.00, ["GFCI20-TR U-1"]),
    "C18": (16.00, ["PIGTAIL-CU C18"]),
    "C19": (77.50, ["BRK-GFCI C19"]),
    "panel P1": (30.00, ["DIRECTORY P1"]),
}
C11 = ["BOX PB-1", "BRK-STD C11", "DUP15-TRWR OUT-2", "GFCI15-TR HB-1", "HOOD OUT-2"]
KEY: dict[str, dict[str, tuple[float, list[str]]]] = {
    "nec-2020": {**BOTH, "C6": (26.00, ["BRK-STD C6"]), "C11": (181.00, C11)},
    "nec-2023": {
        **BOTH,
        "C4": (22.50, ["REWIRE WB-2"]),
        "C6": (77.50, ["BRK-GFCI C6"]),
        "C9": (77.50, ["BRK-GFCI C9"]),
        "C10": (150.00, ["BRK2-GFCI30/50 C10"]),
        "C11": (198.00, sorted([*C11, "BLANK PB-2"])),
    },
}
TOTALS = {"nec-2020": (1271.50, 562.00, 473), "nec-2023": (1590.00, 786.00, 536)}


@pytest.fixture(scope="module", params=["nec-2020", "nec-2023"])
def plan(request: pytest.FixtureRequest) -> Plan:
    return make_plan(planner(larkspur(request.param), request.param))


def ways(plan: Plan, circuit: str) -> dict[str, float]:
    part = next(each for each in plan.parts if each.name == circuit)
    return {e.name: known_cents(e.items) / 100 for e in part.alternatives if e.possible}


def test_every_circuit_is_the_key_action_for_action(plan: Plan) -> None:
    found = {
        part.name: (
            known_cents(part.items) / 100,
            sorted(f"{each.price.code} {each.done.at}" for each in part.items),
        )
        for part in plan.parts
    }
    assert found == KEY[plan.planner.book.id]


def test_money_material_and_minutes_add_up(plan: Plan) -> None:
    found = (known_cents(plan.items) / 100, material(plan.items), minutes(plan.items))
    assert found == TOTALS[plan.planner.book.id]


def test_nothing_of_the_scope_is_left_for_the_judge(plan: Plan) -> None:
    """The record itself, without any assumption, judged again as it is judged every day."""
    planner, book = plan.planner, plan.planner.book
    assert not plan.unsolved
    assert plan.proven
    after = judge(applied(planner.record, plan.works, book.questions), book, planner.day)
    left = [
        (each.subject, each.rule)
        for each in after.findings
        if each.kind == "defect"
        or (each.kind == "gap" and (each.topic == "gfci" or each.severity != "upgrade"))
    ]
    assert left == []


def test_the_choices_of_the_key_come_out_with_their_figures(plan: Plan) -> None:
    # C3: AFCI at L-1 and GFCI at OUT-1 and P-1, or one dual-function breaker.
    c3 = ways(plan, "C3")
    assert (c3["local-reset"], c3["on-breakers"]) == (278.50, 235.00)
    # C11: a 15 A GFCI breaker and a plain receptacle at HB-1, 98.50 instead of 76.00.
    assert round(ways(plan, "C11")["on-breakers"] - KEY[plan.planner.book.id]["C11"][0], 2) == 22.50
    # C15: GFCI breaker and plate. C17: a device of its own for the sump pump.
    assert ways(plan, "C15")["on-breakers"] == 81.50
    assert ways(plan, "C17")["own-device"] == 108.00


def test_what_is_cheaper_says_what_it_breaks(plan: Plan) -> None:
    told = {
        (each.at, each.price.code, (each.price.cents or 0) / 100): each.why
        for part in plan.parts
        for each in part.cheaper
    }
    # C15: GFCI20-TR at R-1 would break the rule on AFCI at a replaced receptacle.
    assert "406.4(D)(4)" in told["R-1", "GFCI20-TR", 54.00]


def test_the_key_has_no_cheaper_plan_but_for_15_a_devices_that_feed_20_a_through(
    plan: Plan,
) -> None:
    assert (ways(plan, "C15")["fifteen"], ways(plan, "C17")["fifteen"]) == (76.00, 50.00)


def test_each_item_says_what_it_clears(plan: Plan) -> None:
    assert all(item.why for item in plan.items)
    part = next(each for each in plan.parts if each.name == "C3")
    why = {f"{e.price.code} {e.done.at}": " ".join(e.why) for e in part.items}
    assert "extended without arc-fault protection" in why["DF15-TR L-1"]
    assert "OUT-1, P-1, P-2: Outdoor receptacle without GFCI" in why["DF15-TR L-1"]
    assert why["UNCORD P-2"].endswith("(400.12)")
