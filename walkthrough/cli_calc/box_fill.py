"""`calc box-fill`: what is in a box, and whether the box is large enough."""

from __future__ import annotations

import argparse
import re
import unicodedata
from decimal import Decimal

from walkthrough.cli_calc.inputs import (
    BOX_SIZES,
    MOST_OF_A_KIND,
    above_zero,
    awg,
    counts,
    number_in,
    quantity,
    refuse,
    together,
    whole,
    word_of,
    wrong,
)
from walkthrough.rulebook.problems import nearest
from walkthrough.trade.box_fill import Device
from walkthrough.trade.box_readings import Found, Loop, WideDevice
from walkthrough.trade.boxes import Space, box_fill
from walkthrough.trade.tables import Tables
from walkthrough.trade.working import Working

NAME = "box-fill"
HELP = "wires, devices and clamps in a box against its volume and depth"
EXAMPLES = """\
examples:
  walkthrough calc box-fill --wire 12:4 --ground 12:2 --clamps --device 1x12 --volume 18
  walkthrough calc box-fill --cable 12/2:4 --device 12 --volume 22.5
  walkthrough calc box-fill --ruleset 2020 --wire 14:6 --ground 14:3 --device 14 --box 3x2x3.5
  walkthrough calc box-fill --wire 12:3 --loop 12:9:12in --ground 12:2 --pigtail 12:1
  walkthrough calc box-fill --box "4x1-1/2 round"     how many conductors of each size it holds

Without --box and --volume the answer is the volume that is needed and the smallest standard box.
Sizes are AWG, 18 to 6. Options that take SIZE:COUNT may be given several times."""
UNMARKED = "unmarked"
_MILLIMETERS = {"mm": lambda value: value / Decimal("25.4")}
_INCHES = quantity("in", 40, others=_MILLIMETERS)
_SHAPES = {
    "octagonal": "round",
    "octagon": "round",
    "oct": "round",
    "round": "round",
    "square": "square",
    "sq": "square",
    "device": "device",
    "switch": "device",
    "handy": "device",
    "utility": "device",
    "masonry": "masonry",
}
_CLOSE = Decimal("0.011")


