"""What has to be minded with a remedy, as things stand at its place: told behind what is to be done.

That a ground-fault device may stand for a missing ground, with its marks, is 406.4(D)(2) (JADE
Learning, Replacing Two-Wire Receptacles; EC&M, Article 406: Receptacles). That aluminum is spliced to
copper first, that a one-pole protective breaker trips on a shared neutral, that a fuse panel takes
no breaker, that GFCI receptacles are made for 125 V and up to 20 A, and that a failed device is mended
first: common practice, no source. That taking a device off must open no shared neutral is 300.13(B),
from memory.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from walkthrough.cli import main
from walkthrough.judge.judge import judge
from walkthrough.rulebook.load import load
from walkthrough.survey import store

HOUSE = """format = 1
title = "One kitchen"
judged_by = {{ ruleset = "nec-2020" }}

[dwelling]
answers = {{ dwelling_kind = "one_family", year_built = 1978, work = "untouched" }}

[[panel]]
id = "P1"
answers = {{ panel_kind = "{panel}" }}

[[circuit]]
id = "C1"
panel = "P1"
answers = {{ breaker = "{breaker}", breaker_amps = 20, circuit_volts = 120, {circuit} }}

[[room]]
id = "kitchen"
name = "Kitchen"
answers = {{ place = ["kitchen"], wetness = "dry" }}

[[outlet]]
id = "K-1"
room = "kitchen"
circuit = "C1"
fed_from = "K-2"
order_known_by = "opened"
answers = {{ point = "receptacle", volts = 125, amps = 15, device = "gfci", slots = "three_slot", feet_to_sink = 3 }}
readings = {{ tester = "correct", test_result = "{test}" }}

