"""What became of each deficiency: one small pair of records for every answer there is."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from tests.judge.two_visits import (
    AGAIN,
    became,
    compared,
    house,
    outlet,
    recheck,
    seen_again,
    visits,
)
from walkthrough.judge.alike import moved
from walkthrough.judge.visits import BECAME, Compared
from walkthrough.survey import store
from walkthrough.survey.model import Circuit, Outlet, Panel, Session, Trip, Unit

DEMONSTRATION = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
REVERSED, DAMAGED = "polarity.reversed", "damage.device"
FOUND = "The re-check says corrected, but the rule still finds it by the answers that are recorded."


def only(old: Session, new: Session) -> Compared:
    [found] = compared(old, new)
    return found


def test_two_sound_houses_have_nothing_to_tell() -> None:
    assert compared(house(outlet("B-1")), house(outlet("B-1"))) == []


def test_corrected_where_a_test_shows_otherwise() -> None:
    found = only(house(outlet("B-1", "reversed")), house(outlet("B-1", "correct")))
    assert found.became == "corrected"
    assert found.reason == "by what is recorded now; no re-check of it is recorded"
    [change] = found.changes
    assert (change.question, change.was, change.now) == ("tester", "reversed", "correct")
    assert change.tested


def test_corrected_where_an_answer_differs_that_work_changes() -> None:
    found = only(house(outlet("B-1", damage="damaged")), house(outlet("B-1")))
    assert found.became == "corrected"
    assert [(e.question, e.was, e.now, e.tested) for e in found.changes] == [
        ("damage", "damaged", "sound", False)
    ]


def test_corrected_elsewhere_on_the_circuit() -> None:
    old, new = house(outlet("B-1")), house(outlet("B-1"))
    old.circuits[0].answers["breaker"] = "standard"
    [found] = [each for each in compared(old, new) if each.was and each.was.of == "outlet"]
    assert found.became == "corrected"
    assert ("C1", "breaker", "standard", "afci") in [
        (each.subject, each.question, each.was, each.now) for each in found.changes
    ]


def test_corrected_as_the_re_check_tells() -> None:
    told = recheck("B-1", REVERSED, "corrected")
    found = only(house(outlet("B-1", "reversed")), seen_again(outlet("B-1"), rechecks=[told]))
    assert (found.became, found.told, found.contradiction, found.reason) == (
        "corrected",
        told,
        "",
        "",
    )


def test_corrected_with_a_new_defect_at_the_same_place() -> None:
    old = house(outlet("B-1", damage="damaged"), outlet("B-2"))
    new = seen_again(outlet("B-1", "open_ground"), outlet("B-2"))
    assert became(old, new) == {
        ("B-1", DAMAGED): "corrected, with a new defect",
        ("B-1", "grounding.open-ground"): "new",
    }
    gone = next(e for e in compared(old, new) if e.became == "corrected, with a new defect")
    assert gone.new_there == ("grounding.open-ground",)


def test_a_new_defect_at_another_place_is_no_matter_of_this_one() -> None:
    old = house(outlet("B-1", damage="damaged"), outlet("B-2"))
    new = seen_again(outlet("B-1"), outlet("B-2", "open_ground"))
    assert became(old, new)["B-1", DAMAGED] == "corrected"


def test_still_open_and_looked_at() -> None:
    told = recheck("B-1", REVERSED, "not corrected")
    again = seen_again(outlet("B-1", "reversed"), rechecks=[told])
    found = only(house(outlet("B-1", "reversed")), again)
    assert (found.became, found.contradiction) == ("still open", "")


def test_still_open_in_a_fresh_survey() -> None:
    old, new = house(outlet("B-1", "reversed")), house(outlet("B-1", "reversed"))
    assert only(old, new).became == "still open"


def test_still_open_because_something_else_was_changed() -> None:
    """No re-check is recorded, but what decides it was answered anew, and in vain."""
    elsewhere = recheck("B-2", DAMAGED, "not corrected")
    old = house(outlet("B-1", damage="damaged", point="receptacle"), outlet("B-2"))
    old.outlets[0].answers["point"] = "switch"
    new = seen_again(outlet("B-1", damage="damaged"), outlet("B-2"), rechecks=[elsewhere])
    assert became(old, new)["B-1", DAMAGED] == "still open"


def test_worse_where_work_had_to_comply() -> None:
    old = house(outlet("B-1", tr_mark=False))
    new = house(outlet("B-1", tr_mark=False, work="new", work_year=2026), day=AGAIN)
    found = only(old, new)
    assert found.became == "worse"
    assert found.reason == "was upgrade, gap; is serious, defect"
    assert ("work", None, "new") in [(e.question, e.was, e.now) for e in found.changes]
    # The other way round it weighs less, and is open all the same.
    assert only(new, old).became == "still open"


def test_new_where_it_was_good_before() -> None:
    found = only(house(outlet("B-1")), house(outlet("B-1", "reversed")))
    assert (found.became, found.reason) == ("new", "")
    assert found.was is not None
    assert found.was.decision.outcome == "met"


def test_new_where_it_was_open_before() -> None:
    old = house(outlet("B-1"))
    old.outlets[0].readings.clear()
    found = only(old, house(outlet("B-1", "reversed")))
    assert found.became == "new"
    assert found.reason == "it was open in the old record, not found to be good"


def test_new_where_nothing_was_before() -> None:
    found = only(house(outlet("B-1")), house(outlet("B-1"), outlet("B-2", "reversed")))
    assert (found.became, found.was) == ("new", None)
    assert found.reason == "it is not in the old record"


def test_not_checked_where_the_place_is_missing() -> None:
    found = only(house(outlet("B-1"), outlet("B-2", "reversed")), house(outlet("B-1")))
    assert (found.became, found.now) == ("not checked", None)
    assert found.reason == "it is not in the new record"


def test_not_checked_where_the_answer_is_not_known_now() -> None:
    new = house(outlet("B-1"))
    new.outlets[0].readings.clear()
    new.outlets[0].cannot_tell.append("tester")
    found = only(house(outlet("B-1", "reversed")), new)
    assert found.became == "not checked"
    assert found.now is not None
    assert found.now.waits_for == (("B-1", "tester"),)


@pytest.mark.parametrize(("outcome", "reason"), [("to check", ""), ("not checked", "locked")])
def test_not_checked_as_the_re_check_tells(outcome: str, reason: str) -> None:
    told = recheck("B-1", REVERSED, outcome, looked=False, reason=reason)
    again = seen_again(outlet("B-1", "reversed"), rechecks=[told])
    found = only(house(outlet("B-1", "reversed")), again)
    assert (found.became, found.told) == ("not checked", told)


def test_not_checked_where_a_re_inspection_passed_it_by() -> None:
    other = recheck("B-2", REVERSED, "not corrected")
    outlets = outlet("B-1", "reversed"), outlet("B-2", "reversed")
    old, new = house(*outlets), seen_again(*outlets, rechecks=[other])
    assert became(old, new) == {
        ("B-1", REVERSED): "not checked",
        ("B-2", REVERSED): "still open",
    }


def test_papers_alone_are_told_as_papers() -> None:
    told = recheck(
        "B-1",
        REVERSED,
        "corrected",
        looked=False,
        receipt="R-77",
        work_by="Example Electric",
        work_on=datetime.date(2026, 11, 20),
    )
    again = seen_again(outlet("B-1", "reversed"), rechecks=[told])
    found = only(house(outlet("B-1", "reversed")), again)
    assert (found.became, found.contradiction) == ("corrected by papers alone", FOUND)


def test_papers_alone_stay_papers_where_the_answers_were_changed_as_well() -> None:
    told = recheck("B-1", REVERSED, "corrected", looked=False, receipt="R-77")
    found = only(house(outlet("B-1", "reversed")), seen_again(outlet("B-1"), rechecks=[told]))
    assert (found.became, found.contradiction) == ("corrected by papers alone", "")


def test_no_longer_found_where_only_the_place_was_told_otherwise() -> None:
    old, new = house(outlet("B-1")), house(outlet("B-1"))
    old.rooms[0].answers["place"] = ["bathroom"]
    found = next(e for e in compared(old, new) if e.was and "bathroom" in e.was.decision.rule.id)
    assert (found.became, found.reason) == (
        "no longer found",
        "answers differ that no work changes",
    )
    assert [(e.of, e.question) for e in found.changes] == [("room", "place")]


def test_a_longer_name_for_the_same_circuit_is_no_difference() -> None:
    """A panel with a circuit of the same number was found later: C1 is called P1/C1 now."""
    old, again = house(outlet("B-1", "reversed")), seen_again(outlet("B-1", "reversed"))
    again.rechecks = [recheck("B-2", DAMAGED, "corrected")]
    again.panels.append(Panel(id="P2"))
    again.circuits.append(Circuit(id="C1", panel="P2"))
    again.outlets[0].circuit = "P1/C1"
    for session, name in ((old, "C1"), (again, "P1/C1")):
        session.trips = [Trip(at=name, action="breaker off", went_dead=["B-1"])]
    there = visits(old, again)
    [found] = [each for each in there.compared if each.was is not None]
    assert (found.became, found.reason) == (
        "not checked",
        "no re-check of it is recorded, and nothing differs there",
    )
    assert list(moved(there.old.house, there.new.house, there.alike)) == []


def test_no_longer_found_where_its_re_check_has_no_outcome() -> None:
    told = recheck("B-1", REVERSED)
    found = only(house(outlet("B-1", "reversed")), seen_again(outlet("B-1"), rechecks=[told]))
    assert found.became == "no longer found"
    assert found.reason == "recorded answers differ; its re-check: without an outcome"


@pytest.mark.parametrize(
    ("outcome", "tester", "told"),
    [
        ("corrected", "reversed", FOUND),
        (
            "not corrected",
            "correct",
            "The re-check says not corrected, but the rule finds it no longer by the answers that "
            "are recorded.",
        ),
        (
            "corrected",
            "",
            "The re-check says corrected, but an answer that decides it is not known.",
        ),
    ],
)
def test_a_contradiction_is_said_and_the_rule_decides(outcome: str, tester: str, told: str) -> None:
    again = seen_again(outlet("B-1", tester), rechecks=[recheck("B-1", REVERSED, outcome)])
    if not tester:
        again.outlets[0].readings.clear()
    found = only(house(outlet("B-1", "reversed")), again)
    assert found.contradiction == told
    assert (
        found.became
        == {
            "reversed": "still open",
            "correct": "no longer found",
            "": "not checked",
        }[tester]
    )


def test_corrected_is_no_word_for_a_place_that_is_gone() -> None:
    again = seen_again(outlet("B-2"), rechecks=[recheck("B-1", REVERSED, "corrected")])
    found = only(house(outlet("B-1", "reversed"), outlet("B-2")), again)
    assert found.became == "not checked"
    assert found.contradiction == "The re-check says corrected, but it is not in the new record."


def test_still_open_where_only_the_authority_can_settle_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "our-town.toml").write_text(
        """format = 1
