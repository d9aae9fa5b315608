"""What tracing and counting tell of outlets and circuits: protection, reach, boxes, receptacles."""

from __future__ import annotations

import contextlib
import functools
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from walkthrough.rulebook.kleene import either
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.rulebook.words import GIVEN_IN, PROTECTED, REACHED, VOID_TEST
from walkthrough.survey.model import Circuit, Outlet, Subject
from walkthrough.trade.box_fill import BoxContents, contents_from, fill, worth_asking
from walkthrough.trade.protection import DeviceTables, Giver, Open, Protection
from walkthrough.trade.tables import NoRow

if TYPE_CHECKING:
    from walkthrough.judge.house import House

Truths = Mapping[str, bool | None]
"""What counts for each state of protection."""


def providers(house: House, counts_as: Truths) -> Mapping[str, Callable[[Subject], Any]]:
    """The words that hang on the wiring, each with what tells it."""

    def is_protected(kind: str, each: Subject) -> bool | None:
        return counts_as[_protection(house, each, kind).state]

    def reached(kind: str, each: Subject) -> bool | None:
        return _reachable(house, each, kind)

    return {
        **{
            word: functools.partial(tells, kind)
            for kind in house.book.vocabulary.traced
            for word, tells in ((f"{kind}{PROTECTED}", is_protected), (f"{kind}{REACHED}", reached))
        },
        "box_fill_in3": lambda each: _box_fill(house, each),
        "receptacles_on_circuit": lambda each: _receptacles_on(house, each),
        "outlets_on_circuit": lambda each: _outlets_on(house, each),
        "afci_at_origin": lambda each: counts_as[_at_origin(house, each).state],
        "afci_at_first_receptacle": lambda each: counts_as[_at_first(house, each).state],
    }


def open_behind(house: House, word: str, above: Mapping[str, Subject]) -> tuple[Open, ...]:
    """What would have to be answered, and where, for such a word to become known."""
    outlet, circuit = above.get("outlet"), above.get("circuit")
    if word in ("afci_at_origin", "afci_at_first_receptacle") and circuit is not None:
        trace = _at_origin if word == "afci_at_origin" else _at_first
        return trace(house, circuit).waits_for
    if not isinstance(outlet, Outlet):
        return ()
    told = house.book.vocabulary.words.get(word)
    if told is not None and told.protection:
        protection = _protection(house, outlet, told.protection)
        if word.endswith(PROTECTED):
            return protection.waits_for
        holders = (_holder(house, by) for by in protection.givers)
        return protection.waits_for or tuple(
            (subject, question) for held, subject, question in holders if held is None
        )
    contents = contents_from(outlet.answers) if word == "box_fill_in3" else ()
    if isinstance(contents, tuple):
        contents = worth_asking(contents, outlet.cannot_tell)
        return tuple((house.key(outlet)[1], question) for question in contents)
    return ()


def _protection(house: House, outlet: Subject, kind: str) -> Protection:
    assert isinstance(outlet, Outlet)
    return house.tracer.protection(outlet, kind)


def _reachable(house: House, outlet: Subject, kind: str) -> bool | None:
    protection = _protection(house, outlet, kind)
    if protection.state != "yes":
        return None
    return either(_holder(house, by)[0] for by in protection.givers)


def _holder(house: House, by: Giver) -> tuple[bool | None, str, str]:
    """Whether a protective device can be reached, and the question that tells."""
    if by.of == Outlet.of:
        word, subject = "readily_accessible", by.name
        held = house.recorded(house.wiring.outlets[by.name], word)
    else:
        circuit = house.wiring.circuits[by.name]
        word, subject = "panel_accessible", circuit.panel
        held = house.recorded(circuit, word)
    return (None if held is None else bool(held)), subject, word


def _box_fill(house: House, outlet: Subject) -> float | None:
    contents = contents_from(outlet.answers)
    return box_fill_in3(house.book, contents) if isinstance(contents, BoxContents) else None


def box_fill_in3(book: Rulebook, contents: BoxContents) -> float | None:
    """What a box of these contents must hold by the edition's tables; None without a row."""
    allowance, counts = _numbers(book, "box_allowance_in3"), _numbers(book, "box_count")
    with contextlib.suppress(NoRow):
        return fill(contents, allowance, counts).total_in3
    return None


def _receptacles_on(house: House, circuit: Subject) -> int | None:
    """Receptacles on a circuit; None while a yoke that could change the count is not seen."""
    assert isinstance(circuit, Circuit)
    if "receptacles_per_yoke" not in house.book.tables:
        return None
    per_yoke = house.book.tables["receptacles_per_yoke"].rows
    here = house.wiring.on(circuit)
    count = 0
    for outlet in here:
        point = outlet.answer("point")
        if point is None or str(point) in house.tracer.receptacle_points:
            yoke = outlet.answer("yoke")
            cell = per_yoke.get(str(yoke))
            # An unseen yoke holds one receptacle at least.
            count += int(cell) if isinstance(cell, int | float) else 1
            if cell is None and count < 2 and len(here) == 1:
                return None
    return count


def _outlets_on(house: House, circuit: Subject) -> int:
    assert isinstance(circuit, Circuit)
    return len(house.wiring.on(circuit))


def _at_origin(house: House, circuit: Subject) -> Protection:
    assert isinstance(circuit, Circuit)
    return house.tracer.at_origin(circuit, "afci")


def _at_first(house: House, circuit: Subject) -> Protection:
    assert isinstance(circuit, Circuit)
    return house.tracer.at_first_receptacle(circuit, "afci")


def is_void(house: House, outlet: Outlet) -> bool | None:
    """Whether the TEST of a device tells nothing, as far as the ruleset has a term for it."""
    void = house.book.terms.get(VOID_TEST)
    return False if void is None else void.truth(house.situation(outlet))


def device_tables(book: Rulebook) -> DeviceTables:
    """The tables of a ruleset that say what devices, breakers and TEST results mean."""

    def lists(name: str) -> dict[str, tuple[str, ...]]:
        rows = book.tables[name].rows if name in book.tables else {}
        return {
            key: tuple(str(each) for each in cell)
            for key, cell in rows.items()
            if isinstance(cell, list)
        }

    def words(name: str) -> dict[str, str]:
        rows = book.tables[name].rows if name in book.tables else {}
        return {key: str(cell) for key, cell in rows.items()}

    return DeviceTables(
        device=lists(GIVEN_IN[0]),
        breaker=lists(GIVEN_IN[1]),
        credit=words("test_credit"),
        points=words("point_holds"),
    )


def _numbers(book: Rulebook, name: str) -> dict[str, float]:
    rows = book.tables[name].rows if name in book.tables else {}
    return {key: float(cell) for key, cell in rows.items() if isinstance(cell, int | float)}
