"""A re-inspection: the deficiencies of an earlier visit, one after the other, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from walkthrough.app.asks import asks_under
from walkthrough.app.describe import name_of
from walkthrough.app.fields import FIELD, Refused
from walkthrough.app.menu import MENU
from walkthrough.app.not_tested import OTHER_REASON
from walkthrough.app.prompt import OFFERED, Prompt
from walkthrough.app.record import Record
from walkthrough.app.reinspect_found import cleared, is_found, new_here
from walkthrough.app.reinspect_items import TO_CHECK, Items
from walkthrough.app.reinspect_prompts import (
    AGAIN,
    CLASH,
    DIFFERS,
    DONE,
    EVIDENCE,
    clash_prompt,
    cleared_prompt,
    differs_prompt,
    done_prompt,
    evidence_prompt,
    item_prompt,
    reason_prompt,
    which_prompt,
)
from walkthrough.app.walk import Walk
from walkthrough.judge.house import House
from walkthrough.judge.judge import Verdict, verdicts_on
from walkthrough.judge.recheck import forget_tests
from walkthrough.survey.model import AnswerValue, Recheck, Subject

_NOTHING_TOLD: dict[str, Any] = {
    "reason": "",
    "receipt": "",
    "work_by": "",
    "work_on": None,
    "new": [],
}


class Reinspection(Walk):
    """Where one stands among the deficiencies of an earlier visit.

    `is_free` once the person went over to the ordinary walk.
    """

    def __init__(self, record: Record) -> None:
        self.is_free = False
        self.items = Items(record)
        self._began = 0
        self._correcting = False
        self._evidence: list[str] = []
        self._wants_papers = False
        self._reason_in_words = False
        self._by_itself: set[int] = set()
        """What is put by itself though the rule finds it no longer."""
        super().__init__(record)

    def stopped_at(self) -> Subject:
        """The subject of the next deficiency."""
        if self.is_free:
            return super().stopped_at()
        self._choose_item()
        return self.items.subject

    def go_to(self, subject: Subject, prompt: str = "") -> None:
        """Go to a subject; without a prompt of it, to what is still to be checked there."""
        if not self.is_free and not prompt:
            waiting = self.items.waiting_at(subject)
            if waiting is None:
                raise Refused(f"nothing is left to be checked at {name_of(self.record, subject)}")
            self._begin_item(waiting)
        self.jump(subject, prompt)

    def undo(self) -> bool:
        """Take the last change back; the deficiency that it was about is in hand again."""
        return self._stand_anew(super().undo())

    def redo(self) -> bool:
        """Make again what was taken back last."""
        return self._stand_anew(super().redo())

    def _stand_anew(self, turned: bool) -> bool:
        if turned and not self.is_free:
            self._begin_item(None)
            self._asked_for = ""
            self.prompt = self._next()
        return turned

    def _choose_item(self) -> None:
        """Keep the deficiency in hand while it is not settled, else take the next."""
        if not self._evidence and self.items.is_settled():
            self._begin_item(self.items.next())

    def _begin_item(self, at: int | None) -> None:
        self.items.take(at)
        self._correcting = self._reason_in_words = self._wants_papers = False
        self._evidence = []

    def cancel(self) -> bool:
        """Leave what was begun, and put the deficiency again."""
        if self._correcting and not self._asked_for:
            self._correcting = False
        self._asked_for = ""
        self._reason_in_words = False
        self._stepped_back = 0
        self.prompt = self._next()
        return True

    def step_back(self) -> bool:
        """One thing back within the deficiency in hand, else to the one that was put before it.

        What was told of that stays until it is told anew.
        """
        if self.is_free:
            return super().step_back()
        if self._back_in_correction():
            return True
        if self._reason_in_words:
            self._reason_in_words, self._asked_for = False, AGAIN + "reason"
        elif self._asked_for:
            self._asked_for = ""
        elif self._evidence:
            told = list(EVIDENCE)
            at = told.index(self._evidence[0])
            self._evidence = told[at - 1 :] if at else []
            self.items.is_again = True
        elif self._correcting:
            self._correcting = False
        elif not self.items.back():
            return False
        self._stepped_back = 0
        self.prompt = self._next()
        return True

    def _back_in_correction(self) -> bool:
        """Put what was answered before in this very correction."""
        in_question = self._correcting and self.prompt.id != DIFFERS
        if not in_question or (self._asked_for and not self._stepped_back):
            return False
        if super().step_back() and self.record.history.place - self._stepped_back >= self._began:
            return True
        self._asked_for = ""
        return False

    def _next(self) -> Prompt:
        if self._asked_for or self.is_free:
            return super()._next()
        if not self._evidence and self.items.is_settled() and (also := self._cleared):
            every = self.items.every
            items = [every[at] for at in also]
            self.focus = self.record.subject((items[0].of, items[0].subject)) or self.focus
            return cleared_prompt(self.record, items, self.focus)
        self._choose_item()
        item = self.items.item
        self.focus = self.items.subject
        if item is None:
            return done_prompt(self.items.every.values())
        if self._evidence:
            name = self._evidence[0]
            return evidence_prompt(name, self.items.told_before(name))
        if self._reason_in_words:
            ask = "Which other reason?"
            return Prompt(AGAIN + "reason in words", ask, "text", can_skip=False)
        if self._correcting:
            return self._correction(item)
        return item_prompt(self.record, item, self.focus, self.items.progress)

    def _prompt(self, id: str) -> Prompt:
        if id == AGAIN + "reason":
            return reason_prompt()
        if id == AGAIN + "one":
            return which_prompt(self.items.every)
        if id == CLASH and self.items.item is not None:
            return clash_prompt(self.items.item)
        return super()._prompt(id)

    def _take(self, value: AnswerValue | None) -> None:
        id = self.prompt.id
        if self.is_free:
            super()._take(value)
        elif id.startswith(AGAIN):
            self._asked_for = ""
            self._taken(id.removeprefix(AGAIN), value)
            self.prompt = self._next()
        elif id in (CLASH, DIFFERS, DONE):
            self._asked_for = ""
            self._chosen(str(value))
            self.prompt = self._next()
        else:
            if self._correcting and not id.startswith((MENU, FIELD)):
                self._begin_anew(id, value)
            super()._take(value)

    def _taken(self, name: str, value: AnswerValue | None) -> None:
        if name == "item":
            self.items.left()
        match name, value:
            case "item", "later":
                self.items.put_off()
                self._begin_item(None)
            case "item", "not corrected" if not is_found(self.record, self.items.item):
                self._asked_for = CLASH
            case "item", "not corrected":
                self.items.settle(outcome="not corrected", looked=True, **_NOTHING_TOLD)
            case "item", "not checked":
                self._asked_for = AGAIN + "reason"
            case "item", "papers":
                self._evidence = list(EVIDENCE)
                self.items.settle(outcome="corrected", looked=False, reason="", new=[])
            case "item", _:
                self._wants_papers = value == "look and papers"
                self._correcting = True
                self._began = self.record.history.place
            case "reason", _ if value == OTHER_REASON:
                self._reason_in_words = True
            case "reason" | "reason in words", _:
                told = {**_NOTHING_TOLD, "reason": str(value)}
                self.items.settle(outcome="not checked", looked=False, **told)
            case "cleared", "yes":
                self._correct(self._cleared)
            case "cleared", _:
                self._by_itself.update(self._cleared)
            case "one", _:
                at = int(str(value)) - 1
                self._begin_item(at)
                self.items.settle(outcome=TO_CHECK, looked=True, reason="", new=[])
            case _:
                self._evidence.pop(0)
                nothing = None if name == "work_on" else ""
                self.items.settle(**{name: value or nothing})

    def _chosen(self, way: str) -> None:
        if way == "free":
            self.is_free = True
            self.focus = super().stopped_at()
        elif way == "one":
            self._asked_for = AGAIN + "one"
        elif way == "corrected" and self.items.at is not None:
            self._correct([self.items.at])
        elif way in ("nothing", "not corrected"):
            self.items.settle(outcome="not corrected", looked=True)
        else:
            of, id, word = way.split("|", 2)
            subject = self.record.subject((of, id))
            if subject is None:
                raise Refused(f"{id} is no longer in the record")
            self.focus, self._asked_for = subject, word

    def _begin_anew(self, word: str, value: AnswerValue | None) -> None:
        """What was changed must be tested again: what the old one showed says nothing of it."""
        subject, record = self.focus, self.record
        question = record.question(word)
        if question.reading or question.again_after or subject.answer(word) == value:
            return
        forget_tests(record.session, subject)

    def _verdicts(self, item: Recheck) -> Iterator[tuple[House, Verdict]]:
        subject = self.items.subject
        for house in self.record.houses:
            for verdict in verdicts_on(house, subject):
                if verdict.decision.rule.id == item.rule:
                    yield house, verdict

    def _correction(self, item: Recheck) -> Prompt:
        """The next thing to tell of a correction, until the rule itself says what became of it."""
        verdicts = list(self._verdicts(item))
        if any(each.decision.outcome == "deficient" for _, each in verdicts):
            return differs_prompt(self.record, item, self.items.subject, verdicts)
        for house, verdict in verdicts:
            for name, word in verdict.asks:
                question = house.book.questions.get(word)
                for of in question.of if question is not None else ():
                    subject = self.record.subject((of, name))
                    if subject is not None and word not in subject.cannot_tell:
                        self.focus = subject
                        return self._question(word, (item.rule,))
        reading = next(
            (ask for ask in asks_under(self.record, self.focus) if ask.question.reading), None
        )
        if reading is not None:
            return self._question(reading.word, reading.decides)
        again = self._put_again()
        if again is not None:
            return again
        if any(each.decision.outcome == "undecided" for _, each in verdicts):
            return differs_prompt(self.record, item, self.items.subject, verdicts)
        new = new_here(self.record, item)
        self._evidence = list(EVIDENCE) if self._wants_papers else []
        self._correcting = False
        outcome = "corrected, with a new defect" if new else "corrected"
        self.items.settle(outcome=outcome, looked=True, reason="", new=new)
        return self._next()

    def _put_again(self) -> Prompt | None:
        """A question to be put because of what was told otherwise in this correction."""
        record, subject = self.record, self.items.subject
        steps = record.history.holding()[self._began :]
        told = {step.prompt for step in steps if step.where == record.key(subject)}
        for word, question in record.questions.items():
            if word in told or told.isdisjoint(question.again_after):
                continue
            house = next((e for e in record.houses if word in e.book.questions), record.house)
            sense = house.book.asked_when.get(word)
            if sense is not None and sense.truth(house.situation(subject)) is not True:
                continue
            self.focus = subject
            prompt = self._question(word)
            if question.unit == "year" and prompt.default is None:
                year = max(each.date for each in record.session.visits).year
                prompt = replace(prompt, default=year, default_from=OFFERED)
            return prompt
        return None

    @property
    def _cleared(self) -> list[int]:
        """What is found no more where another thing was found corrected, of one subject."""
        return cleared(self.record, self.items.every, self._by_itself)

    def _correct(self, places: list[int]) -> None:
        """Note as corrected what the rule finds no longer."""
        told: dict[int, dict[str, Any]] = {}
        for at in places:
            new = new_here(self.record, self.items.every[at])
            outcome = "corrected, with a new defect" if new else "corrected"
            told[at] = {**_NOTHING_TOLD, "outcome": outcome, "looked": True, "new": new}
        self.items.is_again = False
        self.items.settle_all(told, self.focus)
