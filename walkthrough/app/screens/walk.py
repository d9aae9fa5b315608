"""The walk: the standing question, and beside it what is known of the subject in hand."""

from __future__ import annotations

import asyncio
import gc
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Footer, Static

from walkthrough.app import menu
from walkthrough.app.add import LIMIT, NEW, SEVERAL, UNIT
from walkthrough.app.describe import where
from walkthrough.app.fields import Refused
from walkthrough.app.keys import Given, Reply
from walkthrough.app.live import live
from walkthrough.app.prompt import OFFERED, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.app.screens.answers import AnswersScreen
from walkthrough.app.screens.circuits import CircuitsScreen
from walkthrough.app.screens.find import FindScreen
from walkthrough.app.screens.findings import FindingsScreen
from walkthrough.app.screens.rooms import RoomsScreen
from walkthrough.app.screens.trip import TripScreen
from walkthrough.app.screens.what_if import WhatIfScreen
from walkthrough.app.trips import left_tripped
from walkthrough.app.walk import Walk
from walkthrough.app.widgets.live_pane import LivePane
from walkthrough.app.widgets.question_box import QuestionBox
from walkthrough.judge.as_built import judge_as_built
from walkthrough.judge.judge import Judgement, Verdict, verdicts_on
from walkthrough.judge.under import Judged
from walkthrough.report.text import clean
from walkthrough.survey.model import Outlet, Subject

_NOT_SAVED = "not-saved"
_FINDINGS, _CHANGE = Given(menu.FINDINGS), Given(menu.CHANGE)
_IDLE_SECONDS = 0.3


