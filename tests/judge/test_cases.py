"""The shipped rule cases, and what the runner says of case files that are not right."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest

from walkthrough.judge.case_files import cases_beside
from walkthrough.judge.cases import run_file
from walkthrough.judge.coverage import coverage
from walkthrough.rulebook.files import ruleset_folders
from walkthrough.rulebook.load import load
from walkthrough.rulebook.problems import Unusable

SHIPPED = Path(__file__).resolve().parents[2] / "rulesets"
CASE_FILES = sorted(SHIPPED.glob("*.cases.toml"))


@pytest.mark.parametrize("path", CASE_FILES, ids=lambda path: path.stem)
def test_every_shipped_case_comes_out_as_expected(path: Path) -> None:
    slips = [
        f"{each.path}:{each.line}: {slip}" for each in run_file(path).results for slip in each.slips
    ]
    assert slips == []


def test_every_ruleset_has_cases_beside_it() -> None:
    rulesets = [path for path in SHIPPED.glob("*.toml") if not path.stem.endswith(".cases")]
    assert rulesets
    assert all(cases_beside(path).is_file() for path in rulesets)


def test_every_rule_has_a_case_that_it_hits_and_one_that_it_does_not() -> None:
    """A rule that an edition restates must be tried again there: its words may have changed."""
    lacking: list[str] = []
    for path in CASE_FILES:
        ruleset = path.stem.removesuffix(".cases")
        book = load(ruleset)
        declared_here = {name for name in book.rules if f'[rule."{name}"]' in book.chain[-1].text}
        expected: dict[str, set[str]] = defaultdict(set)
        for case in _expectations(path):
            for name, outcome in case.items():
                expected[name].add(outcome)
        for name in sorted(declared_here):
            hits = expected[name] & {"deficient", "ask the AHJ"}
            misses = expected[name] & {"met", "excepted", "not applicable"}
            if not hits or not misses:
                lacking.append(f"{ruleset}: {name} has only {sorted(expected[name])}")
    assert lacking == []


def _expectations(path: Path) -> list[dict[str, str]]:
    import tomllib

    cases = tomllib.loads(path.read_text(encoding="utf-8"))["case"]
    return [case.get("expect", {}) for case in cases]


CASE = """\
ruleset = "nec-2020"
[[case]]
about = "a bathroom receptacle"
given = { point = "receptacle", place = ["bathroom"], volts = 125, gfci_protected = false }
expect = { "gfci.bathroom" = "deficient" }
source = "from memory"
"""


def told(tmp_path: Path, text: str) -> str:
    path = tmp_path / "my.cases.toml"
    path.write_text(text, encoding="utf-8")
    try:
        problems = run_file(path).problems
    except Unusable as error:
        problems = error.problems
    return "\n".join(str(each) for each in problems).removeprefix(f"{path}:")


def test_a_case_file_of_ones_own(tmp_path: Path) -> None:
    path = tmp_path / "my.cases.toml"
    path.write_text(CASE + CASE.replace('"deficient"', '"met"').partition("\n")[2])
    first, second = run_file(path).results
    assert first.passed
    assert second.slips == ("gfci.bathroom: expected met, came out deficient",)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("place =", "plac =", "4:33: unknown word 'plac'; did you mean 'place'?"),
        (
            '"bathroom"]',
            '"bath room"]',
            "4:41: 'place': unknown 'bath room'; did you mean 'bathroom'?",
        ),
        ("125", '"125"', "4:64: 'volts': found '125'; expected a number"),
        (
            '"gfci.bathroom"',
            '"gfci.bathrom"',
            "5:12: no rule 'gfci.bathrom'; did you mean 'gfci.bathroom'?",
        ),
        (
            '"deficient"',
            '"deficent"',
            "5:31: 'deficent' is no outcome; did you mean 'deficient'?",
        ),
        ("nec-2020", "nec-2002", "no 'nec-2002'"),
        ('source = "from memory"\n', "", "2:3: the table 'case' no 1 lacks 'source'"),
        ("about", "abuot", "3:1: the table 'case' no 1 cannot have 'abuot'; did you mean 'about'?"),
    ],
)
def test_a_slip_in_a_case_is_told_with_its_place(
    tmp_path: Path, old: str, new: str, expected: str
) -> None:
    assert expected in told(tmp_path, CASE.replace(old, new, 1))


@pytest.mark.parametrize(
    ("told", "outcome"),
    [
        ("volts = 125, amps = 15", "deficient"),
        ("volts = 125, amps = 15, breaker_amps = 30", "not applicable"),
        ("volts = 250, amps = 20", "not applicable"),
        ("volts = 125", "undecided"),
        ('volts = 125, amps = 15, breaker_amps = "unknown"', "undecided"),
    ],
)
def test_a_case_that_tells_only_the_receptacle_means_a_circuit_that_fits_it(
    tmp_path: Path, told: str, outcome: str
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(
        f"""ruleset = "nec-2020"
