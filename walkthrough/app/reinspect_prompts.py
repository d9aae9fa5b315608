"""What a re-inspection asks about one deficiency, and what it says at the end."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable, Sequence

from walkthrough.app.describe import beginning, question_label, where
from walkthrough.app.menu import CHANGE, FINDINGS, MENU
from walkthrough.app.not_tested import OR_REASON, reasons
from walkthrough.app.one_key import MOST_KEYS
from walkthrough.app.prompt import AS_BEFORE, YOUR_ANSWER, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.judge.house import House
from walkthrough.judge.judge import Verdict
from walkthrough.judge.recheck import behind
from walkthrough.survey.model import Recheck, Subject

AGAIN = "again:"
"""Prompts of a re-inspection have ids that begin so."""

DIFFERS = MENU + "corrected"
DONE = MENU + "rechecked"
CLASH = MENU + "no longer found"
CLEARED = AGAIN + "cleared"
_MOST_NAMED = 4
_WAYS = (
    Choice("look", "Corrected: I look and test now"),
    Choice("look and papers", "Corrected: I look now, and there are papers"),
    Choice("papers", "Corrected by the papers alone, not looked at"),
    Choice("not corrected", "Not corrected"),
    Choice("not checked", "It could not be checked"),
    Choice("later", "Later: go to the next"),
)
EVIDENCE = {
    "receipt": "Number of the receipt or permit?",
    "work_by": "Who did the work?",
    "work_on": "On which day was it done?",
}


def item_prompt(record: Record, item: Recheck, subject: Subject, place: str) -> Prompt:
    """What became of a deficiency."""
    told = f"{where(record, subject)}. {item.severity}, {', '.join(item.cite)}"
    now = _told_way(item)
    return Prompt(
        AGAIN + "item",
        f"{item.says} ({place})",
        "choice",
        _WAYS,
        told,
        now,
        YOUR_ANSWER if now else "",
        can_skip=False,
    )


def _told_way(item: Recheck) -> str | None:
    """The way that was chosen for a deficiency before; None for none."""
    if item.outcome in ("not corrected", "not checked"):
        return item.outcome
    if not item.outcome.startswith("corrected"):
        return None
    if not item.looked:
        return "papers"
    return "look and papers" if item.receipt or item.work_by or item.work_on else "look"


def reason_prompt() -> Prompt:
    """Why something could not be checked."""
    return Prompt(
        AGAIN + "reason", "Why not?", "choice", reasons(), can_skip=False, or_words=OR_REASON
    )


def which_prompt(items: dict[int, Recheck]) -> Prompt:
    """One of those that were looked at, to be checked again."""
    ways = tuple(
        Choice(str(n + 1), f"{each.subject}: {each.says}  [{each.outcome}]")
        for n, each in items.items()
    )
    ask = "Which one is to be checked again?"
    return Prompt(AGAIN + "one", ask, "pick", ways, can_skip=False)


def differs_prompt(
    record: Record, item: Recheck, subject: Subject, verdicts: Sequence[tuple[House, Verdict]]
) -> Prompt:
    """One key for each answer that decided the deficiency, to give it anew."""
    choices: dict[str, Choice] = {}
    for house, verdict in verdicts:
        for each, word in behind(house, verdict):
            of, id = record.key(each)
            place = "" if each is subject else f"{id}: "
            now = record.spoken(word, each.answer(word))
            key = f"{of}|{id}|{word}"
            choices[key] = Choice(
                key, f"{place}{beginning(question_label(word, record.questions))}: {now}"
            )
    told = "It is corrected when what is recorded now says so. F7 notes a trip test."
    ways = (
        *list(choices.values())[: MOST_KEYS - 2],
        Choice(CHANGE, "Something else"),
        Choice("nothing", "Nothing: it is not corrected"),
    )
    ask = f"What is different now? ({item.says})"
    return Prompt(DIFFERS, ask, "choice", ways, told, can_skip=False)


def clash_prompt(item: Recheck) -> Prompt:
    """What is true, where something is said not to be corrected and the rule finds it no longer."""
    ways = (
        Choice("corrected", "It is corrected, as it is recorded"),
        Choice(CHANGE, "An answer is wrong: change it"),
        Choice("not corrected", "Not corrected, whatever is recorded"),
    )
    ask = f"By what is recorded now the rule no longer finds this. What is true? ({item.says})"
    return Prompt(CLASH, ask, "choice", ways, can_skip=False)


def cleared_prompt(record: Record, items: Sequence[Recheck], subject: Subject) -> Prompt:
    """What else at the same place is no longer found by what was told now."""
    count = len(items)
    named = " / ".join(each.says for each in items[:_MOST_NAMED])
    more = f" / and {count - _MOST_NAMED} more" if count > _MOST_NAMED else ""
    one = "1 more is" if count == 1 else f"{count} more are"
    ways = (
        Choice("yes", "Corrected as well: I looked" + ("" if count == 1 else f" ({count})")),
        Choice("no", "Put it by itself" if count == 1 else "Put each by itself"),
    )
    ask = f"By what was told now {one} no longer found here: {named}{more}"
    return Prompt(CLEARED, ask, "choice", ways, where(record, subject), can_skip=False)


def evidence_prompt(name: str, before: str | datetime.date | None) -> Prompt:
    """One thing that the papers of a correction tell; the same paper often tells of several."""
    return Prompt(
        AGAIN + name,
        EVIDENCE[name],
        "date" if name == "work_on" else "text",
        (),
        "As on the paper. ? where it does not say."
        if before
        else "As on the paper. Enter alone, or ?, where it does not say.",
        before,
        AS_BEFORE if before else "",
        can_be_empty=True,
    )


def done_prompt(items: Iterable[Recheck]) -> Prompt:
    """What came of all of them, and where to go on."""
    counted = Counter(each.outcome for each in items)
    told = ", ".join(f"{count} {outcome}" for outcome, count in counted.items())
    ways = (
        Choice(FINDINGS, "See the deficiencies as they stand now"),
        Choice("one", "Check one again"),
        Choice("free", "Go on with an ordinary walk"),
    )
    ask = f"All {counted.total()} are looked at: {told}. What next?"
    return Prompt(DONE, ask, "choice", ways, can_skip=False)
