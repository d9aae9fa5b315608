"""Trip tests as an electrician notes them, and every small circuit set beside brute force.

What a TEST kills and what stays live follows continuing-education pages on 210.8 and the notes of
2003 and 2006 on UL 943 (line and load reversal); the circuits are invented. The hypotheses that
are left are listed one by one here, which the tool never does.
"""

from __future__ import annotations

import dataclasses
import itertools
import json
import random
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

import pytest

from walkthrough.trade.inference import BREAKER, Inference, Place, TripTest, conflicts, infer

Kills = Mapping[str, frozenset[str]]
"""A hypothesis: what the TEST of each device switches off, its own face too if that goes dead."""


def test_the_first_device_takes_down_the_second_with_all_that_hangs_on_it() -> None:
    """TEST K-1: K-1, K-2, K-3, K-4 dead, the fridge live. TEST K-3: K-3 and K-4 dead, rest live."""
    told = infer(
        ["K-1", "K-3"],
        ["K-2", "K-4", "fridge"],
        [
            TripTest("K-1", ("K-1", "K-2", "K-3", "K-4"), ("fridge",)),
            TripTest("K-3", ("K-3", "K-4"), ("K-1", "K-2", "fridge")),
        ],
    )
    assert told.reach("K-1") == ("K-2", "K-4", "K-3")
    assert told.places == (
        Place("K-2", ("K-1",), ("K-1",), ()),
        Place("K-4", ("K-1", "K-3"), ("K-3",), ()),
        Place("fridge", (), (), ()),
        Place("K-1", (), (), ()),
        Place("K-3", ("K-1",), ("K-1",), ()),
    )
    # All is told that trip tests can tell; whether K-2 comes before K-3 they cannot.
    assert told.proposals == ()


def test_what_nobody_looked_at_stays_open() -> None:
    """TEST B-1: B-1 and B-2 dead; the hall was not looked at."""
    told = infer(["B-1"], ["B-2", "hall"], [TripTest("B-1", ("B-1", "B-2"))])
    assert told.places[0] == Place("B-2", ("B-1",), ("B-1",), ())
    assert told.places[1] == Place("hall", (), (), ("B-1",))
    assert [(each.at, each.left, each.open) for each in told.proposals] == [("B-1", 0.5, ("hall",))]


def test_what_was_not_looked_at_may_follow_all_the_same() -> None:
    """TEST A: A, B dead. TEST B: B, x dead. Nobody looked at x when A was off, but B was off too."""
    told = infer(["A", "B"], ["x"], [TripTest("A", ("A", "B")), TripTest("B", ("B", "x"), ("A",))])
    assert told.places[0] == Place("x", ("A", "B"), ("B",), ())


def test_two_reaches_that_share_an_outlet_lie_one_inside_the_other() -> None:
    """TEST A: x dead. TEST B: x dead; nobody looked at B with A off, or at A with B off."""
    told = infer(["A", "B"], ["x", "y"], [TripTest("A", ("A", "x")), TripTest("B", ("B", "x"))])
    x = told.places[0]
    assert (x.within, x.nearest) == (("A", "B"), ("A", "B"))
    assert told.places[2].perhaps == ("B",)


def test_what_is_spliced_ahead_of_a_device_stays_live_with_it() -> None:
    told = infer(["G"], ["x"], [TripTest("G", ("G",), ("x",))])
    assert told.places == (Place("x", (), (), ()), Place("G", (), (), ()))


def test_line_and_load_swapped_its_own_face_stays_live() -> None:
    """TEST K-4: the button pops, K-5 dead, its own face live."""
    told = infer(["K-4"], ["K-5"], [TripTest("K-4", ("K-5",), ("K-4",))])
    assert (told.faces, told.reach("K-4")) == ({"K-4": "stays live"}, ("K-5",))


def test_a_test_that_does_nothing_reaches_nothing_and_need_not_be_made_again() -> None:
    told = infer(["HB"], ["x", "y"], [TripTest("HB", (), ("HB", "x", "y"))])
    assert (told.reach("HB"), told.is_settled("HB"), told.proposals) == ((), True, ())


def test_a_breaker_off_tells_nothing_of_any_reach() -> None:
    told = infer(["G"], ["x"], [TripTest(BREAKER, ("G", "x"))])
    assert told.places[0].perhaps == ("G",)


