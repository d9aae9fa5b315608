"""The box-fill sheet of an outlet: its lines, the sum so far, and what would fit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from walkthrough.app.record import Record
from walkthrough.app.sheet import Line, lines_about, steps_told
from walkthrough.report.calculation import rests_on
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import Outlet
from walkthrough.trade.box_fill import (
    WIRE_SIZES,
    BoxContents,
    Device,
    contents_from,
    contents_so_far,
    largest_wire,
)
from walkthrough.trade.box_readings import found_in
from walkthrough.trade.boxes import FitWord, Space, box_fill, would_fit
from walkthrough.trade.tables import NoRow, Tables
from walkthrough.trade.working import told as number

OPENED, VOLUME, DEPTH = "box_opened", "box_volume_in3", "box_inside_depth_in"
WORDS = (
    OPENED,
    VOLUME,
    DEPTH,
    *(f"box_wires_{size}" for size in WIRE_SIZES),
    "box_grounds",
    "box_ground_size",
    "box_clamps",
    "box_device_gangs",
    "box_device_wire",
    "box_support_fittings",
    "box_terminal_blocks",
)
"""The questions of the sheet in their order, the commonest sizes first."""
_OPEN = {
    "box_grounds": "grounding wires",
    "box_ground_size": "the size of the grounding wires",
    "box_clamps": "clamps",
    "box_device_gangs": "gangs of the devices",
    "box_device_wire": "the wire on the devices",
}
_KINDS = {"gfci": "GFCI", "afci": "AFCI", "dual_function": "dual-function"}


def lines_of(record: Record, outlet: Outlet) -> list[Line]:
    """The lines that the record's rulesets ask."""
    return lines_about(record, outlet, WORDS)


def told(record: Record, outlet: Outlet) -> Iterator[str]:
    """The verdict, what would do, and each step of the sum, by each ruleset of the record."""
    answers = outlet.answers
    if not any(word in answers for word in WORDS if word != OPENED):
        yield "Nothing counted yet. Every line can be left out."
        return
    if answers.get(OPENED) is not True:
        yield "i The box is not told as opened, so the survey does not judge what is in it."
    for book in record.books:
        yield f"By {book.title}:"
        try:
            yield from _by(book, answers)
        except NoRow as error:
            yield f"i It has no figures for this: {error}."


def _by(book: Rulebook, answers: Mapping[str, object]) -> Iterator[str]:
    """One ruleset's account of the box; raises NoRow."""
    tables = Tables(book.tables, book.id)
    open_words = contents_from(answers)
    contents = contents_so_far(answers)
    space = Space(marked_in3=_measure(answers, VOLUME), depth_in=_measure(answers, DEPTH))
    is_done = isinstance(open_words, BoxContents)
    # The depth goes by the devices: as long as they are open, none would be a wrong word.
    judged = space if is_done or contents.devices else replace(space, depth_in=None)
    working = box_fill(found_in(contents), judged, tables)
    # What is still open only adds: a box that is too small already stays too small.
    if is_done or working.verdict == "fail":
        mark = "!" if working.verdict == "fail" else ">"
        yield f"{mark} Verdict: {working.verdict}. {working.because}"
    else:
        so_far = working.result["fill_in3"]
        assert isinstance(so_far, Decimal)
        yield f"> Verdict: cannot assess yet. {number(so_far)} in3 so far."
    if not isinstance(open_words, BoxContents):
        yield f"  Still open: {', '.join(_in_words(open_words))}."
    else:
        yield f"  Smallest standard box for it: {_smallest(working.result, tables)}."
    if working.verdict == "fail":
        yield "  No protective device fits here: the box is too small as it is."
    else:
        yield from (f"  {line}" for line in _protective(contents, is_done, space, tables))
    yield from steps_told(working.steps)
    yield from (f"i {each}" for each in working.caveats)


def _smallest(result: Mapping[str, object], tables: Tables) -> str:
    match result["smallest_standard_box"]:
        case {"box": str(box), "volume_in3": Decimal() as volume}:
            return f"{box}, {number(volume)} in3 ({rests_on(tables.ground('standard_box', box))})"
    return "none of the table is large enough"


def _protective(
    contents: BoxContents, is_done: bool, space: Space, tables: Tables
) -> Iterator[str]:
    """Whether a protective device would fit here, by the stated rule of thumb; raises NoRow."""
    ask = "Would a protective device fit here?"
    kinds = [kind for kind in _KINDS if tables.has("device_body_in", kind)]
    if not kinds:
        return
    if not contents.devices and is_done and (largest := largest_wire(contents)):
        # In the place of a device it takes no more room than that; here it comes on top.
        contents = replace(contents, devices=(Device(1, largest),))
        filled = box_fill(found_in(contents), space, tables).result["fill_in3"]
        assert isinstance(filled, Decimal)
        ask = (
            f"Would a protective device of one gang on {largest} AWG fit as well "
            f"({number(filled)} in3 with it)?"
        )
    found = found_in(contents)
    alike: dict[tuple[FitWord, Decimal], list[str]] = {}
    for kind in kinds:
        fits = would_fit(kind, found, space, tables)
        if fits == "yes" and not is_done:
            fits = "not known"
        alike.setdefault((fits, tables.number("device_body_in", kind)), []).append(kind)
    behind = tables.number("device_body_in", "room_behind")
    depth = "not told" if space.depth_in is None else f"{number(space.depth_in)} in."
    there = f"here {depth}" + (", volume not told" if space.marked_in3 is None else "")
    for (fits, body), same in alike.items():
        yield f"{ask} {fits.capitalize()} ({', '.join(_KINDS[kind] for kind in same)})."
        ground = tables.ground("device_body_in", same[0])
        needed = f"{number(body)} in. of body + {number(behind)} in. behind it"
        yield f"  Depth: {needed} = {number(body + behind)} in.; {there} ({rests_on(ground)})"


def _in_words(words: tuple[str, ...]) -> Iterator[str]:
    """What is open; without a single wire the sizes stand for one thing."""
    if any(word.startswith("box_wires_") for word in words):
        yield "the wires that come in"
    yield from (_OPEN[word] for word in words if word in _OPEN)


def _measure(answers: Mapping[str, object], word: str) -> Decimal | None:
    value = answers.get(word)
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return Decimal(str(value)) if is_number else None
