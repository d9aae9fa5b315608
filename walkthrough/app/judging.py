"""Judges the whole record a little at a time, so that keys are taken meanwhile."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from walkthrough.app.record import Record
from walkthrough.judge.as_built import judge_as_built
from walkthrough.judge.judge import Judgement, Verdict, verdicts_on
from walkthrough.judge.under import Judged

_SECONDS_TO_STAND_STILL = 0.1


async def judged_in_steps(
    record: Record, is_typing: Callable[[], bool] = lambda: False
) -> Judged | None:
    """The record judged as it is now; None where it was changed before that was done.

    While somebody types it stands still: each of the many hops of an answer would wait for it.
    """
    houses = record.houses
    chosen: list[Judgement] = []
    for house in houses:
        verdicts: list[Verdict] = []
        for subject in house.subjects.values():
            verdicts += verdicts_on(house, subject)
            await asyncio.sleep(0)
            while is_typing():
                await asyncio.sleep(_SECONDS_TO_STAND_STILL)
        chosen.append(Judgement(house, tuple(verdicts)))
    as_built = None
    if record.editions:
        # A copy, because an answer may come while the editions of all years are looked up.
        copy = record.session.model_copy(deep=True)
        as_built = await asyncio.to_thread(judge_as_built, copy, record.editions)
    if record.houses is not houses:
        return None
    return Judged(record.session, tuple(chosen), as_built)