def test_what_lives_with_the_breaker_off_is_on_another_circuit() -> None:
    told = infer(["G"], ["x"], [TripTest(BREAKER, ("G",), ("x",))])
    assert [each.says for each in told.conflicts] == [
        "x stayed live with the breaker off, so it is not on this circuit"
    ]
    assert (told.places, told.proposals) == ((), ())


def test_one_outlet_both_ways_in_one_test_and_in_two() -> None:
    once = infer(["G"], ["x"], [TripTest("G", ("x",), ("x",))])
    assert [each.says for each in once.conflicts] == [
        "x is noted both as dead and as live in the TEST of G"
    ]
    twice = infer(["G"], ["x"], [TripTest("G", ("x",)), TripTest("G", (), ("G", "x"))])
    assert [(each.tests, each.says) for each in twice.conflicts] == [
        ((0, 1), "x died in one TEST of G and stayed live in another")
    ]


def test_reaches_that_cross_are_told_by_the_looks_that_make_them_cross() -> None:
    """TEST A: x, y dead, z live. TEST B: y, z dead, x live. Something else was on, or misread."""
    told = infer(
        ["A", "B"],
        ["x", "y", "z", "w"],
        [TripTest("A", ("A", "x", "y"), ("z", "w")), TripTest("B", ("B", "y", "z"), ("x", "w"))],
    )
    (conflict,) = told.conflicts
    assert conflict.devices == ("A", "B")
    assert conflict.outlets == ("x", "y", "z")
    assert conflict.says == (
        "not all of this can be right: in the TEST of A x and y died and z stayed live; "
        "in the TEST of B y and z died and x stayed live"
    )


def test_two_devices_cannot_each_take_the_other_down() -> None:
    told = infer(["A", "B"], [], [TripTest("A", ("B",)), TripTest("B", ("A",))])
    assert [each.says for each in told.conflicts] == [
        "not all of this can be right: in the TEST of A B died; in the TEST of B A died"
    ]


def test_the_test_to_make_next_is_the_one_with_most_left_to_tell() -> None:
    """TEST A took down B, x and y; u, v, w and the device C stayed live. C has more to tell."""
    told = infer(
        ["A", "B", "C"],
        ["x", "y", "u", "v", "w"],
        [TripTest("A", ("A", "B", "x", "y"), ("C", "u", "v", "w"))],
    )
    assert [each.at for each in told.proposals] == ["C", "B"]
    # B: x and y each in its reach or not, its face dead or not.
    assert told.proposals[1].left == 1 / 8
    assert told.proposals[1].open == ("x", "y", "B")


def test_devices_of_which_nothing_is_known_are_proposed_in_the_order_given() -> None:
    told = infer(["B", "A"], ["x"], [])
    assert [each.at for each in told.proposals] == ["B", "A"]
    assert told.proposals[0].left == told.proposals[1].left


def test_a_name_that_is_not_on_the_circuit_is_refused() -> None:
    with pytest.raises(ValueError, match="made at x, which is not one of the devices"):
        infer(["G"], ["x"], [TripTest("x", ("x",))])
    with pytest.raises(ValueError, match="names y, which is no outlet here"):
        infer(["G"], ["x"], [TripTest("G", ("y",))])


def test_the_result_is_plain_enough_for_json() -> None:
    told = infer(["G"], ["x", "y"], [TripTest("G", ("G", "x"))])
    assert json.loads(json.dumps(dataclasses.asdict(told))) == {
        "places": [
            {"outlet": "x", "within": ["G"], "nearest": ["G"], "perhaps": []},
            {"outlet": "y", "within": [], "nearest": [], "perhaps": ["G"]},
            {"outlet": "G", "within": [], "nearest": [], "perhaps": []},
        ],
        "faces": {"G": "goes dead"},
        "conflicts": [],
        "proposals": [{"at": "G", "left": 0.5, "open": ["y"]}],
    }


def hypotheses(devices: Sequence[str], outlets: Sequence[str]) -> Iterator[Kills]:
    """Every forest of the devices, every place of every outlet, every face dead or live."""
    for parents in itertools.product(("", *devices), repeat=len(devices)):
        above = dict(zip(devices, parents, strict=True))
        if any(device in chain(above, above[device]) for device in devices):
            continue
        for places in itertools.product(("", *devices), repeat=len(outlets)):
            hangs = above | dict(zip(outlets, places, strict=True))
            reach = {
                device: frozenset(each for each in hangs if device in chain(above, hangs[each]))
                for device in devices
            }
            for dies in itertools.product((True, False), repeat=len(devices)):
                yield {
                    device: reach[device] | ({device} if face else set())
                    for device, face in zip(devices, dies, strict=True)
                }