class WalkScreen(Screen[None]):
    """Asks question after question; each answer is on disk before the next one is there."""

    CSS = """
    WalkScreen #top, WalkScreen #where { height: 1; padding: 0 1; text-wrap: nowrap;
                                         text-overflow: ellipsis; }
    WalkScreen #top { background: $surface; }
    WalkScreen #where { text-style: bold; }
    WalkScreen #body { height: 1fr; layout: vertical; }
    WalkScreen #asked { height: auto; min-height: 70%; }
    WalkScreen #side { height: 1fr; min-height: 3; border-top: solid $primary-darken-2; }
    WalkScreen #side { scrollbar-size-vertical: 1; }
    WalkScreen.-wide #body { layout: horizontal; }
    WalkScreen.-wide #asked { width: 1fr; height: 1fr; }
    WalkScreen.-wide #side { width: 44; height: 1fr; border-top: none;
                             border-left: solid $primary-darken-2; }
    WalkScreen.-all #asked { display: none; }
    WalkScreen.-all #side { height: 1fr; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "full_help", "Help"),
        Binding("f2", "answers", "Change", show=False),
        Binding("f3", "circuits", "Circuits"),
        Binding("f4", "rooms", "Rooms"),
        Binding("f5", "findings", "Deficiencies"),
        Binding("f6", "all", "Live pane", show=False),
        Binding("f7", "trip", "Trip test", show=False),
        Binding("f8", "skip_rest", "Nothing more can be told", show=False),
        Binding("f9", "what_if", "What if", show=False),
        Binding("ctrl+f", "find", "Find", show=False),
        Binding("ctrl+z", "undo", "Undo", show=False),
        Binding("ctrl+y", "redo", "Redo", show=False),
        Binding("ctrl+s", "save", "Save", show=False),
        Binding("escape", "cancel", "Back to the walk", show=False),
    ]

    def __init__(self, record: Record) -> None:
        super().__init__()
        self.record = record
        self.walk = Walk(record)

    def compose(self) -> ComposeResult:
        """Build everything once."""
        yield Static(id="top")
        yield Static(id="where")
        with Container(id="body"):
            with Container(id="asked"):
                yield QuestionBox(self.walk.prompt)
            with VerticalScroll(id="side", can_focus=False):
                yield LivePane()
        yield Footer()

    def on_mount(self) -> None:
        """Show where one stands."""
        self._show()
        # What is loaded by now stays: looking through it for garbage would delay answers.
        self.call_after_refresh(gc.freeze)

    def on_resize(self) -> None:
        """Give the live pane the form that fits."""
        self._show(keeps_typed=True)

    def on_screen_resume(self) -> None:
        """Another screen may have changed the record."""
        self.walk.look_again()
        self._show(keeps_typed=True)
        self.query_one(QuestionBox).focus()

    def on_question_box_replied(self, message: QuestionBox.Replied) -> None:
        """Take an answer."""
        message.stop()
        self._reply(message.prompt, message.reply)

    def go(self, subject: Subject, prompt: str = "") -> None:
        """Jump to a subject, or to one prompt of it."""
        self.walk.jump(subject, prompt)
        if self.is_current:
            self._show()

    def action_full_help(self) -> None:
        """All of the help of the question."""
        self.query_one(QuestionBox).toggle_help()

    def action_all(self) -> None:
        """The whole live pane instead of the question, and back."""
        self.toggle_class("-all")
        self._show()

    def action_undo(self) -> None:
        """Take the last answer back."""
        if self.walk.undo():
            self._show()
        else:
            self.notify("Nothing to take back.")

    def action_redo(self) -> None:
        """Make again what was taken back last."""
        if self.walk.redo():
            self._show()
        else:
            self.notify("Nothing was taken back.")

    def action_cancel(self) -> None:
        """Leave what was asked for out of turn."""
        self.remove_class("-all")
        self.walk.cancel()
        self._show()

    def action_limit(self) -> None:
        """What the survey as a whole left out."""
        self.go(self.walk.focus, NEW + LIMIT)

    def action_unit(self) -> None:
        """One more dwelling unit in the building."""
        self.go(self.walk.focus, NEW + UNIT)

    def action_several(self) -> None:
        """Several outlets like the one in hand."""
        if isinstance(self.walk.focus, Outlet):
            self.go(self.walk.focus, NEW + SEVERAL)
        else:
            self.notify("Stand on an outlet first.")

    def action_save(self) -> None:
        """Try once more to save."""
        self.record.save()
        self._show()

    def action_skip_rest(self) -> None:
        """Mark all that is open here as not to be told."""
        self.walk.skip_rest()
        self._show()

    def action_circuits(self) -> None:
        """The panel schedule."""
        self.app.push_screen(CircuitsScreen(self.record), self._chosen)

    def action_rooms(self) -> None:
        """Rooms and outlets."""
        self.app.push_screen(RoomsScreen(self.record, self.walk.focus), self._chosen)

    def action_findings(self) -> None:
        """The deficiencies."""
        self.app.push_screen(FindingsScreen(self.record), self._chosen)

    def action_find(self) -> None:
        """Search over the whole record."""
        self.app.push_screen(FindScreen(self.record), self._chosen)

    def action_answers(self) -> None:
        """All answers of the subject in hand."""
        self.app.push_screen(AnswersScreen(self.record, self.walk.focus), self._chosen)

    def action_what_if(self) -> None:
        """Another device, breaker or ruleset, without touching the record."""
        self.app.push_screen(WhatIfScreen(self.record, self.walk.focus))

    def action_trip(self) -> None:
        """A trip-and-probe step."""
        self.app.push_screen(TripScreen(self.record, self.walk.focus))

    def _chosen(self, chosen: tuple[Subject, str] | None) -> None:
        if chosen is not None:
            self.go(*chosen)

    def _reply(self, prompt: Prompt, reply: Reply) -> None:
        if prompt.id == _NOT_SAVED:
            self.record.save()
        elif prompt.id.startswith(menu.MENU) and reply in (_FINDINGS, _CHANGE):
            self.query_one(QuestionBox).ask_again()
            (self.action_findings if reply == _FINDINGS else self.action_answers)()
            return
        else:
            try:
                self.walk.reply(reply)
            except Refused as refused:
                self.query_one(QuestionBox).say(str(refused))
                return
        self._show()

    def _show(self, keeps_typed: bool = False) -> None:
        """Refill the standing screen with the present prompt."""
        record, box, pane = self.record, self.query_one(QuestionBox), self.query_one(LivePane)
        narrow = self.size.width < 100
        saved = "saved" if record.saved else "NOT SAVED"
        more = len(record.books) - 1 + bool(record.editions)
        also = f" and {more} more" if more else ""
        left = left_tripped(record)
        tripped = f"  STILL TRIPPED: {', '.join(left)} (F7)" if left else ""
        title = f"[{saved}]{tripped}  {clean(record.session.title)}   {record.book.title}{also}"
        self.query_one("#top", Static).update(Content(title), layout=False)
        place = Content(where(record, self.walk.focus))
        self.query_one("#where", Static).update(place, layout=False)
        box.lines_free = self.size.height - (6 if narrow else 4)
        prompt = self.walk.prompt if record.saved else _not_saved(record.problem)
        if prompt is box.prompt or (keeps_typed and prompt == box.prompt):
            box.ask_again()
        else:
            box.put(prompt)
        pane.is_compact = narrow and not self.has_class("-all")
        pane.show(live(record, self.walk.focus))
        self.query_one("#side").scroll_home(animate=False)
        self._judge_when_idle()

    def _judge_when_idle(self) -> None:
        if not self.record.is_judged and self.record.is_changed:
            self._judge_in_steps()

    @work(exclusive=True)
    async def _judge_in_steps(self) -> None:
        """Judge the whole record while nobody types, a little at a time, and keep its findings."""
        await asyncio.sleep(_IDLE_SECONDS)
        houses = self.record.houses
        chosen: list[Judgement] = []
        for house in houses:
            verdicts: list[Verdict] = []
            for subject in house.subjects.values():
                verdicts += verdicts_on(house, subject)
                await asyncio.sleep(0)
            chosen.append(Judgement(house, tuple(verdicts)))
        as_built = None
        if self.record.editions:
            # A copy, because an answer may come while the editions of all years are looked up.
            copy = self.record.session.model_copy(deep=True)
            as_built = await asyncio.to_thread(judge_as_built, copy, self.record.editions)
        if self.record.houses is houses and self.record.saved:
            self.record.take_judgement(Judged(self.record.session, tuple(chosen), as_built))
            if not self.record.saved:
                self._show()


def _not_saved(problem: str) -> Prompt:
    ask = f"Your last answer is kept here, but it is not on the disk: {clean(problem)}"
    again = (Choice("again", "Try to save again"),)
    return Prompt(_NOT_SAVED, ask, "choice", again, "", "again", OFFERED, can_skip=False)