id = "our-town"
title = "An invented town"
extends = "dwelling"
drop = ["*"]

[rule."town.tester"]
topic = "polarity"
of = "outlet"
cite = "400.1"
when = "tester in ['reversed', 'other']"
needs = "no"
disputed = [{ when = "tester == 'other'", readings = ["It is wrong.", "It is not."] }]
kind = "defect"
severity = "serious"
says = "The tester shows a fault."
why = "It is an invented rule."
cure = ["replace"]
done_by = "qualified person"
confidence = "memory"
source = "invented"
""",
        encoding="utf-8",
    )
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(tmp_path))
    old, new = house(outlet("B-1", "reversed")), house(outlet("B-1", "other"))
    [found] = visits(old, new, "our-town").compared
    assert found.became == "still open"
    assert found.reason == "only the authority having jurisdiction can settle it now"


def test_a_note_demands_nothing_and_is_not_compared() -> None:
    session = store.load(DEMONSTRATION)
    both = visits(session, session)
    kinds = [each.kind for each in both.old.findings]
    assert kinds.count("note") > 0
    assert len(both.compared) == len(kinds) - kinds.count("note")


def test_the_last_re_check_counts_and_older_ones_of_the_old_record_do_not() -> None:
    first = recheck("B-1", REVERSED, "corrected", on=datetime.date(2026, 11, 20))
    last = recheck("B-1", REVERSED, "not corrected")
    old, new = house(outlet("B-1", "reversed")), seen_again(outlet("B-1", "reversed"))
    new.rechecks = [last, first]
    assert only(old, new).told == last
    old.rechecks = [last, first]
    assert only(old, new).told is None


def test_a_re_check_of_what_the_rules_do_not_find_is_not_lost() -> None:
    lost = recheck("B-1", "plate.loose", "corrected")
    both = visits(house(outlet("B-1")), seen_again(outlet("B-1"), rechecks=[lost]))
    assert both.compared == []
    assert both.other_rechecks == [lost]


def test_a_protected_place_is_corrected_by_what_a_trip_test_shows() -> None:
    """Without the trip test it is not known that B-2 hangs on the LOAD of B-1."""

    def bathroom(trips: list[Trip]) -> Session:
        feeding = outlet("B-1", device="gfci", yoke="duplex")
        feeding.readings["test_result"] = "trips"
        session = house(feeding, outlet("B-2"))
        session.rooms[0].answers["place"] = ["bathroom"]
        session.trips = trips
        return session

    dead = Trip(at="B-1", action="test button", went_dead=["B-1", "B-2"])
    live = Trip(at="B-1", action="test button", went_dead=["B-1"], stayed_live=["B-2"])
    found = next(
        each
        for each in compared(bathroom([live]), bathroom([dead]))
        if each.was and each.was.subject == "B-2" and each.was.decision.rule.id == "gfci.bathroom"
    )
    assert found.became == "corrected"
    assert "trip tests" in [each.question for each in found.changes]


def test_units_that_were_named_since_do_not_part_what_belongs_together() -> None:
    old, new = house(outlet("B-1", "reversed")), house(outlet("B-1"))
    new.units = [Unit(id="A"), Unit(id="B")]
    new.rooms[0].unit = new.panels[0].unit = "A"
    new.rooms.append(new.rooms[0].model_copy(update={"id": "bedroom2", "unit": "B"}))
    new.panels.append(new.panels[0].model_copy(update={"id": "P12", "unit": "B"}))
    new.circuits.append(Circuit(id="C1", panel="P12"))
    new.circuits[0].panel = "P1"
    for each in new.outlets:
        each.circuit = "P1/C1"
    there = Outlet(id="X-9", room="bedroom2", circuit="P12/C1")
    new.outlets.append(there)
    assert became(old, new)["B-1", REVERSED] == "corrected"


def test_circuits_of_the_same_number_in_two_panels_are_never_mixed_up() -> None:
    """C1 of the first panel is gone; that of the second has a shorter name now, and is not it."""

    def panels(*names: str) -> Session:
        session = house(outlet("B-1"))
        first = session.panels[0], session.circuits[0]
        session.panels = [first[0].model_copy(update={"id": name}) for name in names]
        session.circuits = [first[1].model_copy(update={"panel": name}) for name in names]
        session.outlets[0].circuit = "P2/C1" if len(names) > 1 else "C1"
        return session

    same = visits(panels("P1", "P2"), panels("P2")).alike
    assert same.new_of["circuit", "P2/C1"] == ("circuit", "C1")
    assert set(same.only_old) == {("panel", "P1"), ("circuit", "P1/C1")}


def test_each_word_stands_once_and_in_order() -> None:
    """What stands comes first, gravest first; what is corrected comes last."""
    old = house(outlet("B-1", "reversed"), outlet("B-2", damage="damaged"), outlet("B-3"))
    new = house(outlet("B-1", "reversed"), outlet("B-2"), outlet("B-3", "open_ground"))
    order = [BECAME.index(each.became) for each in compared(old, new)]
    assert order == sorted(order)
    assert [each.became for each in compared(old, new)] == ["still open", "new", "corrected"]
