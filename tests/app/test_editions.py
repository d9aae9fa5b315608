"""One outlet under two editions, side by side; the record is only read."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.app.conftest import DAY, EDITION, HOUSE, opened_house
from tests.app.inspector import Inspector
from walkthrough.app.editions import compared, rulesets_beside
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.judge.judge import judge
from walkthrough.rulebook.load import load
from walkthrough.survey.model import Circuit, Outlet, Panel, Room


def test_every_other_ruleset_can_be_chosen_but_no_base() -> None:
    offered = rulesets_beside("nec-2020")
    assert offered["nec-2023"] == load("nec-2023").title
    assert not {"nec-2020", "dwelling"} & offered.keys()


@pytest.mark.slow
def test_what_is_told_is_what_judging_the_whole_house_gives(tmp_path: Path) -> None:
    record = opened_house(tmp_path)
    before = record.session.model_copy(deep=True)
    other = judge(record.session, load("nec-2023"))
    for outlet in record.session.outlets:
        rows = compared(record.session, record.key(outlet), record.book, "nec-2023")
        for judgement, sides in (
            (record.judgement, [(*row.both, *row.one) for row in rows]),
            (other, [(*row.both, *row.other) for row in rows]),
        ):
            told = [each for side in sides for each in side]
            requires = judgement.requires(outlet)
            for row, side in zip(rows, sides, strict=True):
                for section in requires.get(row.topic, ()):
                    assert any(section in each for each in side if each.startswith("asked by"))
            for finding in (e for e in judgement.findings if e.subject == outlet.id):
                # What is the same under both and asked of no outlet is not told.
                if any(row.topic == finding.topic for row in rows):
                    assert any(finding.says in each for each in told), finding
    assert record.session == before
    record.close()


def test_a_kitchen_receptacle_away_from_the_counter(tmp_path: Path) -> None:
    """Source: state handout on the 2020 changes (kitchen counters); distributor page, 2023 NEC
    Update 210.8(A) (kitchens)."""
    record = opened_house(tmp_path)
    rows = compared(record.session, ("outlet", "K-7"), record.book, "nec-2023")
    gfci = next(each for each in rows if each.topic == "gfci")
    assert gfci.both == ("it is not there",)
    assert gfci.one == ("not asked",)
    assert gfci.other[0] == "asked by 210.8(A)(6)"
    assert gfci.other[1].startswith("! gap, ")
    record.close()


@pytest.mark.parametrize(("size", "is_beside"), [((80, 24), False), ((100, 30), True)])
async def test_chosen_by_typing_and_seen_side_by_side(
    tmp_path: Path, size: tuple[int, int], is_beside: bool
) -> None:
    record = opened_house(tmp_path)
    async with WalkthroughApp(record, today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+f")
        await inspector.types("k-7 circuit")
        asked = inspector.prompt
        await inspector.press("ctrl+e")
        assert "K-7 under nec-2020 and which other ruleset?" in inspector.sees
        await inspector.types("2026", then="")
        assert "'2026'" in inspector.sees
        assert "nec-2017 " not in inspector.sees
        await inspector.press("enter")
        await inspector.app.workers.wait_for_complete()
        await inspector.settle()
        seen = inspector.sees
        assert "K-7 under nec-2020 and nec-2026: " in seen
        assert "Ground-fault protection (GFCI)  DIFFERS" in seen
        own, other = "nec-2020: not asked", "nec-2026: asked by 210.8(A)(7)"
        assert "(inferred: verify" in seen
        assert any(own in line and other in line for line in seen.splitlines()) == is_beside
        assert own in seen
        assert other in seen
        # What is the same stands once.
        assert seen.count("it is not there; not asked") <= 2
        # Keys of the list do nothing here; one leads back to it, Escape to the walk.
        await inspector.press("x", "ctrl+e")
        assert "type to find" in inspector.sees
        await inspector.press("escape")
        assert inspector.prompt == asked
    record.close()
    assert (tmp_path / "house.toml").read_bytes() == HOUSE.read_bytes()


async def test_only_another_mark_is_no_difference(record: Record, folders: Path) -> None:
    """The same rule, read in one source here and inferred there: the verdict is the same."""
    other = EDITION.replace('"practice"', '"practice-two"').replace("one-source", "inferred")
    (folders.parent / "rulesets" / "practice-two.toml").write_text(other, encoding="utf-8")
    session = record.session
    session.panels.append(Panel(id="P1"))
    session.circuits.append(Circuit(id="C1", panel="P1", answers={"breaker": "standard"}))
    session.rooms.append(Room(id="bath", name="Bath", answers={"place": ["bathroom"]}))
    outlet = Outlet(id="B-1", room="bath", circuit="C1", fed_from="panel")
    outlet.order_known_by = "opened"
    outlet.answers = {"point": "receptacle", "device": "plain", "tr_mark": True}
    session.outlets.append(outlet)
    record.change(outlet, "")
    async with WalkthroughApp(record, today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        inspector.walking.go(outlet)
        await inspector.settle()
        await inspector.press("ctrl+e")
        await inspector.types("practice-two")
        await inspector.app.workers.wait_for_complete()
        await inspector.settle()
        assert "B-1 under practice and practice-two: alike" in inspector.sees
        assert "Ground faults  the same" in inspector.sees
        assert "DIFFERS" not in inspector.sees
        assert "1.1 (practice: read in one source: verify in" in inspector.reads
        assert "practice-two: inferred: verify in" in inspector.reads
    record.close()
