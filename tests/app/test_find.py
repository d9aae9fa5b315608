"""Anything that was told, is open or was found can be searched for and gone to."""

from __future__ import annotations

from pathlib import Path

from tests.app.conftest import DAY, opened_house
from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.search import lines_of, matching


def test_every_place_note_answer_and_finding_has_its_line(tmp_path: Path) -> None:
    record = opened_house(tmp_path)
    outlet = record.session.outlet("K-4")
    assert outlet is not None
    outlet.note = "scorched cover"
    lines = lines_of(record)
    assert {line.subject.id for line in lines} >= {each.id for each in record.session.outlets}
    (noted,) = matching(record, lines, "SCORCHED k-4")
    assert noted.subject is outlet
    told = [line for line in lines if line.text.startswith("! ")]
    assert len(told) == len(record.judged.findings)
    answers = [line for line in lines if line.subject is outlet and line.prompt in outlet.answers]
    assert len(answers) == len(outlet.answers)
    waiting = {line.prompt for line in matching(record, lines, "la-2 still open")}
    verdicts = [v for one in record.judged.chosen for v in one.verdicts]
    assert waiting == {word for v in verdicts for id, word in v.asks if id == "LA-2"} != set()
    assert matching(record, lines, "no such words") == []
    # Its name stands in that of PR-3, which comes before it in the record.
    found = [line.subject.id for line in matching(record, lines, "r-3")]
    assert found[0] == "R-3"
    assert "PR-3" in found
    record.close()


async def test_typed_words_lead_to_the_very_question(tmp_path: Path) -> None:
    record = opened_house(tmp_path)
    outlet = record.session.outlet("K-4")
    assert outlet is not None
    word = next(iter(outlet.answers))
    async with WalkthroughApp(record, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+f")
        await inspector.settle()
        asked = record.question(word).ask
        await inspector.types(f"k-4 {asked}", then="")
        assert "Find ('k-4 " in inspector.sees
        assert "): 1 line. Enter" in inspector.sees
        await inspector.press("enter")
        await inspector.settle()
        assert inspector.at is outlet
        assert inspector.prompt.id == word
        await inspector.press("ctrl+f", "escape")
        assert inspector.prompt.id == word
    record.close()
