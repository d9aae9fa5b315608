"""Protection tracing, told as small houses with a trip-and-probe round.

What a TEST shows and what earns credit follows continuing-education pages on 210.8 and 406.4(D)
and the notes of 2003 and 2006 on UL 943 (line and load reversal); the layouts are invented.
"""

from __future__ import annotations

from typing import Any

import pytest

from walkthrough.survey.model import (
    Circuit,
    JudgedBy,
    Outlet,
    Panel,
    Room,
    Session,
    Trip,
)
from walkthrough.trade.contradictions import contradictions
from walkthrough.trade.protection import TRIP_TEST, DeviceTables, Tracer
from walkthrough.trade.wiring import Wiring

TABLES = DeviceTables(
    device={"plain": (), "gfci": ("gfci",), "afci": ("afci",), "dual": ("gfci", "afci")},
    breaker={"standard": (), "gfci": ("gfci",), "dual": ("gfci", "afci")},
    credit={"trips": "good", "face_live": "miswired", "nothing": "failed"},
    points={"receptacle": "receptacle", "blank_face": "device"},
)


def outlet(name: str, fed_from: str = "panel", side: Any = "through", **more: Any) -> Outlet:
    known_by = more.pop("known_by", "opened")
    circuit = more.pop("circuit", "C1")
    test = more.pop("test", None)
    answers = {"point": "receptacle", "device": "plain", **more}
    return Outlet(
        id=name,
        room="room",
        circuit=circuit,
        fed_from=fed_from,
        side=side,
        order_known_by=known_by,
        answers={word: value for word, value in answers.items() if value is not None},
        readings={} if test is None else {"test_result": test},
    )


def house(
    *outlets: Outlet,
    trips: list[Trip] | None = None,
    circuits: list[Circuit] | None = None,
    panels: list[Panel] | None = None,
) -> Tracer:
    session = Session(
        title="test",
        judged_by=JudgedBy(ruleset="any"),
        panels=panels or [Panel(id="P")],
        circuits=circuits or [Circuit(id="C1", panel="P", answers={"breaker": "standard"})],
        rooms=[Room(id="room", name="room")],
        outlets=list(outlets),
        trips=trips or [],
    )
    return Tracer(Wiring(session), TABLES)


def state(tracer: Tracer, name: str, kind: str = "gfci") -> str:
    return tracer.protection(tracer.wiring.outlets[name], kind).state


def test_a_working_device_protects_itself_and_its_load_side() -> None:
    tracer = house(
        outlet("A"),
        outlet("G", "A", device="gfci", test="trips"),
        outlet("B", "G", "load"),
        outlet("C", "B"),
    )
    assert [state(tracer, each) for each in "AGBC"] == ["no", "yes", "yes", "yes"]
    assert tracer.protection(tracer.wiring.outlets["C"], "gfci").by == ("G",)


def test_what_is_spliced_to_the_line_side_is_not_protected() -> None:
    tracer = house(outlet("G", device="gfci", test="trips"), outlet("B", "G", "line"))
    assert state(tracer, "B") == "no"


def test_a_splice_through_the_box_is_not_the_load_side() -> None:
    tracer = house(outlet("G", device="gfci", test="trips"), outlet("B", "G", "through"))
    assert state(tracer, "B") == "no"


def test_a_device_seen_but_not_tested_gives_unknown_never_yes() -> None:
    tracer = house(outlet("G", device="gfci"), outlet("B", "G", "load"))
    assert [state(tracer, each) for each in "GB"] == ["unknown", "unknown"]
    waits = tracer.protection(tracer.wiring.outlets["B"], "gfci").waits_for
    assert waits == (("G", "test_result"),)


def test_a_failed_device_gives_no_credit_to_anything() -> None:
    tracer = house(outlet("G", device="gfci", test="nothing"), outlet("B", "G", "load"))
    assert [state(tracer, each) for each in "GB"] == ["no", "no"]


@pytest.mark.parametrize(("void", "expected"), [(False, "no"), (True, "unknown"), (None, "no")])
def test_a_test_without_power_shows_nothing(void: bool | None, expected: str) -> None:
    """From memory: a device without power could not be tested."""
    traced = house(outlet("G", device="gfci", test="nothing"), outlet("B", "G", "load"))
    tracer = Tracer(traced.wiring, TABLES, lambda _: void)
    assert [state(tracer, each) for each in "GB"] == [expected] * 2
    told = tracer.protection(tracer.wiring.outlets["B"], "gfci").notes
    assert any("tells nothing" in each for each in told) is (void is True)


def test_a_device_whose_own_face_stays_live_gives_no_credit() -> None:
    tracer = house(
        outlet("G", device="gfci", test="face_live"),
        outlet("B", "G", "load"),
        trips=[Trip(at="G", action="test button", went_dead=["B"], stayed_live=["G"])],
    )
    assert [state(tracer, each) for each in "GB"] == ["no", "no"]
    assert "line and load swapped" in tracer.protection(tracer.wiring.outlets["B"], "gfci").notes[0]
    assert contradictions(tracer) == []


