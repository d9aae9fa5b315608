"""`walkthrough calc` as a stranger uses it: the JSON contract, the paper, the help, and slips."""

from __future__ import annotations

import argparse
import json
import re
import shlex
from pathlib import Path
from typing import Any

import pint
import pytest

from walkthrough.cli import main
from walkthrough.cli_calc.inputs import number_in
from walkthrough.cli_calc.registry import CALCULATIONS, Calculation
from walkthrough.report.cautions import CAUTIONS, NOT_A_CERTIFICATE
from walkthrough.trade.working import VERDICTS

Output = pytest.CaptureFixture[str]
README = (Path(__file__).resolve().parents[1] / "README.md").read_text(encoding="utf-8")
EXAMPLES = [
    re.split(" {3,}", line.strip())[0].strip()
    for each in CALCULATIONS
    for line in each.examples.splitlines()
    if line.startswith("  walkthrough calc")
]
IN_README = re.findall(r"^walkthrough calc .*$", README, flags=re.MULTILINE)
units: Any = pint.UnitRegistry()


def calc(capsys: Output, command: str) -> dict[str, Any]:
    assert main(["calc", *shlex.split(command), "--json"]) == 0
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def refused(capsys: Output, command: str) -> str:
    assert main(["calc", *shlex.split(command)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    return told.err.strip()


def test_the_json_contract(capsys: Output) -> None:
    # Contractor's page on Article 314: 18.0 in3, which fills the box and passes.
    told = calc(capsys, "box-fill --wire 12:4 --ground 12:2 --clamps --device 1x12 --volume 18")
    assert set(told) == {
        "calculation",
        "ruleset",
        "inputs",
        "steps",
        "result",
        "verdict",
        "because",
        "confidence",
        "caveats",
    }
    assert told["calculation"] == "box-fill"
    assert told["ruleset"]["id"] == "nec-2023"
    assert told["inputs"]["wire"] == [{"12": 4}]
    assert told["result"]["fill_in3"] == told["result"]["volume_in3"] == 18
    assert told["verdict"] == "pass"
    for step in told["steps"]:
        assert set(step) == {"label", "formula", "value", "unit", "cite", "confidence"}
    assert told["steps"][0] == {
        "label": "12 AWG wires",
        "formula": "4 x 2.25 in3",
        "value": 9.0,
        "unit": "in3",
        "cite": ["314.16(B)(1)", "Table 314.16(B)(1)"],
        "confidence": "one-source",
    }


@pytest.mark.parametrize(
    ("named", "edition"),
    [
        ("nec-2017", "nec-2017"),
        ("2017", "nec-2017"),
        ("2026", "nec-2026"),
        ("ohio-residential",) * 2,
    ],
)
def test_the_edition_by_name_or_year(capsys: Output, named: str, edition: str) -> None:
    for option in ("--ruleset", "--edition"):
        told = calc(capsys, f"box-fill --ground 12:10 {option} {named}")
        assert told["ruleset"]["id"] == edition
        # Code forum "EGC Fill"; 2.25 in3 until 2017.
        assert told["result"]["fill_in3"] == (2.25 if edition == "nec-2017" else 5.625)


@pytest.mark.parametrize("command", EXAMPLES + IN_README)
def test_every_example_works_as_it_stands(capsys: Output, command: str) -> None:
    assert main([*shlex.split(command)[1:], "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["verdict"] in VERDICTS


def test_the_readme_shows_every_calculation() -> None:
    assert {shlex.split(each)[2] for each in IN_README} == {each.name for each in CALCULATIONS}


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda each: each.name)
def test_every_option_says_its_unit_or_words_with_an_example(calculation: Calculation) -> None:
    parser = argparse.ArgumentParser(add_help=False)
    calculation.add(parser)
    for action in parser._actions:
        assert action.help
        if action.metavar:
            assert "e.g." in action.help, action.option_strings


def test_the_paper_can_be_checked_by_hand(capsys: Output) -> None:
    assert (
        main(["calc", "ampacity", "--size", "12", "--insulation", "NM-B", "--cables", "4x2"]) == 0
    )
    text = capsys.readouterr().out
    assert all(len(line) <= 96 for line in text.splitlines())
    assert "By: NEC 2023, dwelling units (nec-2023)" in text
    assert "corrected and adjusted: 30 A x 1 x 0.7 = 21 A" in text
    assert "334.80, Table 310.16 [read in one source: verify in the code book]" in text
    assert "Verdict: calculated" in text
    words = " ".join(text.split())
    assert NOT_A_CERTIFICATE in words
    assert all(each in words for each in CAUTIONS)


@pytest.mark.parametrize(
    ("option", "ways"),
    [
        (
            "voltage-drop --size 12 --amps 16 --length",
            ("85ft", "85'", '"85 ft"', "85 ft", "85 Feet", "85\u2032", "1020in", "'84ft 12in'"),
        ),
        (
            "box-fill --wire 12:4 --volume",
            ("18in3", "18cuin", "'18 in3'", "18 in3", "'18 cu. in.'", "18in\u00b3"),
        ),
        ("circuit-load --circuit 20 --plug", ("1.5kW", "1500W", "1500watts", "'1500 Watts'")),
        (
            "box-fill --wire 12:4 --box",
            (
                "'4 x 2-1/8 square'",
                "'4\" square 2-1/8'",
                "'4in sq. box, 2-1/8 deep'",
                "'4 square x 2 1/8'",
                "4x4x2.125",
            ),
        ),
        ("ampacity --size 12 --insulation THHN --ambient", ("104F", "104\u00b0F", "'40 deg C'")),
    ],
)
def test_what_strangers_write_is_what_is_meant(
    capsys: Output, option: str, ways: tuple[str, ...]
) -> None:
    first, *others = (calc(capsys, f"{option} {_shelled(way)}") for way in ways)
    for each in others:
        assert {**each, "inputs": {}} == {**first, "inputs": {}}


def _shelled(way: str) -> str:
    """A way as one types it; a lone prime would open a quotation."""
    return way if way.count("'") % 2 == 0 else shlex.quote(way)


@pytest.mark.parametrize(
    ("command", "expected"),
    [
        (
            "circuit-load --circuit 20 --plug 1/2hp",
            "calc circuit-load: --plug: found '1/2hp'; expected A or W as its nameplate says, such "
            "as 12.5A or 1500W; horsepower tells what a motor gives, not what it takes",
        ),
        (
            "circuit-load --circuit 20 --plug fridge",
            "calc circuit-load: --plug: found 'fridge'; expected A or W as its nameplate says, "
            "such as 12.5A",
        ),
        (
            "ampacity --size 12 --insulation 90 --metal steel",
            "calc ampacity: --metal: found 'steel'; expected copper, aluminum, copper-clad",
        ),
        ("box-fil", "calc: found 'box-fil'; did you mean 'box-fill'?"),
        ("box-fill --wir 14:3", "calc box-fill: found '--wir'; did you mean '--wire'?"),
        ("box-fill --wire 14", "calc box-fill: --wire: found '14'; expected SIZE:COUNT, such as"),
        ("box-fill --wire 14:x", "calc box-fill: --wire: found 'x'; expected a number of wires"),
        ("box-fill --wire 4:3", "calc box-fill: --wire: found '4'; expected 18, 16, 14, 12, 10, 8"),
        ("box-fill --volume -3", "calc box-fill: --volume: found '-3'; expected 0 to 1000 in3"),
        ("box-fill --volume nan", "calc box-fill: --volume: found 'nan'; expected a number of in3"),
        (
            "box-fill --volume 18in",
            "calc box-fill: --volume: found '18in'; expected a number of in3",
        ),
        (
            "box-fill --box 4x1-1/2",
            "calc box-fill: --box: found '4x1-1/2'; expected one of '4 x 1-",
        ),
        (
            "box-fill --box '4x1.5 sqare'",
            "calc box-fill: --box: found '4x1.5 sqare'; expected a box",
        ),
        ("box-fill --box unmarked --volume 3", "calc box-fill: --box: 'unmarked' cannot stand"),
        ("box-fill --ring 3", "calc box-fill: --ring and --barrier belong to a box"),
        (
            "box-fill --device 9x14",
            "calc box-fill: --device: found '9'; expected a number of gangs",
        ),
        ("box-fill --ruleset nec-2021", "ruleset: no 'nec-2021'; did you mean 'nec-20"),
        ("box-fill --wire 14:1 --ruleset hud-rental", "calc box-fill: no volume allowance for 14"),
        ("box-fill stray", "calc box-fill: found 'stray'; no more was expected"),
        ("ampacity", "calc ampacity: the following arguments are required: --size"),
        (
            "ampacity --size 13 --insulation 90",
            "calc ampacity: --size: found '13'; expected an AWG",
        ),
        (
            "ampacity --size 12 --insulation THN",
            "calc ampacity: --insulation: found 'THN'; expected",
        ),
        (
            "ampacity --size 12 --insulation 90 --metal coper",
            "calc ampacity: --metal: found 'coper'; expected copper, aluminum, copper-clad; did you "
            "mean 'copper'?",
        ),
        (
            "ampacity --size 12 --insulation 90 --ambient 40",
            "calc ampacity: --ambient: found '40'; expected a number of C or F; the unit is missing",
        ),
        (
            "ampacity --size 12 --insulation 90 --ambient 90C",
            "calc ampacity: --ambient: found 90 C; expected no more than 85 C",
        ),
        (
            "ampacity --size 12 --insulation 90 --cables 4x2 --conductors 8",
            "calc ampacity: --conductors and --cables: give one of them",
        ),
        ("voltage-drop --size 12", "calc voltage-drop: expected --amps, --length or both beside"),
        ("voltage-drop", "calc voltage-drop: expected --size with --amps or --length"),
        (
            "voltage-drop --size 6 --build solid --amps 1",
            "calc voltage-drop: 'nec-2023' has no row",
        ),
        (
            "voltage-drop --unloaded-volts 110 --loaded-volts 120",
            "calc voltage-drop: found 110 V without and 120 V under load; expected the loaded",
        ),
        ("trip-time", "calc trip-time: expected --current or --tripped-at"),
        ("trip-time --current 0", "calc trip-time: --current: found '0'; expected more than 0"),
        ("trip-time --seconds 1", "calc trip-time: a time or --no-trip needs the --current"),
        (
            "circuit-load --circuit 15 --plug 15V",
            "calc circuit-load: --plug: found '15V'; expected",
        ),
        (
            "circuit-load --circuit 15 --single",
            "calc circuit-load: --single goes with --individual",
        ),
    ],
)
def test_slips_are_told_in_one_line(capsys: Output, command: str, expected: str) -> None:
    assert refused(capsys, command).startswith(expected)


@pytest.mark.parametrize(
    ("typed", "box"),
    [
        ("3x2x3.5", "3 x 2 x 3-1/2 device"),
        ("3 x 2 x 3-1/2 in. device", "3 x 2 x 3-1/2 device"),
        ("3 x 2 x 2½", "3 x 2 x 2-1/2 device"),
        ("4x4x1-1/2", "4 x 1-1/2 square"),
        ('4" x 1-1/2" square', "4 x 1-1/2 square"),
        ("4x1.5 octagon", "4 x 1-1/2 round"),
        ("4-11/16 x 2-1/8 square", "4-11/16 x 2-1/8 square"),
        ("4.69x4.69x2.125", "4-11/16 x 2-1/8 square"),
        ("4x2-1/8x1-7/8 handy", "4 x 2-1/8 x 1-7/8 device"),
        ("3-3/4x2x3-1/2 masonry", "3-3/4 x 2 x 3-1/2 masonry"),
        ("fs single", "FS single"),
    ],
)
def test_boxes_as_people_write_them(capsys: Output, typed: str, box: str) -> None:
    told = calc(capsys, f"box-fill --box {shlex.quote(typed)}")
    volume = next(step for step in told["steps"] if step["label"] == "volume of the box")
    assert volume["formula"] == box


@pytest.mark.parametrize(
    ("command", "name", "quantity", "unit"),
    # The reference for units is a general library.
    [
        ("box-fill --volume 295cm3", "volume", "295 cm**3", "in**3"),
        ("box-fill --device 14 --depth 65mm", "depth", "65 mm", "in"),
        ("voltage-drop --size 12 --amps 9 --length 30m", "length", "30 m", "ft"),
        (
            "ampacity --size 12 --insulation 90 --bundle-length 2.5ft",
            "bundle_length",
            "2.5 ft",
            "in",
        ),
        ("trip-time --current 20 --seconds 25ms", "seconds", "25 ms", "s"),
        ("trip-time --current 0.006A", "current", "0.006 A", "mA"),
    ],
)
def test_other_units(capsys: Output, command: str, name: str, quantity: str, unit: str) -> None:
    expected = units.Quantity(quantity).to(unit).magnitude
    assert calc(capsys, command)["inputs"][name] == pytest.approx(expected)


@pytest.mark.parametrize("fahrenheit", [50, 86, 87, 104, 185])
def test_fahrenheit(capsys: Output, fahrenheit: int) -> None:
    told = calc(capsys, f"ampacity --size 6 --insulation 90 --ambient {fahrenheit}F")
    expected = units.Quantity(fahrenheit, "degF").to("degC").magnitude
    assert told["inputs"]["ambient"] == pytest.approx(expected)
    if fahrenheit in (86, 87):
        # Public flipbook of the 2018 residential code, page 742: 78 to 86 F, then 87 to 95 F.
        assert told["result"]["ambient_factor"] == (1.0 if fahrenheit == 86 else 0.96)


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("1-1/2", 1.5),
        ("1 7/8", 1.875),
        ("15/16", 0.9375),
        ("2.25", 2.25),
        ("1/0", None),
        ("x", None),
    ],
)
def test_numbers_as_on_a_rule(typed: str, value: float | None) -> None:
    found = number_in(typed)
    assert (None if found is None else float(found)) == value


def test_watts_and_kilowatts(capsys: Output) -> None:
    # Trade magazine "A Misleading Circuit": 1500 W at 120 V.
    for load in ("1500W", "1.5kW", "12.5A", "12.5"):
        told = calc(capsys, f"circuit-load --circuit 15 --plug {load}")
        (check,) = [each for each in told["result"]["checks"] if "load_a" in each]
        assert (check["load_a"], check["limit_a"], check["verdict"]) == (12.5, 12, "warning")
        assert check["percent_of_circuit"] == pytest.approx(83.33, abs=0.01)


def test_cables_bring_their_wires_and_grounds(capsys: Output) -> None:
    # Practice-exam page, Code Standards and Practices 1: one receptacle, four 12/2: 24.75 in3.
    told = calc(capsys, "box-fill --cable 12/2:4 --device 12")
    assert told["result"]["fill_in3"] == 24.75
    assert refused(capsys, "box-fill --cable 12-2:4").endswith("such as 12/2:4")


def test_a_box_without_mark_or_table_cannot_be_assessed(capsys: Output) -> None:
    # Two pages on 314.16(A): unmarked boxes that are not in the table.
    told = calc(capsys, "box-fill --wire 14:4 --box unmarked")
    assert (told["verdict"], told["result"]["fill_in3"]) == ("cannot assess", 8)


def test_the_weakest_mark_is_told(capsys: Output) -> None:
    assert calc(capsys, "trip-time --current 20")["confidence"] == "confirmed"
    told = calc(capsys, "box-fill --wire 14:4 --box 'FS single' --edition 2020")
    assert told["confidence"] == "memory"