[[case]]
about = "bedroom receptacle"
given = {{ point = "receptacle", place = ["bedroom"], afci_protected = false, {told} }}
expect = {{ "afci.room" = "{outcome}" }}
source = "The Building Code Forum, 2020 NEC Question: 15 and 20 A circuits of 120 V"
"""
    )
    (result,) = run_file(path).results
    assert result.slips == ()


def test_a_topic_is_met_where_all_that_is_open_can_turn_out_no_worse(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(
        """ruleset = "nec-2020"
[[case]]
about = "bathroom receptacle behind a GFCI; how far the tub is was not told"
given = { point = "receptacle", place = ["bathroom"], volts = 125, amps = 15, gfci_protected = true }
expect_topics = { gfci = "met" }
source = "trade magazines on the 2020 scope of 210.8(A)"
[[case]]
about = "bedroom receptacle behind a GFCI; whether one is asked for is not told"
given = { point = "receptacle", place = ["bedroom"], volts = 125, amps = 15, gfci_protected = true }
expect_topics = { gfci = "undecided" }
source = "trade magazines on the 2020 scope of 210.8(A)"
"""
    )
    assert all(each.passed for each in run_file(path).results)


def test_a_wiring_is_traced(tmp_path: Path) -> None:
    text = CASE.replace("gfci_protected = false", 'breaker = "standard"').replace(
        "expect =",
        'wiring = [{ id = "G", point = "receptacle", device = "gfci", test_result = "trips" }, '
        '{ id = "here", fed_from = "G", side = "load", device = "plain" }]\nexpect =',
    )
    path = tmp_path / "my.cases.toml"
    path.write_text(text.replace('"deficient"', '"met"'))
    assert [each.slips for each in run_file(path).results] == [()]
    path.write_text(text.replace('side = "load"', 'side = "line"'))
    assert [each.slips for each in run_file(path).results] == [()]


def test_one_bad_case_does_not_stop_the_others(tmp_path: Path) -> None:
    path = tmp_path / "my.cases.toml"
    path.write_text(CASE + CASE.replace("place =", "plac =").partition("\n")[2])
    run = run_file(path)
    assert [each.slips for each in run.results] == [()]
    assert len(run.problems) == 1


@pytest.mark.parametrize(
    "given",
    [
        'outlet = { point = "receptacle", volts = 125 }, room = { place = "bathroom" }',
        'date = "2026-09-01", point = "receptacle", volts = 125, place = "bathroom"',
    ],
)
def test_words_may_be_nested_and_values_written_plainly(tmp_path: Path, given: str) -> None:
    path = tmp_path / "my.cases.toml"
    path.write_text(CASE.replace('point = "receptacle", place = ["bathroom"], volts = 125', given))
    assert [each.slips for each in run_file(path).results] == [()]


def test_wiring_may_stand_inside_given(tmp_path: Path) -> None:
    path = tmp_path / "my.cases.toml"
    path.write_text(
        CASE.replace(
            "gfci_protected = false",
            'breaker = "standard", wiring = [{ id = "G", device = "gfci", test_result = "trips" }, '
            '{ id = "here", fed_from = "G", side = "load", device = "plain" }]',
        ).replace('"deficient"', '"met"')
    )
    assert [each.slips for each in run_file(path).results] == [()]


def _slow_if_long(path: Path) -> Any:
    """A thousand cases take half a minute: those files are among the slow proofs."""
    is_long = path.stat().st_size > 250_000
    return pytest.param(path, id=path.stem, marks=pytest.mark.slow if is_long else ())


@pytest.mark.parametrize("path", [*map(_slow_if_long, CASE_FILES)])
def test_every_condition_of_every_rule_is_shown_to_decide_on_its_own(path: Path) -> None:
    found = coverage(path)
    assert [f"{gap.rule}: {gap.told} {gap.said}" for gap in found.gaps] == []
    assert found.wanted


def test_a_condition_that_no_case_turns_is_named(tmp_path: Path) -> None:
    (tmp_path / "our-town.toml").write_text(
        'format = 1\nid = "our-town"\ntitle = "Our town"\nextends = "nec-2020"\n'
        '[rule."gfci.attic"]\ntopic = "gfci"\nof = "outlet"\ncite = "1"\n'
        'when = "gfci_scope and \'attic\' in place"\nneeds = "gfci_protected"\n'
        'kind = "gap"\nseverity = "upgrade"\nsays = "x"\nwhy = "x"\ndone_by = "anyone"\n'
        'confidence = "memory"\nsource = "invented for this test"\n'
    )
    cases = tmp_path / "our-town.cases.toml"
    cases.write_text(
        'ruleset = "our-town"\n[[case]]\nabout = "attic"\n'
        'given = { point = "receptacle", place = ["attic"], volts = 125, gfci_protected = false }\n'
        'expect = { "gfci.attic" = "deficient" }\nsource = "from memory"\n'
    )
    found = coverage(cases, [tmp_path, *ruleset_folders()])
    told = {(gap.told, gap.truth) for gap in found.gaps}
    assert ("'attic' in place", False) in told
    assert ("'attic' in place", True) not in told
    assert ("gfci_protected", True) in told


WIRED = CASE.replace(
    "expect =",
    'wiring = [{ id = "G", device = "gfci" }, { fed_from = "G", side = "load" }]\n'
    'trips = [{ at = "G", action = "test button", went_dead = ["here"] }]\nexpect =',
)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('side = "load"', 'side = "lode"', "5:68: side: found \"lode\"; expected 'through', "),
        ('side = "load"', "order_known_by = 3", "5:77: order_known_by: found 3; expected "),
        ('id = "G"', 'id = " "', '5:19: id: found " "; expected a short name'),
        ("{ fed", '{ id = "G", fed', "5:50: outlet 'G' stands here a second time"),
        ("{ fed", '{ id = "panel", fed', "5:50: 'panel' cannot be an outlet"),
        ('fed_from = "G"', 'fed_from = "GG"', "5:56: there is no outlet 'GG'; expected 'panel'"),
        ('fed_from = "G"', 'fed_from = "here"', "5:56: outlet here from here: the feed runs in"),
        ("fed_from", "fed_form", "5:44: unknown word 'fed_form'; did you mean 'fed_from'?"),
        ('at = "G"', 'at = "K"', "6:18: there is no outlet or circuit 'K'"),
        ('["here"]', '["her"]', "6:60: there is no outlet 'her'; expected the id of one in this "),
        ("wiring =", 'subject = "g"\nwiring =', "5:12: no outlet 'g'; known are 'G', 'here'"),
        ("wiring =", 'subject = " "\nwiring =', '5:12: id: found " "; expected a short name'),
        ("125", "nan", "4:63: 'volts': found nan; expected a number from 0 to 600"),
        ("125", "601", "4:63: 'volts': found 601; expected a number from 0 to 600"),
        ("125", "inf", "4:63: 'volts': found inf; expected a number from 0 to 600"),
        (
            "given = {",
            "given = { date = 2026-09-01T10:00:00,",
            "4:18: 'date': found datetime.datetime(2026, 9, 1, 10, 0); expected a date such as",
        ),
    ],
)
def test_a_slip_that_would_mislead_a_case_is_told_and_the_case_not_run(
    tmp_path: Path, old: str, new: str, expected: str
) -> None:
    path = tmp_path / "my.cases.toml"
    path.write_text(WIRED.replace(old, new, 1), encoding="utf-8")
    run = run_file(path)
    assert run.results == ()
    (problem,) = run.problems
    assert expected in str(problem)
    assert problem.line > 3


def test_a_sound_wiring_with_trips_is_run(tmp_path: Path) -> None:
    path = tmp_path / "my.cases.toml"
    path.write_text(WIRED.replace("125,", "125, feet_to_sink = inf,"), encoding="utf-8")
    run = run_file(path)
    assert run.problems == ()
    assert [each.slips for each in run.results] == [()]


def test_a_slip_in_a_wiring_inside_given_has_its_place_too(tmp_path: Path) -> None:
    text = CASE.replace("given = {", 'given = { wiring = [{ fed_from = "G" }],')
    assert "4:35: there is no outlet 'G'" in told(tmp_path, text)


@pytest.mark.parametrize("found", ["2", "true", '"1"'])
def test_a_case_file_of_another_format_is_refused(tmp_path: Path, found: str) -> None:
    assert "1:1: format is " in told(tmp_path, f"format = {found}\n{CASE}")
    assert told(tmp_path, f"format = 1\n{CASE}") == ""


def test_coverage_refuses_slips_and_leaves_out_cases_of_another_ruleset(tmp_path: Path) -> None:
    path = tmp_path / "my.cases.toml"
    path.write_text(CASE, encoding="utf-8")
    shown = coverage(path).shown
    assert shown
    path.write_text(CASE.replace("place =", "plac ="), encoding="utf-8")
    with pytest.raises(Unusable, match="did you mean 'place'"):
        coverage(path)
    path.write_text(CASE.replace("about", 'ruleset = "nec-2023"\nabout'), encoding="utf-8")
    assert coverage(path).shown == 0
    path.write_text(CASE.partition("\n")[2], encoding="utf-8")
    with pytest.raises(Unusable, match="no ruleset named"):
        coverage(path)