def add(parser: argparse.ArgumentParser) -> None:
    """Add the options."""
    inside = parser.add_argument_group(
        "what is in the box", "SIZE is 18, 16, 14, 12, 10, 8 or 6 AWG, COUNT 0 to 200 wires."
    )
    for flags, told in (
        (
            ("--wire", "--wires"),
            "wires from outside that end, are spliced or pass straight through; "
            "each once, no grounds; 0 to 200, e.g. 14:6",
        ),
        (("--ground", "--grounds"), "equipment grounding wires, bare or insulated, e.g. 14:3"),
        (
            ("--isolated-ground",),
            "a second set of grounds for isolated-ground receptacles, e.g. 12:1",
        ),
        (
            ("--luminaire-wire",),
            "wires of a luminaire's canopy that end in the box, without its ground, e.g. 18:2",
        ),
        (
            ("--pigtail",),
            "pigtails and jumpers that do not leave the box; they count nothing, e.g. 12:2",
        ),
    ):
        inside.add_argument(
            *flags, action="append", type=counts, default=[], metavar="SIZE:COUNT", help=told
        )
    inside.add_argument(
        "--cable",
        "--cables",
        action="append",
        type=_cables,
        default=[],
        metavar="SIZE/WIRES:COUNT",
        help="cables with ground that end in the box: size, insulated wires in each (1 to 5) and "
        "how many (0 to 99); adds their wires and grounds, e.g. 12/2:4",
    )
    inside.add_argument(
        "--loop",
        action="append",
        type=_loop,
        default=[],
        metavar="SIZE:COUNT[:LENGTH]",
        help="unbroken loops or coils; LENGTH of each (0 to 200 in, in or mm), else taken as "
        "long enough to count twice, e.g. 12:3:12in",
    )
    inside.add_argument(
        "--clamps",
        nargs="?",
        const=1,
        default=0,
        type=whole(MOST_OF_A_KIND),
        metavar="COUNT",
        help="cable clamps inside the box; any number (0 to 200) counts once, e.g. 2",
    )
    inside.add_argument("--stud", action="store_true", help="there is a luminaire stud")
    inside.add_argument("--hickey", action="store_true", help="there is a hickey")
    inside.add_argument(
        "--device",
        "--devices",
        action="append",
        type=_device,
        default=[],
        metavar="[GANGSx]SIZE",
        help="one yoke or strap: gangs that its mounting takes (1 to 6, else 1) and the largest "
        "wire on it; once for each yoke, e.g. 1x14",
    )
    inside.add_argument(
        "--wide-device",
        action="append",
        type=_wide_device,
        default=[],
        metavar="WIDTH:SIZE",
        help="a device of which only the width is known, in inches (0 to 40), and the largest wire "
        "on it, e.g. 2.75in:10",
    )
    inside.add_argument(
        "--terminal-block",
        action="append",
        type=awg(BOX_SIZES),
        default=[],
        metavar="SIZE",
        help="a terminal block and the largest wire that ends on it, e.g. 12",
    )
    box = parser.add_argument_group("the box")
    box.add_argument(
        "--box",
        action="append",
        default=[],
        metavar="NAME",
        help="a standard metal box by inches and shape, e.g. '4x1-1/2 square', '3x2x2.5', "
        "'4-11/16x2-1/8 square', '3-3/4x2x3-1/2 masonry', 'FS single'; once for each gang or box "
        f"joined; '{UNMARKED}' for a box that is neither in the table nor marked",
    )
    box.add_argument(
        "--volume",
        type=above_zero(quantity("in3", 1000, others={"cm3": _cubic_inches})),
        metavar="IN3",
        help="volume marked in the box, in3 or cm3, above 0 to 1000 in3, e.g. 18 or 295cm3",
    )
    box.add_argument(
        "--ring",
        "--extension",
        action="append",
        type=_ring,
        default=[],
        metavar="IN3",
        help=f"marked volume of a plaster ring, raised cover or extension, 0 to 1000 in3, or "
        f"'{UNMARKED}' (adds nothing), e.g. 3.5",
    )
    box.add_argument(
        "--barrier",
        action="append",
        type=_barrier,
        default=[],
        metavar="KIND",
        help="a barrier inside: 'metal', 'nonmetallic', or its marked volume in in3, e.g. metal; "
        "then tell one space and its contents",
    )
    box.add_argument(
        "--depth",
        type=above_zero(_INCHES),
        metavar="IN",
        help="inside depth as assembled, rings included, in or mm, above 0 to 40 in, e.g. 2-1/8",
    )
    box.add_argument(
        "--device-depth",
        type=above_zero(_INCHES),
        metavar="IN",
        help="how far the device reaches behind the plane it is mounted on, in or mm, above 0 to "
        "40 in, e.g. 1-3/8",
    )
    box.add_argument(
        "--protective",
        type=word_of(
            {
                "gfci": "gfci",
                "afci": "afci",
                "dual_function": "dual_function",
                "dual-function": "dual_function",
            }
        ),
        metavar="KIND",
        help="would a protective device fit in place of the one there? gfci, afci or "
        "dual-function, e.g. gfci",
    )


def work(chosen: argparse.Namespace, tables: Tables) -> Working:
    """Do the calculation; raises Unusable and NoRow."""
    found = Found(
        wires=together([*chosen.wire, *(each["wires"] for each in chosen.cable)]),
        loops=tuple(chosen.loop),
        luminaire_wires=together(chosen.luminaire_wire),
        pigtails=tuple(together(chosen.pigtail)),
        grounds=together([*chosen.ground, *(each["grounds"] for each in chosen.cable)]),
        isolated_grounds=together(chosen.isolated_ground),
        clamps=bool(chosen.clamps),
        support_fittings=int(chosen.stud) + int(chosen.hickey),
        devices=tuple(chosen.device),
        wide_devices=tuple(chosen.wide_device),
        terminal_blocks=tuple(chosen.terminal_block),
    )
    named = [each for each in chosen.box if each.strip().lower() != UNMARKED]
    if len(named) < len(chosen.box) and (named or chosen.volume):
        raise wrong(NAME, f"--box: '{UNMARKED}' cannot stand beside a volume or another box")
    if not (named or chosen.volume) and (chosen.ring or chosen.barrier):
        raise wrong(NAME, "--ring and --barrier belong to a box: give --box or --volume")
    space = Space(
        boxes=tuple(_standard(each, tables) for each in named),
        marked_in3=chosen.volume,
        rings_in3=tuple(chosen.ring),
        barriers=tuple(chosen.barrier),
        depth_in=chosen.depth,
        device_in=chosen.device_depth,
    )
    return box_fill(found, space, tables, chosen.protective or "")


