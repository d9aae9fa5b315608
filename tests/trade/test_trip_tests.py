"""Trip tests as the record has them: whose reach an outlet is in, and what order follows from it.

What a TEST kills and what stays live follows continuing-education pages on 210.8 and the notes of
2003 and 2006 on UL 943 (line and load reversal); the layouts are invented.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from tests.trade.test_protection import house, outlet
from walkthrough.survey.model import PANEL, Circuit, Outlet, Trip
from walkthrough.trade.contradictions import contradictions
from walkthrough.trade.inference import BREAKER, Inference, TripTest
from walkthrough.trade.protection import Tracer
from walkthrough.trade.trip_tests import inferred, noted, order_shown


def loose(name: str, **more: str | None) -> Outlet:
    """An outlet of which no feed is recorded."""
    return outlet(name, "", known_by="unknown", **more)


def pressed(at: str, dead: str = "", live: str = "") -> Trip:
    return Trip(at=at, action="test button", went_dead=list(dead), stayed_live=list(live))


def told(tracer: Tracer) -> Inference:
    return inferred(tracer, tracer.wiring.session.circuits[0])


def orders(tracer: Tracer) -> list[tuple[str, str, str]]:
    found = order_shown(tracer, tracer.wiring.session.circuits[0], told(tracer))
    return [(each.outlet.id, each.fed_from, each.side) for each in found]


def test_devices_are_what_the_record_calls_so_and_where_test_was_pressed() -> None:
    tracer = house(
        loose("G", device="gfci"),
        loose("H", device=None),
        loose("x"),
        trips=[pressed("H", "Hx", "G"), Trip(at="C1", action="breaker off", went_dead=["x"])],
    )
    assert noted(tracer, tracer.wiring.session.circuits[0]) == (
        ["G", "H"],
        ["G", "H", "x"],
        [TripTest("H", ("H", "x"), ("G",)), TripTest("G"), TripTest(BREAKER, ("x",))],
    )


def test_a_reading_tells_of_the_face_where_no_trip_test_does() -> None:
    tracer = house(
        loose("A", device="gfci", test="trips"),
        loose("B", device="gfci", test="face_live"),
        loose("C", device="gfci", test="trips"),
        trips=[pressed("C", "", "C")],
    )
    assert told(tracer).faces == {"A": "goes dead", "B": "stays live", "C": "stays live"}


def test_what_died_is_on_the_circuit_and_what_is_elsewhere_is_left_out() -> None:
    tracer = house(
        loose("G", device="gfci"),
        loose("x", circuit="C2"),
        loose("y", circuit="C2"),
        circuits=[Circuit(id="C1", panel="P"), Circuit(id="C2", panel="P")],
        trips=[pressed("G", "Gx", "y")],
    )
    assert [place.outlet for place in told(tracer).places] == ["G", "x"]
    assert orders(tracer) == []


def test_a_plug_in_tester_does_not_tell_which_device_it_made_trip() -> None:
    trip = Trip(at="x", action="plug-in tester", went_dead=["x", "G"])
    tracer = house(loose("G", device="gfci"), loose("x"), trips=[trip])
    assert told(tracer).places[1].perhaps == ("G",)


def test_the_one_outlet_of_a_reach_is_next_to_its_device() -> None:
    tracer = house(
        loose("a"), loose("G", device="gfci"), loose("x"), trips=[pressed("G", "Gx", "a")]
    )
    assert orders(tracer) == [("x", "G", "load")]


def test_the_device_that_takes_all_down_comes_straight_from_the_panel() -> None:
    tracer = house(loose("x"), loose("G", device="gfci"), loose("y"), trips=[pressed("G", "Gxy")])
    assert orders(tracer) == [("G", PANEL, "through")]


def test_devices_in_a_row_are_shown_but_not_the_order_within_a_reach() -> None:
    """A takes all down, B all but A, C only itself and x; y and C are on B, which first is not told."""
    tracer = house(
        loose("A", device="gfci"),
        loose("B", device="gfci"),
        loose("C", device="gfci"),
        loose("x"),
        loose("y"),
        trips=[pressed("A", "ABCxy"), pressed("B", "BCxy", "A"), pressed("C", "Cx", "ABy")],
    )
    assert orders(tracer) == [("A", PANEL, "through"), ("B", "A", "load"), ("x", "C", "load")]


def test_nothing_follows_from_half_a_look_or_from_swapped_wires() -> None:
    half = house(loose("a"), loose("G", device="gfci"), loose("x"), trips=[pressed("G", "Gx")])
    swapped = house(
        loose("a"), loose("G", device="gfci"), loose("x"), trips=[pressed("G", "x", "Ga")]
    )
    assert orders(half) == orders(swapped) == []


def test_what_the_record_says_is_not_offered_again() -> None:
    tracer = house(
        loose("a"), loose("G", device="gfci"), outlet("x", "a"), trips=[pressed("G", "Gx", "a")]
    )
    assert orders(tracer) == []


def test_tests_of_two_devices_that_no_wiring_allows_are_told_with_the_other_contradictions() -> (
    None
):
    tracer = house(
        loose("A", device="gfci"),
        loose("B", device="gfci"),
        trips=[pressed("A", "AB"), pressed("B", "BA")],
    )
    assert [(each.at, each.outlet, each.says) for each in contradictions(tracer)] == [
        (
            "A",
            "B",
            "not all of this can be right: in the TEST of A B died; in the TEST of B A died",
        )
    ]
    assert orders(tracer) == []


def test_what_follows_is_always_how_the_wires_run() -> None:
    """Random houses with dead and swapped devices, random looks: nothing is claimed that is not so."""
    dice = random.Random(4)
    claimed = 0
    for _ in range(1500):
        names = list("abcdef"[: dice.randint(1, 6)])
        kinds = {
            each: dice.choice(("plain", "works", "works", "swapped", "nothing")) for each in names
        }
        feeds = {each: dice.choice([PANEL, *names[:n]]) for n, each in enumerate(names)}
        sides = {
            each: dice.choice(("load", "load", "line"))
            if kinds.get(feeder, "plain") != "plain"
            else "through"
            for each, feeder in feeds.items()
        }
        share = dice.choice((0.7, 1))
        trips = [
            _tripped(each, names, kinds, feeds, sides, [n for n in names if dice.random() < share])
            for each in names
            if kinds[each] != "plain" and dice.random() < 0.8
        ]
        order = dice.sample(names, len(names))
        tracer = house(
            *(loose(each, device="plain" if kinds[each] == "plain" else "gfci") for each in order),
            trips=trips,
        )
        for name, fed_from, side in orders(tracer):
            claimed += 1
            assert (fed_from, side) == (feeds[name], sides[name])
    assert claimed > 200


def _tripped(
    at: str,
    names: Sequence[str],
    kinds: dict[str, str],
    feeds: dict[str, str],
    sides: dict[str, str],
    seen: Sequence[str],
) -> Trip:
    def is_behind(name: str) -> bool:
        feeder = feeds[name]
        return feeder != PANEL and ((feeder, sides[name]) == (at, "load") or is_behind(feeder))

    dead = [each for each in names if kinds[at] != "nothing" and is_behind(each)]
    dead += [at] if kinds[at] == "works" else []
    looked = [each for each in dead if each in seen]
    return pressed(at, "".join(looked), "".join(each for each in seen if each not in dead))
