"""Every engine that is measured beside ours says the same; else the times would tell nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.engines import ENGINES, Engine
from tests.benchmarks.thirty_rules import by_hand, rulebook, situations


@pytest.mark.parametrize("engine", ENGINES, ids=lambda each: each.module)
def test_an_engine_gives_the_outcomes_of_the_rules_by_hand(engine: Engine, tmp_path: Path) -> None:
    if not engine.is_here:
        pytest.skip("not installed: it comes with the extra 'benchmarks'")
    judge = engine.judge(rulebook(tmp_path).rules_of["outlet"])
    known = situations(60)
    assert [judge(each) for each in known] == [by_hand(each) for each in known]