[[outlet]]
id = "K-2"
room = "kitchen"
circuit = "C1"
fed_from = "panel"
order_known_by = "opened"
answers = {{ point = "receptacle", volts = 125, amps = 15, device = "plain", serves_counter = true, feet_to_sink = 3, tr_mark = false, {outlet} }}
readings = {{ tester = "correct" }}
"""
COPPER = 'conductor = "cu12", shares_neutral = false'


def record(
    tmp_path: Path,
    circuit: str = COPPER,
    outlet: str = 'slots = "three_slot"',
    panel: str = "breakers",
    breaker: str = "standard",
    test: str = "trips",
) -> Path:
    path = tmp_path / "kitchen.toml"
    text = HOUSE.format(circuit=circuit, outlet=outlet, panel=panel, breaker=breaker, test=test)
    path.write_text(text, encoding="utf-8")
    return path


def remedies(path: Path, ruleset: str = "nec-2020") -> dict[tuple[str, str], str]:
    found = judge(store.load(path), load(ruleset))
    verdicts = {(each.subject, each.rule): found.verdict(each) for each in found.findings}
    return {
        where: ". But here: ".join([found.remedy(each), *found.caveats(each)])
        for where, each in verdicts.items()
    }


GFCI = ("K-2", "gfci.kitchen-counter")
TR = ("K-2", "tr.dwelling")
TIE = ("C1", "shared-neutral.simultaneous")
FAILED = ("K-1", "device.test-fails")


def test_where_nothing_is_to_be_minded_the_remedy_stands_alone(tmp_path: Path) -> None:
    assert "But here" not in " ".join(remedies(record(tmp_path)).values())


def test_no_device_is_changed_on_aluminum_before_it_is_spliced(tmp_path: Path) -> None:
    circuit = 'conductor = "al12", shares_neutral = false'
    told = remedies(record(tmp_path, circuit=circuit, test="nothing"))
    for each in (GFCI, FAILED):
        assert "But here: the wires are aluminum." in told[each]
        assert "licensed electrician has spliced them to copper" in told[each]
    spliced = 'slots = "three_slot", termination = "spliced"'
    told = remedies(record(tmp_path, circuit=circuit, outlet=spliced))
    assert "aluminum" not in told[GFCI]


def test_an_aluminum_rule_says_it_itself(tmp_path: Path) -> None:
    circuit = 'conductor = "al12", shares_neutral = false'
    direct = 'slots = "three_slot", termination = "direct", coalr_mark = false'
    told = remedies(record(tmp_path, circuit=circuit, outlet=direct))
    (own,) = [each for (_, rule), each in told.items() if rule.startswith("aluminum.")]
    assert "spliced them to copper" not in own


def test_a_shared_neutral_takes_no_one_pole_protective_breaker(tmp_path: Path) -> None:
    circuit = 'conductor = "cu12", shares_neutral = true'
    told = remedies(record(tmp_path, circuit=circuit))
    assert "A GFCI or AFCI breaker with one pole trips on it" in told[GFCI]
    assert "nothing on LOAD whose neutral is shared" in told[GFCI]
    assert "nothing on LOAD" not in remedies(record(tmp_path))[GFCI]


def test_work_in_a_box_of_a_shared_neutral_breaks_no_neutral_of_the_other_circuit(
    tmp_path: Path,
) -> None:
    circuit = 'conductor = "cu12", shares_neutral = true'
    told = remedies(record(tmp_path, circuit=circuit, test="nothing"))[FAILED]
    assert "Have both circuits off and proved dead before a box is opened" in told
    assert "opens no neutral of the other circuit" in told
    assert "both circuits off" not in remedies(record(tmp_path, test="nothing"))[FAILED]


def test_a_large_receptacle_is_protected_by_a_breaker_and_aluminum_may_end_on_it(
    tmp_path: Path,
) -> None:
    """The mark CO/ALR is for devices of 20 A or less (EC&M, What's Wrong Here on 406.2(C))."""
    path = record(tmp_path, circuit='conductor = "al8", shares_neutral = false')
    text = path.read_text(encoding="utf-8")
    head, _, tail = text.partition('id = "K-2"')
    tail = tail.replace("volts = 125, amps = 15", "volts = 250, amps = 50")
    path.write_text(head + 'id = "K-2"' + tail, encoding="utf-8")
    told = remedies(path)["K-2", "gfci.near-sink"]
    assert "GFCI receptacles are made for 125 V and for 15 A or 20 A only" in told
    assert "CO/ALR" not in told
    assert "GFCI receptacles are made for" not in remedies(record(tmp_path))[GFCI]


def test_smoke_alarms_are_not_left_to_their_batteries_unsaid(tmp_path: Path) -> None:
    path = record(tmp_path)
    assert "smoke alarms" not in remedies(path)[GFCI]
    alarm = '[[outlet]]\nid = "K-3"\nroom = "kitchen"\ncircuit = "C1"\n'
    alarm += 'answers = { point = "smoke_alarm" }\n'
    path.write_text(path.read_text(encoding="utf-8") + alarm, encoding="utf-8")
    assert "with the alarms not on LOAD" in remedies(path)[GFCI]


@pytest.mark.parametrize(
    ("ruleset", "says"),
    [
        ("nec-2020", "GFCI and AFCI protection and the marks TR and WR"),
        ("nec-2011", "(406.4(D)(3) to (6))"),
        ("nec-2008", "GFCI protection (406.3(D)(2))"),
        ("nec-2026", "(406.12(D)(3) to (6))"),
    ],
)
def test_a_device_put_in_anew_has_what_is_asked_of_a_replaced_one(
    tmp_path: Path, ruleset: str, says: str
) -> None:
    """406.4(D) of 2011 to 2023 (EC&M and IAEI Magazine, 2011); 406.3(D)(2) of 2008 (posted text);
    406.12(D) of 2026 (continuing-education page)."""
    broken = 'slots = "three_slot", damage = "damaged"'
    told = remedies(record(tmp_path, outlet=broken), ruleset)["K-2", "damage.device"]
    assert "of the same kind" in told
    assert says in told


@pytest.mark.parametrize(
    ("ruleset", "section"),
    [
        ("nec-before-2008", "406.3(D)(3), before 2002 in 210-7(d)"),
        ("nec-2008", "406.3(D)(3)"),
        ("nec-2020", "406.4(D)(2)"),
        ("nec-2026", "406.12(D)(2)"),
    ],
)
def test_the_marks_are_told_under_the_section_of_the_edition(ruleset: str, section: str) -> None:
    """The items changed places in 2011 and their section in 2026."""
    assert f"({section})" in load(ruleset).caveats["no_ground"].declared.says


def test_fuses_take_no_breaker_and_no_handle_tie(tmp_path: Path) -> None:
    circuit = 'conductor = "cu14", shares_neutral = true, simultaneous_disconnect = "none"'
    told = remedies(record(tmp_path, circuit=circuit, panel="fuses", breaker="fuse"))
    assert "a fuse panel takes no breakers" in told[GFCI]
    assert "no handle tie. Both fuses have to come out together" in told[TIE]
    assert "an adapter that takes no larger one" in told["C1", "conductor.cu14-breaker"]
    told = remedies(record(tmp_path, circuit=circuit))
    assert "fuse panel" not in told[GFCI] + told[TIE]


def test_without_a_ground_the_new_receptacle_bears_marks(tmp_path: Path) -> None:
    old = 'slots = "two_slot", equipment_ground = "none"'
    told = remedies(record(tmp_path, outlet=old))[GFCI]
    assert '"No Equipment Ground"' in told
    assert '"GFCI Protected" too where the GFCI is elsewhere' in told
    assert "no ground wire goes on from it" in told
    joined = 'slots = "three_slot", equipment_ground = "connected"'
    assert "No Equipment Ground" not in remedies(record(tmp_path, outlet=joined))[GFCI]


@pytest.mark.parametrize("test", ["nothing", "face_live"])
def test_a_failed_or_miswired_device_of_the_circuit_is_mended_first(
    tmp_path: Path, test: str
) -> None:
    told = remedies(record(tmp_path, test=test))
    assert "Mend that one first and test again: it may cover this place too" in told[GFCI]
    assert "Mend that one first" not in remedies(record(tmp_path))[GFCI]


def test_a_reading_that_has_to_be_measured_holds_up_all_other_work(tmp_path: Path) -> None:
    path = record(tmp_path)
    text = path.read_text(encoding="utf-8")
    head, _, tail = text.partition('id = "K-2"')
    tail = tail.replace('tester = "correct"', 'tester = "hot_ground_reversed"')
    path.write_text(head + 'id = "K-2"' + tail, encoding="utf-8")
    told = remedies(path)
    assert "has to be measured first. Leave it unplugged" in told[GFCI]
    own = told["K-2", "polarity.hot-ground"]
    assert "a new receptacle alone mends neither" in own
    assert "But here" not in own
    hud = remedies(path, "hud-rental")["K-2", "hud.three-slot-wiring"]
    assert "has to be measured first. Leave it unplugged" in hud


def test_what_is_not_known_is_not_said(tmp_path: Path) -> None:
    told = remedies(record(tmp_path, circuit='circuit_work = "untouched"', panel="breakers"))
    assert "But here" not in told[GFCI]


def test_no_rating_that_is_wrong_for_the_wire_is_kept(tmp_path: Path) -> None:
    """240.4(D): the wire decides (question-and-answer page quoting 240.4(D)(3) to (7))."""
    circuit = 'conductor = "cu14", shares_neutral = false, breaker_test_result = "nothing"'
    told = remedies(record(tmp_path, circuit=circuit, breaker="gfci"))
    assert (
        "of the ampere rating that the conductors allow" in told["C1", "device.breaker-test-fails"]
    )
    assert "of the protective kind (GFCI" in told["C1", "conductor.cu14-breaker"]
    for name in ("nec-2020", "nec-2023", "hud-rental", "texas-inspection-2022", "nec-before-2008"):
        book = load(name)
        for text in (*book.cures.values(), *(e.declared.remedy for e in book.rules.values())):
            assert "same ampere rating" not in text
            assert "same rating" not in text


@pytest.mark.parametrize("form", ["text", "md", "html", "json", "csv"])
def test_every_format_says_it(
    tmp_path: Path, form: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = record(tmp_path, circuit='conductor = "al12", shares_neutral = false')
    assert main(["replay", str(path), "--format", form]) == 0
    out = " ".join(capsys.readouterr().out.split())
    where = "" if form in ("json", "csv") else r"[Bb]ut (here|at [^:]+):(</strong>)? "
    assert re.search(f"{where}the wires are aluminum\\.", out)
    assert "(common practice, no source)" in out


def plan_and_findings(path: Path, capsys: pytest.CaptureFixture[str]) -> tuple[str, str]:
    assert main(["plan", str(path), "--format", "json"]) == 0
    plan = json.loads(capsys.readouterr().out)
    assert main(["replay", str(path), "--for", "electrician", "--format", "md"]) == 0
    return " ".join(each["rule"] for each in plan["cleared"]), capsys.readouterr().out


def test_the_electrician_is_told_what_to_do_where_the_plan_does_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Public housing rules: live parts behind an opening of the panel are of no action in the list."""
    path = record(tmp_path)
    text = path.read_text(encoding="utf-8")
    text = text.replace('"nec-2020"', '"hud-rental"').replace(
        'panel_kind = "breakers"', 'panel_kind = "breakers", panel_opening_inches = 1'
    )
    path.write_text(text, encoding="utf-8")
    cleared, page = plan_and_findings(path, capsys)
    assert "hud.water-source" in cleared
    assert "hud.panel-opening" not in cleared
    lines = [each for each in page.splitlines() if each.startswith("- !")]
    (opening,) = [each for each in lines if "hud.panel-opening" in each]
    (water,) = [each for each in lines if "hud.water-source" in each]
    assert "What to do: close the opening with a filler plate" in opening
    assert "What to do" not in water


def test_before_2008_an_afci_away_from_the_panel_is_near_it_and_behind_metal() -> None:
    """210.12(B) of 2005: within 6 ft of the panel, in metal (inspectors' forum, AFCI in conduit)."""
    rule = load("nec-before-2008").rules["afci.new-circuit"]
    assert "at most 6 ft of wire from the panel, all of it in metal" in rule.declared.remedy
    assert rule.danger is not None
    assert rule.danger.word == "arc"


@pytest.mark.parametrize(
    ("power", "found"), [("there", "deficient"), ("none", "undecided"), ("by_tester", "undecided")]
)
def test_where_a_device_had_no_power_its_protection_is_open(
    tmp_path: Path, power: str, found: str
) -> None:
    """From memory: without power a device could not be tested; here the lamps stayed dark."""
    path = record(tmp_path, test="nothing")
    text = path.read_text(encoding="utf-8").replace('tester = "correct"', 'tester = "dead"', 1)
    told = 'device = "gfci", '
    path.write_text(text.replace(told, f'{told}power_when_tested = "{power}", ', 1), "utf-8")
    outcomes = {
        each.decision.outcome
        for each in judge(store.load(path), load("nec-2020")).verdicts
        if (each.subject, each.decision.rule.id) == ("K-1", "gfci.near-sink")
    }
    assert outcomes == {found}