def chain(above: Mapping[str, str], device: str) -> set[str]:
    """A device and all in whose reach it is; stops where they run in a ring."""
    found: set[str] = set()
    while device and device not in found:
        found.add(device)
        device = above[device]
    return found


def agrees(kills: Kills, test: TripTest) -> bool:
    return set(test.dead) <= kills[test.at] and not kills[test.at] & set(test.live)


def looked(
    kills: Kills, at: str, names: Sequence[str], share: float, dice: random.Random
) -> TripTest:
    """A TEST under a hypothesis, with a look at a share of the outlets."""
    seen = [each for each in names if dice.random() < share]
    dead = tuple(each for each in seen if each in kills[at])
    return TripTest(at, dead, tuple(each for each in seen if each not in dead))


def misread(test: TripTest, names: Sequence[str], dice: random.Random) -> TripTest:
    """The same TEST with one outlet taken the other way round."""
    each = dice.choice(names)
    dead, live = set(test.dead) ^ {each}, set(test.live) - {each}
    return TripTest(test.at, tuple(sorted(dead)), tuple(sorted(live)))


def check(
    told: Inference,
    devices: Sequence[str],
    outlets: Sequence[str],
    tests: Sequence[TripTest],
    every: Sequence[Kills],
) -> None:
    left = [each for each in every if all(agrees(each, test) for test in tests)]
    assert bool(told.conflicts) == (not left)
    for conflict in told.conflicts:
        irreducible(conflict.outlets, conflict.tests, tests, every)
    if not left:
        assert (told.places, told.proposals) == ((), ())
        return
    sure = {each: left[0][each].intersection(*(kills[each] for kills in left)) for each in devices}
    able = {each: left[0][each].union(*(kills[each] for kills in left)) for each in devices}
    for place in told.places:
        others = [each for each in devices if each != place.outlet]
        within = [each for each in others if place.outlet in sure[each]]
        assert list(place.within) == within
        assert list(place.nearest) == [
            each
            for each in within
            if not any(other in sure[each] for other in within if other != each)
        ]
        assert list(place.perhaps) == [
            each for each in others if place.outlet in able[each] - sure[each]
        ]
    for device, face in told.faces.items():
        seen = {device in kills[device] for kills in left}
        assert face == (
            "not seen" if len(seen) == 2 else "goes dead" if seen.pop() else "stays live"
        )
    assert {each.at: set(each.open) for each in told.proposals} == {
        each: able[each] - sure[each] for each in devices if able[each] != sure[each]
    }
    shares = {each: share_left(each, devices, outlets, tests) for each in told_of(told)}
    assert {each.at: each.left for each in told.proposals} == {
        each: float(share) for each, share in shares.items()
    }
    assert told_of(told) == sorted(shares, key=lambda each: (shares[each], devices.index(each)))


def told_of(told: Inference) -> list[str]:
    return [each.at for each in told.proposals]


def share_left(
    device: str, devices: Sequence[str], outlets: Sequence[str], tests: Sequence[TripTest]
) -> Fraction:
    """Counted one by one over the devices that were probed, and the one in question."""
    probed = {test.at for test in tests if {*test.dead, *test.live} - {test.at}}
    known = [each for each in devices if each in probed or each == device]
    rest = [*outlets, *(each for each in devices if each not in known)]
    fit = [
        kills
        for kills in hypotheses(known, rest)
        if all(agrees(kills, test) for test in tests if test.at in known)
    ]
    ways = Counter(kills[device] for kills in fit)
    return Fraction(sum(count**2 for count in ways.values()), len(fit) ** 2)


def irreducible(
    outlets: Sequence[str],
    numbers: Sequence[int],
    tests: Sequence[TripTest],
    every: Sequence[Kills],
) -> None:
    """The tests named clash over the outlets named, and no longer without any one of these."""

    def clash(some: Sequence[str]) -> bool:
        only = [
            TripTest(
                tests[number].at,
                tuple(each for each in tests[number].dead if each in some),
                tuple(each for each in tests[number].live if each in some),
            )
            for number in numbers
        ]
        return not any(all(agrees(each, test) for test in only) for each in every)

    assert clash(outlets)
    for each in outlets:
        assert not clash([other for other in outlets if other != each])