def _standard(text: str, tables: Tables) -> str:
    """The row of the table that a person means."""
    rows = tables.rows("standard_box")
    measures, shape = _measures(text)
    fitting = [row for row in rows if _is(row, measures, shape)]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        which = " or ".join(f"'{each}'" for each in fitting)
        raise wrong(NAME, f"--box: found '{text}'; expected one of {which}")
    hint = nearest(text.lower().replace("x", " x "), rows)
    raise wrong(
        NAME,
        f"--box: found '{text}'; expected a box of the table, else its marked --volume; {hint}",
    )


def _is(row: str, measures: tuple[Decimal, ...], shape: str) -> bool:
    own, own_shape = _measures(row)
    if own_shape == "square" and len(measures) == 3 and measures[0] == measures[1]:
        measures = measures[1:]
    if not own:
        return shape == own_shape and not measures
    same = len(own) == len(measures) and all(
        abs(one - other) < _CLOSE for one, other in zip(own, measures, strict=True)
    )
    return same and shape in ("", own_shape)


def _measures(text: str) -> tuple[tuple[Decimal, ...], str]:
    """The inches in the name of a box and the word for its shape."""
    plain = unicodedata.normalize(
        "NFKC", re.sub(r"(?<=\d)(?=[\u00bc-\u00be\u2150-\u215e])", " ", text)
    )
    plain = plain.lower().replace("\u2044", "/").replace("\u00d7", "x").replace('"', "")
    plain = re.sub(r"(?<![a-z])(in|inch|inches|deep|box|metal|steel|by)(?![a-z])\.?", " ", plain)
    plain = re.sub(r"[,.](?!\d)", " ", plain)
    shape = " ".join(re.findall(r"[a-wyz][a-z]+|x[a-z]+", plain))
    # A word parts two figures as well as the sign does: 4 square 2-1/8.
    figures = re.sub(r"[a-wyz][a-z]+|x[a-z]+", "x", plain).split("x")
    numbers = [number_in(each) for each in figures if each.strip()]
    if any(each is None for each in numbers):
        return (), ""
    return tuple(each for each in numbers if each is not None), _SHAPES.get(shape, shape)


def _cables(text: str) -> dict[str, dict[str, int]]:
    """Cables with ground: their insulated wires, and a ground of the same size in each."""
    match = re.fullmatch(r"\s*([^/:]+)/\s*([1-5])\s*:\s*(\d{1,2})\s*", text)
    if match is None:
        raise refuse(f"found '{text}'; expected SIZE/WIRES:COUNT, such as 12/2:4")
    size, number = awg(BOX_SIZES)(match[1]), int(match[3])
    return {"wires": {size: int(match[2]) * number}, "grounds": {size: number}}


def _loop(text: str) -> Loop:
    parts = text.split(":")
    if len(parts) not in (2, 3):
        raise refuse(f"found '{text}'; expected SIZE:COUNT or SIZE:COUNT:LENGTH, such as 12:3:12in")
    ((size, number),) = counts(":".join(parts[:2])).items()
    length = quantity("in", 200, others=_MILLIMETERS)(parts[2]) if len(parts) == 3 else None
    return Loop(size, number, length)


def _device(text: str) -> Device:
    gangs, by, size = text.lower().replace("\u00d7", "x").rpartition("x")
    return Device(whole(6, 1, "number of gangs")(gangs) if by else 1, awg(BOX_SIZES)(size))


def _wide_device(text: str) -> WideDevice:
    width, colon, size = text.rpartition(":")
    if not colon:
        raise refuse(f"found '{text}'; expected WIDTH:SIZE, such as 2.75in:10")
    return WideDevice(above_zero(_INCHES)(width), awg(BOX_SIZES)(size))


def _ring(text: str) -> Decimal | None:
    if text.strip().lower() == UNMARKED:
        return None
    volume: Decimal = quantity("in3", 1000, others={"cm3": _cubic_inches})(text)
    return volume


def _barrier(text: str) -> str | Decimal:
    kinds = {
        "metal": "metal",
        "nonmetallic": "nonmetallic",
        "nonmetal": "nonmetallic",
        "plastic": "nonmetallic",
    }
    if re.match(r"\s*\d", text):
        volume: Decimal = quantity("in3", 100)(text)
        return volume
    return str(word_of(kinds)(text))


def _cubic_inches(cubic_centimeters: Decimal) -> Decimal:
    return cubic_centimeters / Decimal("16.387064")
