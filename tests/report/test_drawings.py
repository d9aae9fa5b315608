"""The drawings of a report: nothing lies on anything else, and nothing is cut off."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from walkthrough.report import drawing
from walkthrough.report.drawing import LETTERS, Box, Drawing, Line, Mark, Text, shortened, width_of
from walkthrough.report.drawing_editions import editions_drawn
from walkthrough.report.drawing_legend import marks_explained, wiring_explained
from walkthrough.report.drawing_marks import Kind, Marks, lettered
from walkthrough.report.drawing_resets import resets_drawn
from walkthrough.report.drawing_rooms import BESIDES, rooms_drawn
from walkthrough.report.drawing_tree import Tree, rows_of
from walkthrough.survey.model import PANEL

SEVERITIES = ("hazard", "serious", "upgrade", "info")
On = Callable[[int], int]
"""On which outlet the one with a number hangs; -1 is the panel, -2 nowhere."""
Area = tuple[float, float, float, float]


def area(shape: Text | Box | Line | Mark) -> Area:
    """Left, top, right and bottom of what a shape covers."""
    if isinstance(shape, Text):
        wide = width_of(shape.text, shape.size, shape.is_bold)
        return shape.x, shape.y - shape.size * 0.78, shape.x + wide, shape.y + shape.size * 0.24
    if isinstance(shape, Box):
        return shape.x, shape.y, shape.x + shape.width, shape.y + shape.height
    if isinstance(shape, Line):
        xs, ys = sorted((shape.x1, shape.x2)), sorted((shape.y1, shape.y2))
        return xs[0], ys[0], xs[1], ys[1]
    half = 11 if shape.is_framed else 10
    return shape.x - half, shape.y - half, shape.x + half, shape.y + half


def meet(one: Area, other: Area) -> bool:
    near = 0.01
    return (
        one[0] < other[2] - near
        and other[0] < one[2] - near
        and one[1] < other[3] - near
        and other[1] < one[3] - near
    )


def within(one: Area, other: Area) -> bool:
    near = 0.01
    return (
        other[0] - near <= one[0]
        and other[1] - near <= one[1]
        and one[2] <= other[2] + near
        and one[3] <= other[3] + near
    )


def beside(shapes: Sequence[drawing.Shape]) -> Iterator[tuple[drawing.Shape, drawing.Shape]]:
    """Every two shapes that are at the same height."""
    down = sorted(((area(each), each) for each in shapes), key=lambda each: each[0][1])
    for number, (here, one) in enumerate(down):
        for there, other in down[number + 1 :]:
            if there[1] > here[3] + 2:
                break
            yield one, other


def check(drawings: Sequence[Drawing]) -> None:
    """What holds of every drawing, whatever it shows."""
    assert drawings
    for each in drawings:
        whole = (0.0, 0.0, each.width, each.height)
        assert each.height <= drawing.PAGE
        for shape in each.shapes:
            assert within(area(shape), whole), shape
        for one, other in beside(each.shapes):
            if isinstance(one, Text | Mark) and isinstance(other, Text | Mark):
                assert not meet(area(one), area(other)), (one, other)
            for said, box in ((one, other), (other, one)):
                if isinstance(said, Text | Mark) and isinstance(box, Box):
                    # What is said stands in a box or beside it, never across its edge; a hatched
                    # bar has a plate for its letter on it.
                    assert (
                        within(area(said), area(box))
                        or not meet(area(said), area(box))
                        or any(within(area(said), area(p)) for p in each.boxes if p is not box)
                    ), (said, box)
                if isinstance(said, Text) and isinstance(box, Line):
                    x1, y1, x2, y2 = area(box)
                    wide = 2 if box.is_wide else 0.5
                    around = (x1 - wide, y1 - wide, x2 + wide, y2 + wide)
                    assert not meet(area(said), around), (said, box)
        for text in each.texts:
            assert width_of(text.text, text.size, text.is_bold) <= text.room + 0.01


def circuit_of(parents: Sequence[int], names: Sequence[str], chance: random.Random) -> Any:
    """A judged record with one circuit: outlet n hangs on outlet parents[n], on the panel for -1,
    nowhere for -2."""
    ids = [f"{number}{name}" for number, name in enumerate(names)]
    on = [PANEL if p == -1 else "" if p == -2 else ids[p] for p in parents]
    order = list(_in_order(ids, on))
    has = {
        id: {each: chance.choice(("yes", "no", "unknown")) for each in ("gfci", "afci", "tr")}
        for id in ids
    }
    by = {id: chance.choices([*ids, "C1"], k=chance.choice((1, 1, 2))) for id in ids}
    traced = ("gfci", "afci", "whole-house surge")
    return {
        "protection": [
            {"topic": "gfci", "kind": "gfci", "title": "Ground faults"},
            {"topic": "afci", "kind": "afci", "title": "Arc faults"},
            {"topic": "tr", "kind": "", "title": "Tamper resistance"},
            {"topic": "", "kind": "whole-house surge", "title": ""},
        ],
        "outlets": [
            {
                "id": id,
                "room": "Room",
                "at": f"{id} wall",
                "requires": {kind: chance.choice(([], ["210.8"])) for kind in ("gfci", "afci")},
                "disputed": {},
                "has": has[id],
                "protected_by": {
                    kind: {
                        "state": has[id].get(kind, "yes"),
                        "given_by": [
                            {"of": "circuit" if each == "C1" else "outlet", "subject": each}
                            for each in dict.fromkeys(by[id])
                            if has[id].get(kind, "yes") == "yes"
                        ],
                    }
                    for kind in traced
                },
            }
            for id in ids
        ],
        "rooms": [
            {
                "id": f"r{number}",
                "name": name,
                "unit": "",
                "outlets": ids[number::3],
                "by_severity": {each: chance.choice((0, 1, 40)) for each in SEVERITIES},
            }
            for number, name in enumerate(names[:3])
        ],
        "besides_rooms": [
            {
                "of": of,
                "subjects": [f"{of} {name}" for name in names[:3]],
                "by_severity": {each: chance.choice((0, 1, 40)) for each in SEVERITIES},
            }
            for of in BESIDES
        ],
        "devices": [
            {
                "at": id,
                "of": "outlet",
                "place": f"{id}, {id}",
                "device": "GFCI",
                "test_result": "",
                "gives": ["gfci", "afci"],
                "covers": {"gfci": ids[number:], "afci": ids[:number], traced[2]: ids[:1]},
            }
            for number, id in enumerate(ids[:3])
        ],
        "rulesets": [
            {
                "under": name,
                "by_severity": {each: chance.choice((0, 1, 900)) for each in SEVERITIES},
                "only_here": 3,
            }
            for name in ids[:4]
        ],
        "circuits": [
            {
                "id": "C1",
                "panel": names[0],
                "serves": names[-1],
                "told": ["15 A", names[0]],
                "gives": ["gfci"],
                "wiring": [
                    {
                        "outlet": id,
                        "at": f"{id} wall",
                        "hangs_on": above,
                        "fed_from": above or chance.choice(("", "X-1")),
                        "side": chance.choice(("through", "load", "line")),
                        "known_by": chance.choice(("opened", "inferred", "unknown")),
                        "device": "GFCI",
                        "gives": chance.choice(([], ["gfci"])),
                    }
                    for id, above in order
                ],
            }
        ],
        "deficiencies": [
            {
                "of": "outlet",
                "subject": chance.choice(ids),
                "severity": chance.choice(SEVERITIES),
                "topic": chance.choice(("gfci", "tr", "wiring")),
            }
            for _ in ids
        ],
        "not_tested": [{"subject": ids[0], "of": "outlet"}],
        "undecided": [{"subject": ids[-1], "of": "outlet"}],
        "ask_the_ahj": [],
    }  # fmt: skip


def _in_order(ids: Sequence[str], on: Sequence[str]) -> Any:
    """The outlets as a record tells them: each followed by what hangs on it."""
    below: dict[str, list[str]] = {}
    for id, above in zip(ids, on, strict=True):
        below.setdefault(above, []).append(id)
    to_go = [(id, top) for top in ("", PANEL) for id in reversed(below.get(top, []))]
    while to_go:
        id, above = to_go.pop()
        yield id, above
        to_go += [(each, id) for each in reversed(below.get(id, []))]


NAMES = st.text(min_size=0, max_size=60) | st.sampled_from(["", "-1", "W" * 50, "漢" * 40, "m i"])


@st.composite
def houses(draw: st.DrawFn) -> Any:
    """Circuits of up to 40 outlets: long chains, wide bushes, and anything between."""
    count = draw(st.integers(1, 40))
    kind = draw(st.sampled_from(["chain", "bush", "any"]))
    before: On = lambda n: n - 1  # noqa: E731
    lowest: dict[str, On] = {"chain": before, "bush": lambda _: -1, "any": lambda _: -2}
    highest: dict[str, On] = {"chain": before, "bush": lambda n: min(n - 1, 2), "any": before}
    low, high = lowest[kind], highest[kind]
    parents = [draw(st.integers(low(n), max(low(n), high(n)))) for n in range(count)]
    names = draw(st.lists(NAMES, min_size=count, max_size=count))
    return circuit_of(parents, names, random.Random(draw(st.integers())))


@settings(max_examples=40, deadline=None)
@given(houses())
def test_nothing_lies_on_anything_else_and_nothing_is_cut(house: Any) -> None:
    marks = Marks(house)
    check(Tree(marks, house["circuits"][0]).drawn("wiring"))
    check(rooms_drawn(marks, "rooms"))
    check(resets_drawn(marks, "resets"))
    check(editions_drawn(house, "editions"))


def test_the_keys_to_the_drawings_are_drawings_too() -> None:
    check(marks_explained("marks"))
    kinds = [Kind(each, each, "") for each in ("gfci", "afci", "surge", "whole-house", "fifth")]
    check(wiring_explained(kinds, "lines"))


@settings(max_examples=40, deadline=None)
@given(houses())
def test_every_outlet_of_a_circuit_is_drawn_once_and_below_what_feeds_it(house: Any) -> None:
    wiring = house["circuits"][0]["wiring"]
    rows = [*rows_of(wiring, PANEL), *rows_of([e for e in wiring if e["hangs_on"] != PANEL], "")]
    names = [row.line["outlet"] for row in rows]
    assert sorted(names) == sorted(each["outlet"] for each in wiring)
    for row in rows:
        above = row.line["hangs_on"]
        if above in names:
            upper = rows[names.index(above)]
            assert names.index(above) < names.index(row.line["outlet"])
            assert row.above == upper.column
            # On the way down its column belongs to no other outlet.
            between = rows[names.index(above) + 1 : names.index(row.line["outlet"])]
            assert all(each.column != row.above or row.above in each.past for each in between)
            assert all(row.above in each.past for each in between)


@pytest.mark.parametrize("count", [1, 30, 200])
@pytest.mark.parametrize("shape", ["chain", "bush", "comb", "turned comb", "halves"])
def test_however_long_or_wide_it_stays_narrow(count: int, shape: str) -> None:
    shapes: dict[str, On] = {
        "chain": lambda n: n - 1,
        "bush": lambda _: -1,
        # A chain on which at every outlet another one hangs.
        "comb": lambda n: n - 1 if n % 2 == 0 else max(n - 2, -1),
        # The same, and what hangs there is told after the rest of the chain.
        "turned comb": lambda n: max(n - 2 if n % 2 else n - 3, -1),
        # Each outlet feeds two.
        "halves": lambda n: (n - 1) // 2 if n else -1,
    }
    on = shapes[shape]
    names = ["a name that is rather long"] * count
    house = circuit_of([on(n) for n in range(count)], names, random.Random(1))
    tree = Tree(Marks(house), house["circuits"][0])
    drawings = tree.drawn("wiring")
    check(drawings)
    rows = rows_of(house["circuits"][0]["wiring"], PANEL)
    assert max(row.column for row in rows) <= math.log2(count + 1)
    assert sum(len(each.marks) for each in drawings) == count


def test_a_name_is_shortened_only_where_it_must_be() -> None:
    assert shortened("counter left of sink", 200) == "counter left of sink"
    assert shortened("W" * 50, 100).endswith("\N{HORIZONTAL ELLIPSIS}")
    assert width_of(shortened("W" * 50, 100)) <= 100


def test_letters_go_on_after_z() -> None:
    assert [lettered(n) for n in (0, 25, 26, 27, 701, 702)] == ["a", "z", "aa", "ab", "zz", "aaa"]


def test_the_gravest_is_what_the_mark_says() -> None:
    data = circuit_of([-1, 0], ["x", "y"], random.Random(2))
    data["deficiencies"] = [
        {"of": "outlet", "subject": "0x", "severity": each, "topic": "tr"}
        for each in ("upgrade", "hazard", "info")
    ]
    marks = Marks(data)
    assert marks.word("0x") == "hazard"
    assert marks.word("1y") == "open"
    assert set(LETTERS) >= {*SEVERITIES, "not tested", "open", "nothing"}


def test_what_was_not_tested_at_a_circuit_is_not_said_of_an_outlet_of_that_name() -> None:
    """Outlets and circuits may both be numbered 1, 2, 3."""
    data = circuit_of([-1, 0, 1], ["", "", ""], random.Random(2))
    data["deficiencies"] = []
    first, second, _ = (each["outlet"] for each in data["circuits"][0]["wiring"])
    data["not_tested"] = [
        {"subject": first, "of": "outlet", "reason": "not reached"},
        {"subject": second, "of": "circuit", "reason": "no reading recorded"},
    ]
    marks = Marks(data)
    assert (marks.word(first), marks.word(second)) == ("not tested", "nothing")
    assert (marks.named(first), marks.named(second)) == (first, second)


def test_what_was_found_where_not_all_was_tested_does_not_hide_that() -> None:
    data = circuit_of([-1, 0], ["", ""], random.Random(2))
    first, second = (each["outlet"] for each in data["circuits"][0]["wiring"])
    data["deficiencies"] = [
        {"of": "outlet", "subject": each, "severity": "upgrade", "topic": "tr"}
        for each in (first, second)
    ]
    data["not_tested"] = [{"subject": first, "of": "outlet", "reason": "behind a sofa"}]
    marks = Marks(data)
    assert (marks.word(first), marks.named(first)) == ("upgrade", f"{first} ?")
    assert (marks.word(second), marks.named(second)) == ("upgrade", second)
    (drawn,) = Tree(marks, data["circuits"][0]).drawn("wiring")
    assert sum("not fully tested" in each.text for each in drawn.texts) == 1


def test_an_order_that_is_not_known_is_dotted_and_load_is_wide() -> None:
    data = circuit_of([-1, 0, -2], ["a", "b", "c"], random.Random(3))
    first, second, loose = sorted(data["circuits"][0]["wiring"], key=lambda each: each["outlet"])
    first.update(known_by="opened", side="through")
    second.update(known_by="inferred", side="load")
    loose.update(known_by="unknown", side="through")
    (drawn,) = Tree(Marks(data), data["circuits"][0]).drawn("wiring")
    kinds = [(line.line, line.is_wide) for line in drawn.lines]
    assert ("sure", False) in kinds
    assert ("unsure", True) in kinds
    assert ("unknown", False) in kinds
    assert any(text.text == "What feeds these is not known:" for text in drawn.texts)