def many(count: int, most_devices: int, most_outlets: int, seed: int) -> Counter[str]:
    """So many random circuits and rounds of tests; returns how many were of which sort."""
    dice = random.Random(seed)
    known: dict[tuple[int, int], list[Kills]] = {}
    sorts: Counter[str] = Counter()
    for _ in range(count):
        size = dice.randint(1, most_devices), dice.randint(0, most_outlets)
        devices, outlets = list("ABCD"[: size[0]]), list("wxyz"[: size[1]])
        if size not in known:
            known[size] = list(hypotheses(devices, outlets))
        names = [*outlets, *devices]
        truth = dice.choice(known[size])
        share = dice.choice((0.3, 0.6, 1))
        at = [dice.choice(devices) for _ in range(dice.randint(0, size[0] + 1))]
        tests = [looked(truth, each, names, share, dice) for each in at]
        if tests and dice.random() < 0.4:
            number = dice.randrange(len(tests))
            tests[number] = misread(tests[number], names, dice)
        told = infer(devices, outlets, tests)
        assert conflicts(devices, outlets, tests) == told.conflicts
        check(told, devices, outlets, tests, known[size])
        sorts["clash" if told.conflicts else "open" if told.proposals else "settled"] += 1
    return sorts


def test_the_list_of_hypotheses_is_as_long_as_it_must_be() -> None:
    """(d + 1) ** (d - 1) forests of d devices, d + 1 places for each outlet, two for each face."""
    for devices, outlets in itertools.product((1, 2, 3), (0, 1, 2)):
        listed = list(hypotheses("ABC"[:devices], "xy"[:outlets]))
        assert len(listed) == (devices + 1) ** (devices - 1 + outlets) * 2**devices
        assert len({tuple(each.items()) for each in listed}) == len(listed)


def test_small_circuits_against_every_hypothesis() -> None:
    sorts = many(2000, 3, 2, seed=1)
    assert min(sorts[each] for each in ("clash", "open", "settled")) > 100


@pytest.mark.slow
def test_circuits_of_four_devices_and_of_four_outlets_against_every_hypothesis() -> None:
    many(1500, 3, 4, seed=2)
    many(500, 4, 2, seed=3)


@pytest.mark.parametrize(("tested", "share"), [(0, 1.0), (3, 1.0), (6, 1.0), (4, 0.5), (6, 0.1)])
def test_forty_outlets_and_six_devices_are_told_at_once(tested: int, share: float) -> None:
    dice = random.Random(tested)
    devices, outlets = [f"D{n}" for n in range(6)], [f"x{n}" for n in range(40)]
    above = {each: dice.choice(["", *devices[:n]]) for n, each in enumerate(devices)}
    hangs = above | {each: dice.choice(["", *devices]) for each in outlets}
    truth = {
        device: frozenset(each for each in hangs if device in chain(above, hangs[each])) | {device}
        for device in devices
    }
    tests = [looked(truth, each, list(hangs), share, dice) for each in devices[:tested]]
    start = time.perf_counter()
    told = infer(devices, outlets, tests)
    assert time.perf_counter() - start < 2
    for place in told.places:
        upstream = chain(above, hangs[place.outlet])
        assert set(place.within) <= upstream <= {*place.within, *place.perhaps}


def test_too_many_wirings_to_count_are_not_counted_and_all_else_is_told() -> None:
    """Eight devices, in each TEST one look, at another outlet each time; with D3 off at one more."""
    devices, outlets = [f"D{n}" for n in range(8)], [f"x{n}" for n in range(9)]
    tests = [TripTest(each, (each, f"x{n}")) for n, each in enumerate(devices)]
    told = infer(devices, outlets, [*tests, TripTest("D3", (), ("x8",))])
    assert all(told.reach(each) == (f"x{n}",) for n, each in enumerate(devices))
    assert [each.left for each in told.proposals] == [None] * 8
    assert [each.at for each in told.proposals] == ["D0", "D1", "D2", "D4", "D5", "D6", "D7", "D3"]