@pytest.mark.parametrize(
    ("dead", "live", "credit"),
    [(["G", "B"], [], "good"), (["B"], ["G"], "miswired"), ([], ["G", "B"], "failed")],
)
def test_the_trip_round_alone_tells_whether_a_device_works(
    dead: list[str], live: list[str], credit: str
) -> None:
    tracer = house(
        outlet("G", device="gfci"),
        outlet("B", "G", "load"),
        trips=[Trip(at="G", action="test button", went_dead=dead, stayed_live=live)],
    )
    assert tracer.device_credit(tracer.wiring.outlets["G"]) == credit


@pytest.mark.parametrize("known_by", ["inferred", "told", "unknown"])
def test_a_guessed_order_is_not_credited(known_by: str) -> None:
    tracer = house(
        outlet("G", device="gfci", test="trips"), outlet("B", "G", "load", known_by=known_by)
    )
    traced = tracer.protection(tracer.wiring.outlets["B"], "gfci")
    assert (traced.state, traced.waits_for) == ("unknown", (("G", TRIP_TEST),))


def test_a_trip_test_outranks_the_assumed_order_and_the_contradiction_is_told() -> None:
    tracer = house(
        outlet("G", device="gfci", test="trips"),
        outlet("B", "G", "load", known_by="told"),
        outlet("C", "panel", known_by="inferred"),
        trips=[Trip(at="G", action="test button", went_dead=["G", "C"], stayed_live=["B"])],
    )
    assert [state(tracer, each) for each in "BC"] == ["no", "yes"]
    assert sorted(each.outlet for each in contradictions(tracer)) == ["B", "C"]


def test_nothing_protective_on_the_circuit_means_no_whatever_the_order() -> None:
    tracer = house(outlet("A", "", known_by="unknown"), outlet("B", "", known_by="unknown"))
    assert state(tracer, "B") == "no"


def test_an_unseen_device_upstream_leaves_it_unknown() -> None:
    tracer = house(outlet("A", device=None), outlet("B", "A", "load"))
    assert [state(tracer, each) for each in "AB"] == ["unknown", "unknown"]


def test_an_unseen_device_downstream_does_not_matter() -> None:
    tracer = house(outlet("A"), outlet("B", "A", device=None, known_by="inferred"))
    assert [state(tracer, each) for each in "AB"] == ["no", "unknown"]


def test_a_gfci_is_no_afci_and_a_dual_function_device_is_both() -> None:
    tracer = house(
        outlet("G", device="gfci", test="trips"), outlet("D", device="dual", test="trips")
    )
    assert (state(tracer, "G", "afci"), state(tracer, "D", "afci")) == ("no", "yes")
    assert state(tracer, "D", "gfci") == "yes"


def test_a_blank_face_device_protects_what_hangs_on_it() -> None:
    tracer = house(
        outlet("G", point="blank_face", device="gfci", test="trips"), outlet("B", "G", "load")
    )
    assert state(tracer, "B") == "yes"


def test_a_light_holds_no_device_of_its_own() -> None:
    tracer = house(outlet("L", point="lighting", device=None))
    assert state(tracer, "L") == "no"


@pytest.mark.parametrize(
    ("test", "expected"), [("trips", "yes"), ("nothing", "no"), (None, "unknown")]
)
def test_a_breaker_protects_its_whole_circuit_when_its_test_is_good(
    test: str | None, expected: str
) -> None:
    circuit = Circuit(
        id="C1",
        panel="P",
        answers={"breaker": "gfci"},
        readings={} if test is None else {"breaker_test_result": test},
    )
    assert state(house(outlet("A", "", known_by="unknown"), circuits=[circuit]), "A") == expected


def test_a_feeder_breaker_protects_the_sub_panel() -> None:
    circuits = [
        Circuit(
            id="C1",
            panel="P",
            answers={"breaker": "gfci"},
            readings={"breaker_test_result": "trips"},
        ),
        Circuit(id="C1", panel="SUB", answers={"breaker": "standard"}),
        Circuit(id="C2", panel="P", answers={"breaker": "standard"}),
    ]
    panels = [Panel(id="P"), Panel(id="SUB", fed_from="P/C1")]
    tracer = house(
        outlet("A", circuit="SUB/C1"), outlet("B", circuit="C2"), circuits=circuits, panels=panels
    )
    assert [state(tracer, each) for each in "AB"] == ["yes", "no"]


def test_the_first_receptacle_of_every_branch_counts() -> None:
    circuit = Circuit(id="C1", panel="P", answers={"breaker": "standard"})
    lamp = outlet("L", point="lighting", device=None)
    first = outlet("A", "L", device="afci", test="trips")
    rest = outlet("B", "A", "load")
    tracer = house(lamp, first, rest, circuits=[circuit])
    assert tracer.at_first_receptacle(tracer.wiring.session.circuits[0], "afci").state == "yes"
    tracer = house(lamp, first, rest, outlet("C", "L"), circuits=[circuit])
    assert tracer.at_first_receptacle(tracer.wiring.session.circuits[0], "afci").state == "no"


