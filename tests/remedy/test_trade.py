"""What the trade demands of a plan, each on one small circuit.

Sources of the trade's constraints: the hand-worked key of the invented demonstration house; for
replaced receptacles and ungrounded boxes JADE Learning, Replacing Two-Wire Receptacles, and EC&M,
Article 406: Receptacles; for ratings a code-forum thread on Table 210.21(B)(3). The prices are
the round ones of the demonstration.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.remedy.houses import DAY, planner
from walkthrough.remedy.items import known_cents
from walkthrough.remedy.plan import Plan, make_plan
from walkthrough.remedy.work import applied
from walkthrough.report.plan_json import plan_json
from walkthrough.report.plan_lists import labels
from walkthrough.report.plan_text import plan_text
from walkthrough.survey.model import PANEL, Circuit, JudgedBy, Outlet, Panel, Room, Session, Visit

BASEMENT = {"place": ["basement"], "habitable": False, "wetness": "dry"}
BEDROOM = {"place": ["bedroom"], "habitable": True, "wetness": "dry"}
OUTSIDE = {"place": ["outdoors"], "wetness": "wet"}
PLAIN: dict[str, Any] = {
    "point": "receptacle",
    "device": "plain",
    "volts": 125,
    "amps": 15,
    "yoke": "duplex",
    "slots": "three_slot",
    "equipment_ground": "connected",
    "plate": "indoor",
    "tr_mark": False,
    "wr_mark": False,
    "damage": "sound",
    "readily_accessible": True,
    "serves": ["general"],
    "serves_counter": False,
    "feet_to_sink": 50,
    "feet_to_tub": 50,
    "feet_beside_tub": 50,
    "inches_above_floor": 14,
    "cord_as_wiring": False,
    "work": "untouched",
}


def receptacle(name: str, fed_from: str = PANEL, known: str = "opened", **other: Any) -> Outlet:
    side = other.pop("side", "through")
    room = other.pop("room", "basement")
    readings = other.pop("readings", {"tester": "correct"})
    return Outlet.model_validate(
        {
            "id": name,
            "room": room,
            "circuit": other.pop("circuit", "C1"),
            "fed_from": fed_from,
            "side": side,
            "order_known_by": known,
            "answers": PLAIN | other,
            "readings": readings,
        }
    )


def circuit(name: str = "C1", **other: Any) -> Circuit:
    partner = other.pop("shares_neutral_with", "")
    answers = {
        "breaker": "standard",
        "breaker_amps": 20,
        "circuit_volts": 120,
        "conductor": "cu12",
        "individual": False,
        "shares_neutral": False,
        "directory_entry": "good",
        "wires_under_screw": "one",
        "circuit_work": "untouched",
    }
    given = {"id": name, "panel": "P1", "answers": answers | other, "shares_neutral_with": partner}
    return Circuit.model_validate(given)


def plan(
    *outlets: Outlet,
    circuits: tuple[Circuit, ...] = (),
    panel: Any = None,
    scope: str = "fix",
    ruleset: str = "nec-2020",
) -> Plan:
    rooms = {"basement": BASEMENT, "bedroom": BEDROOM, "outside": OUTSIDE}
    session = Session(
        title="A small circuit",
        judged_by=JudgedBy(ruleset="nec-2020"),
        visits=[Visit(date=DAY)],
        panels=[
            Panel.model_validate(
                {
                    "id": "P1",
                    "answers": {"panel_accessible": True, "panel_kind": "breakers"} | (panel or {}),
                }
            )
        ],
        circuits=list(circuits or (circuit(),)),
        rooms=[
            Room.model_validate({"id": name, "name": name, "answers": answers})
            for name, answers in rooms.items()
        ],
        outlets=list(outlets),
    )
    return make_plan(planner(session, ruleset, scope))


def told(plan: Plan) -> list[str]:
    return sorted(f"{each.price.code} {each.done.at}" for each in plan.items)


def test_one_device_at_the_first_outlet_protects_what_hangs_on_its_load() -> None:
    made = plan(receptacle("1"), receptacle("2", "1"), receptacle("3", "2"))
    assert told(made) == ["GFCI20-TR 1"]
    assert made.items[0].load == ("2",)


def test_two_branches_from_the_panel_need_two_devices_or_the_breaker() -> None:
    # Two devices are 108.00, the breaker 77.50.
    assert told(plan(receptacle("1"), receptacle("2"))) == ["BRK-GFCI C1"]


def test_where_the_order_is_unknown_only_the_breaker_or_a_device_at_each_is_right() -> None:
    made = plan(receptacle("1"), receptacle("2", "1", known="unknown"))
    assert told(made) == ["BRK-GFCI C1"]
    # After a look it may be one device for 54.00; the look itself has no price in the list.
    part = plan_json(made)["circuits"][0]["after_opening"]
    assert (part["cost_then"], part["opening"]) == (54.0, "ask")


def test_what_is_fed_ahead_of_a_working_gfci_is_moved_to_its_load() -> None:
    gfci = receptacle(
        "1", device="gfci", amps=20, readings={"tester": "correct", "test_result": "trips"}
    )
    made = plan(gfci, receptacle("2", "1", side="line"))
    assert told(made) == ["REWIRE 1"]
    assert made.items[0].load == ("2",)


def test_a_device_whose_test_was_not_tried_earns_no_credit() -> None:
    seen = receptacle("1", device="gfci", amps=20, readings={"tester": "correct"})
    tried = receptacle(
        "1", device="gfci", amps=20, readings={"tester": "correct", "test_result": "trips"}
    )
    assert told(plan(tried)) == []
    assert told(plan(seen)) == ["GFCI20-TR 1"]


def test_a_protective_device_goes_only_where_it_is_readily_accessible() -> None:
    assert told(plan(receptacle("1", readily_accessible=False))) == ["BRK-GFCI C1"]


def test_a_20_a_device_goes_only_on_a_20_a_circuit() -> None:
    fifteen = circuit(breaker_amps=15, conductor="cu14")
    assert told(plan(receptacle("1"), circuits=(fifteen,))) == ["GFCI15-TR 1"]


def test_a_full_box_takes_no_protective_device_before_it_is_bigger() -> None:
    # Box fill 16.0 in3 by the count of the key: 4 conductors, 1 ground, 1 clamp, 2 for the device.
    full: dict[str, Any] = {
        "box_opened": True,
        "box_volume_in3": 12.5,
        "box_wires_14": 4,
        "box_grounds": 2,
        "box_ground_size": "awg14",
        "box_clamps": True,
        "box_device_gangs": 1,
        "box_device_wire": "awg14",
    }
    fifteen = circuit(breaker_amps=15, conductor="cu14")
    made = plan(receptacle("1", **full), circuits=(fifteen,))
    assert told(made) == ["BOX 1", "GFCI15-TR 1"]


def test_a_box_that_was_not_opened_is_reckoned_by_the_wiring() -> None:
    # Three 12/2 cables: 6 x 2.25 + 2.25 + 4.50 = 20.25 in3 (314.16(B)); the box has 18.
    outlets = (receptacle("1", box_volume_in3=18), receptacle("2", "1"), receptacle("3", "1"))
    assert told(plan(*outlets)) == ["BRK-GFCI C1"]


def test_a_replaced_receptacle_in_an_afci_room_is_afci_protected_and_tr() -> None:
    damaged = receptacle("1", room="bedroom", damage="damaged")
    made = plan(damaged)
    assert told(made) == ["AFCI20-TR 1"]
    assert any("406.4(D)(4)" in each.why for each in made.parts[0].cheaper)


def test_a_plate_alone_triggers_nothing() -> None:
    assert told(plan(receptacle("1", room="bedroom", plate="none"))) == ["PLATE 1"]


def test_outside_the_replacement_is_wr_with_an_in_use_cover() -> None:
    made = plan(receptacle("1", room="outside", plate="closed_only"))
    assert told(made) == ["GFCI20-TRWR 1", "HOOD 1"]


def test_shared_neutrals_bar_single_pole_protective_breakers() -> None:
    pair = (
        circuit(
            "C1",
            shares_neutral=True,
            simultaneous_disconnect="handle_tie",
            shares_neutral_with="C2",
        ),
        circuit(
            "C2",
            shares_neutral=True,
            simultaneous_disconnect="handle_tie",
            shares_neutral_with="C1",
        ),
    )
    far = (
        receptacle("1", readily_accessible=False),
        receptacle("2", circuit="C2", readily_accessible=False),
    )
    made = plan(*far, circuits=pair)
    assert told(made) == ["BRK2-GFCI20 C1"]
    assert known_cents(made.items) == 14500


def test_a_fuse_panel_takes_no_protective_breakers_and_the_clash_is_told() -> None:
    made = plan(receptacle("1", readily_accessible=False), panel={"panel_kind": "fuses"})
    assert told(made) == []
    (left,) = made.unsolved
    assert left.rule.declared.cite == ("210.8(A)(5)",)
    clash = " ".join(left.clash)
    assert "BRK-GFCI" in clash
    assert "a fuse panel takes no breakers" in clash
    assert "a protective device must be readily accessible" in clash
    assert "NOT SOLVED 1" in plan_text(made)


def test_aluminum_bars_device_swaps_until_it_is_spliced() -> None:
    al = circuit(breaker_amps=15, conductor="al12")
    made = plan(receptacle("1", termination="direct", coalr_mark=False), circuits=(al,))
    # Splices and a device are 99.50; splices and a breaker would be 127.00.
    assert told(made) == ["GFCI15-TR 1", "PIGTAIL-AL 1"]


def test_an_ungrounded_three_slot_gets_a_gfci_and_its_mark() -> None:
    bare = receptacle(
        "1", room="bedroom", equipment_ground="none", readings={"tester": "open_ground"}
    )
    made = plan(bare)
    assert labels(made) == [("1", "No Equipment Ground")] or "BRK-GFCI C1" in told(made)
    assert made.unsolved == ()


def test_ungrounded_receptacles_behind_a_gfci_get_both_marks() -> None:
    none: dict[str, Any] = {"equipment_ground": "none", "readings": {"tester": "open_ground"}}
    made = plan(receptacle("1", **none), receptacle("2", "1", **none))
    assert told(made) == ["GFCI20-TR 1", "LABEL 1", "LABEL 2"]
    assert sorted(labels(made)) == [
        ("1", "No Equipment Ground"),
        ("2", "GFCI Protected"),
        ("2", "No Equipment Ground"),
    ]


def test_a_new_face_does_not_bring_a_ground_that_was_not_found() -> None:
    """Open ground in a box that was not opened: GFCI protection or a ground, never a mere swap."""
    unseen: dict[str, Any] = {"equipment_ground": "not_seen", "readings": {"tester": "open_ground"}}
    made = plan(receptacle("1", room="bedroom", **unseen))
    # The bedroom asks for AFCI as well when the receptacle is replaced: 75.00, a breaker is 77.50.
    assert told(made) == ["DF20-TR 1"]
    assert told(plan(receptacle("1", **unseen))) == ["GFCI20-TR 1"]


def after(made: Plan, name: str) -> Outlet:
    """An outlet when the plan is done."""
    planner = made.planner
    done = applied(planner.session, made.works, planner.book.questions)
    return next(each for each in done.outlets if each.id == name)


BRIDGED: dict[str, Any] = {"equipment_ground": "bridged_to_neutral"}
NO_GROUND: dict[str, Any] = {"equipment_ground": "none", "readings": {"tester": "open_ground"}}


def test_a_bridge_comes_off_and_the_cheapest_lawful_outcome_without_ground_is_planned() -> None:
    """A false ground in a bedroom: GFCI there, with its mark; AFCI as the receptacle is replaced.

    75.00 and 1.75 against 22.50, 77.50 and 1.75 for taking off the bridge behind a GFCI breaker.
    """
    made = plan(receptacle("1", room="bedroom", **BRIDGED))
    assert told(made) == ["DF20-TR 1", "LABEL 1"]
    assert labels(made) == [("1", "No Equipment Ground")]
    assert after(made, "1").answers["equipment_ground"] == "none"
    assert after(made, "1").readings["tester"] == "open_ground"
    assert "leave out the bridge from the ground contact to the neutral" in plan_text(made).lower()
    assert made.unsolved == ()


def test_behind_a_gfci_the_bridge_comes_off_and_both_marks_go_on() -> None:
    tested = {"tester": "correct", "test_result": "trips"}
    gfci = receptacle("1", device="gfci", amps=20, readings=tested, room="bedroom")
    made = plan(gfci, receptacle("2", "1", side="load", room="bedroom", **BRIDGED))
    assert told(made) == ["LABEL 2", "REWIRE 2"]
    assert sorted(labels(made)) == [("2", "GFCI Protected"), ("2", "No Equipment Ground")]
    assert "take off the bridge" in plan_text(made).lower()


def test_two_slots_do_where_nothing_else_is_asked_for_when_a_receptacle_is_replaced() -> None:
    """Under the 2008 edition no AFCI is due: 26.00 against 50.00 and 1.75 for GFCI and mark.

    Whether two slots may take the place of three is argued: the plan says so.
    """
    fifteen = circuit(breaker_amps=15, conductor="cu14")
    for found in (BRIDGED, NO_GROUND):
        bare = receptacle("1", room="bedroom", **found)
        made = plan(bare, circuits=(fifteen,), ruleset="nec-2008")
        assert told(made) == ["DUP15-2SLOT 1"]
        assert after(made, "1").answers["equipment_ground"] == "none"
        assert "argued among inspectors" in " ".join(made.items[0].notes)


def test_two_slots_are_only_for_boxes_that_are_known_to_hold_no_ground() -> None:
    """Open ground in a box that nobody opened: a ground may be there, and then it must be used."""
    unseen = receptacle("1", room="bedroom", readings={"tester": "open_ground"})
    unseen.answers["equipment_ground"] = "not_seen"
    made = plan(unseen, ruleset="nec-2008")
    assert "DUP15-2SLOT 1" not in told(made)
    assert made.unsolved == ()


def test_no_ground_is_carried_on_from_an_ungrounded_receptacle() -> None:
    bare = receptacle(
        "1",
        equipment_ground="none",
        ground_carried_on=True,
        mark_no_ground=True,
        mark_gfci_protected=True,
        readings={"tester": "open_ground"},
    )
    by_breaker = circuit(breaker="gfci")
    by_breaker.readings["breaker_test_result"] = "trips"
    assert told(plan(bare, circuits=(by_breaker,))) == ["REWIRE 1"]


def test_an_extended_circuit_is_cured_by_an_afci_at_its_first_receptacle() -> None:
    extended = circuit(circuit_work="extension", circuit_work_year=2016, extension_adds_outlet=True)
    made = plan(
        receptacle("1", room="bedroom"), receptacle("2", "1", room="bedroom"), circuits=(extended,)
    )
    assert told(made) == ["AFCI20-TR 1"]


def test_swapping_the_device_of_an_added_outlet_does_not_hide_that_it_was_added() -> None:
    """A receptacle added in 2016 without AFCI on its circuit: a new face cures only its own rule."""
    added = receptacle("2", "1", room="bedroom", work="extension", work_year=2016, damage="damaged")
    made = plan(receptacle("1", room="bedroom"), added)
    why = " ".join(each for item in made.items for each in item.why)
    assert "210.12(D)" in why
    assert told(made) in (["AFCI20-TR 1", "DUP15-TR 2"], ["BRK-AFCI C1", "DUP15-TR 2"])


def test_a_240_v_receptacle_in_a_basement_gets_a_two_pole_breaker() -> None:
    dryer = receptacle("1", volts=250, amps=30, serves=["dryer"], readily_accessible=False)
    made = plan(dryer, circuits=(circuit(circuit_volts=240, breaker_amps=30, conductor="cu10"),))
    assert told(made) == ["BRK2-GFCI30/50 C1"]


def test_a_price_that_is_not_known_is_asked_for_and_never_nothing() -> None:
    dryer = receptacle("1", volts=250, amps=50, serves=["range"], readily_accessible=False)
    made = plan(dryer, circuits=(circuit(circuit_volts=240, breaker_amps=40, conductor="cu8"),))
    told_json = plan_json(made)
    assert told(made) == ["BRK2-GFCI C1"]
    assert (told_json["total"], told_json["circuits"][0]["cost"]) == ("ask", "ask")
    assert told_json["circuits"][0]["actions"][0]["material"] == "ask"
    assert told_json["shopping_list"][0]["material"] == "ask"


@pytest.mark.parametrize(
    ("scope", "expected"),
    [
        ("now", ["PLATE 1"]),
        ("defects", ["PLATE 1"]),
        ("fix", ["GFCI20-TR 1", "PLATE 1"]),
        ("all", ["GFCI20-TR 1", "PLATE 1"]),
    ],
)
def test_scopes_take_in_more_and_more(scope: str, expected: list[str]) -> None:
    assert told(plan(receptacle("1", plate="none"), scope=scope)) == expected


def test_nothing_to_do_costs_nothing_and_says_so() -> None:
    made = plan(receptacle("1", room="bedroom"))
    assert (told(made), known_cents(made.items), made.unsolved) == ([], 0, ())


def test_units_with_the_same_names_are_planned_apart() -> None:
    """Two units, each with a panel P1, a circuit C1 and an outlet 1; only one lacks a GFCI."""
    parts: dict[str, list[Any]] = {"panel": [], "circuit": [], "room": [], "outlet": []}
    for unit, device, test in (("A", "plain", {}), ("B", "gfci", {"test_result": "trips"})):
        parts["panel"].append(
            {
                "id": "P1",
                "unit": unit,
                "answers": {"panel_accessible": True, "panel_kind": "breakers"},
            }
        )
        parts["circuit"].append(circuit().model_dump() | {"panel": f"{unit}/P1"})
        parts["room"].append(
            {"id": "basement", "unit": unit, "name": "basement", "answers": BASEMENT}
        )
        made = receptacle("1", device=device, amps=20, readings={"tester": "correct", **test})
        names = {"room": f"{unit}/basement", "circuit": f"{unit}/P1/C1"}
        parts["outlet"].append(made.model_dump() | names)
    session = Session.model_validate(
        {
            "title": "Two units",
            "judged_by": {"ruleset": "nec-2020"},
            "visit": [{"date": DAY}],
            "unit": [{"id": "A"}, {"id": "B"}],
            **parts,
        }
    )
    (name,) = [each for each in session.references(session.outlets) if each.startswith("A")]
    made_plan = make_plan(planner(session))
    assert told(made_plan) == [f"GFCI20-TR {name}"]
    assert made_plan.unsolved == ()