def test_two_trip_tests_that_contradict_each_other_in_one_line() -> None:
    tracer = house(
        outlet("G", device="gfci", test="trips"),
        outlet("B", "G", "load"),
        trips=[Trip(at="G", action="test button", went_dead=["G", "B"], stayed_live=["B"])],
    )
    assert any("both as dead and as live" in each.says for each in contradictions(tracer))


def breaker(test: str | None = None, **answers: Any) -> Circuit:
    readings: dict[str, Any] = {} if test is None else {"breaker_test_result": test}
    return Circuit(id="C1", panel="P", answers={"breaker": "gfci", **answers}, readings=readings)


@pytest.mark.parametrize("test", [None, "trips"])
def test_an_outlet_that_stays_live_on_the_breakers_test_is_not_protected(test: str | None) -> None:
    tracer = house(
        outlet("A"),
        outlet("B", "A"),
        circuits=[breaker(test)],
        trips=[Trip(at="C1", action="test button", went_dead=["A"], stayed_live=["B"])],
    )
    assert [state(tracer, each) for each in "AB"] == ["yes", "no"]
    assert [each.outlet for each in contradictions(tracer)] == ["B"]


def test_a_good_reading_against_a_trip_test_is_a_contradiction_and_earns_nothing() -> None:
    tracer = house(
        outlet("G", device="gfci", test="trips"),
        outlet("B", "G", "load"),
        trips=[Trip(at="G", action="test button", went_dead=["B"], stayed_live=["G"])],
    )
    assert state(tracer, "G") == "unknown"
    assert [each.outlet for each in contradictions(tracer)] == ["G"]


def test_a_tested_breaker_that_kills_nothing_earns_nothing_and_the_reading_is_contradicted() -> (
    None
):
    tracer = house(
        outlet("A"),
        circuits=[breaker("trips")],
        trips=[Trip(at="C1", action="test button", stayed_live=["A"])],
    )
    assert state(tracer, "A") == "no"
    assert [each.outlet for each in contradictions(tracer)] == ["A"]


def test_behind_a_feeder_that_was_tested_what_stays_live_is_not_protected() -> None:
    circuits = [breaker("trips"), Circuit(id="C9", panel="SUB", answers={"breaker": "standard"})]
    panels = [Panel(id="P"), Panel(id="SUB", fed_from="C1")]
    tracer = house(
        outlet("A", circuit="C9"),
        circuits=circuits,
        panels=panels,
        trips=[Trip(at="C1", action="test button", stayed_live=["A"])],
    )
    assert state(tracer, "A") == "no"
    assert [each.outlet for each in contradictions(tracer)] == ["A"]


def test_an_outlet_fed_across_circuits_is_told() -> None:
    circuits = [breaker(), Circuit(id="C2", panel="P", answers={"breaker": "standard"})]
    tracer = house(outlet("A"), outlet("B", "A", circuit="C2"), circuits=circuits)
    assert [each.says for each in contradictions(tracer)] == [
        "is fed from A, which is on another circuit"
    ]


def test_an_outlet_and_a_circuit_of_one_name_are_not_mixed_up() -> None:
    circuits = [
        Circuit(id="1", panel="P", answers={"breaker": "gfci"}),
        Circuit(id="2", panel="P", answers={"breaker": "standard"}),
    ]
    tracer = house(
        outlet("1", circuit="2", device="gfci", test="trips"),
        outlet("5", circuit="1"),
        circuits=circuits,
        trips=[Trip(at="1", action="test button", went_dead=["1"])],
    )
    assert (state(tracer, "1"), state(tracer, "5")) == ("yes", "unknown")


def test_an_outlet_seen_live_on_a_good_test_is_not_behind_the_device() -> None:
    tracer = house(
        outlet("G", device="gfci", test="trips"),
        outlet("B", "G", "load"),
        trips=[Trip(at="G", action="test button", stayed_live=["B"])],
    )
    assert state(tracer, "B") == "no"
    assert [each.outlet for each in contradictions(tracer)] == ["B"]


@pytest.mark.parametrize("order", [1, -1])
def test_two_tests_of_one_device_that_disagree_earn_nothing(order: int) -> None:
    trips = [
        Trip(at="G", action="test button", went_dead=["G", "B"]),
        Trip(at="G", action="test button", stayed_live=["G", "B"]),
    ][::order]
    tracer = house(outlet("G", device="gfci"), outlet("B", "G", "load"), trips=trips)
    assert [state(tracer, each) for each in "GB"] == ["unknown", "unknown"]
    assert {each.outlet for each in contradictions(tracer)} == {"G", "B"}
