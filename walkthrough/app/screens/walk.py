"""The walk: the standing question, and beside it what is known of the subject in hand."""

from __future__ import annotations

import asyncio
import gc
from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.content import Content
from textual.widgets import Footer, Static

from walkthrough.app import box_sheet, menu, readings, room_sheet
from walkthrough.app.commands import COMMANDS
from walkthrough.app.describe import where
from walkthrough.app.fields import FIELD, NOTE, Refused
from walkthrough.app.judging import judged_in_steps
from walkthrough.app.keys import Given, Reply
from walkthrough.app.live import live
from walkthrough.app.new_prompts import LIMIT, NEW, SEVERAL, UNIT
from walkthrough.app.photos import PHOTOS, what_is_wrong, without_sum
from walkthrough.app.planning import View
from walkthrough.app.prompt import OFFERED, Choice, Prompt
from walkthrough.app.record import Record
from walkthrough.app.reinspect import Reinspection
from walkthrough.app.screens.answers import AnswersScreen
from walkthrough.app.screens.box import BoxScreen
from walkthrough.app.screens.circuits import CircuitsScreen
from walkthrough.app.screens.editions import EditionsScreen
from walkthrough.app.screens.find import FindScreen
from walkthrough.app.screens.findings import JUDGING, FindingsScreen
from walkthrough.app.screens.leaving import LeavingScreen
from walkthrough.app.screens.plan import PlanScreen
from walkthrough.app.screens.readings import ReadingsScreen
from walkthrough.app.screens.report import ReportScreen
from walkthrough.app.screens.room import RoomScreen
from walkthrough.app.screens.rooms import RoomsScreen
from walkthrough.app.screens.sheet import SheetScreen
from walkthrough.app.screens.trip import TripScreen
from walkthrough.app.screens.what_if import WhatIfScreen
from walkthrough.app.sheet import Line
from walkthrough.app.stops import NONE, Sought, next_stop
from walkthrough.app.trips import left_tripped
from walkthrough.app.type_ahead import TypeAheadApp
from walkthrough.app.walk import Walk
from walkthrough.app.widgets.live_pane import LivePane
from walkthrough.app.widgets.question_box import QuestionBox
from walkthrough.app.wished import Wished
from walkthrough.report.text import clean
from walkthrough.survey.model import Outlet, Room, Subject
from walkthrough.survey.photos import checksums, folder_of, look, named

_NOT_SAVED = "not-saved"
_FINDINGS, _CHANGE = Given(menu.FINDINGS), Given(menu.CHANGE)
_ANSWERING = ("enter", "backspace", "tab")
_IDLE_SECONDS = 0.3
_SECONDS_TO_PAINT = 0.02
_MUCH_GARBAGE = 20_000
"""So many things more than at the last look; an answer makes some two thousand."""


class WalkScreen(LeavingScreen[None]):
    """Asks question after question; each answer is on disk before the next one is there."""

    CSS = """
    WalkScreen #top, WalkScreen #where { height: 1; padding: 0 1; text-wrap: nowrap;
                                         text-overflow: ellipsis; }
    WalkScreen #top { background: $surface; }
    WalkScreen #where { text-style: bold; }
    WalkScreen #body { height: 1fr; layout: vertical; }
    WalkScreen #asked { height: auto; }
    WalkScreen QuestionBox { min-height: 60vh; }
    WalkScreen #side { height: 1fr; min-height: 3; border-top: solid $primary-darken-2; }
    WalkScreen #side { scrollbar-size-vertical: 1; }
    WalkScreen.-wide #body { layout: horizontal; }
    WalkScreen.-wide #asked { width: 1fr; height: 1fr; }
    WalkScreen.-wide QuestionBox { min-height: 100%; }
    WalkScreen.-wide #side { width: 40%; min-width: 44; max-width: 64; height: 1fr;
                             border-top: none; border-left: solid $primary-darken-2; }
    WalkScreen.-all #asked { display: none; }
    WalkScreen.-all #side { width: 1fr; max-width: 100%; height: 1fr; border-left: none; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012
    AUTO_FOCUS = ""
    """Nothing by itself: a question that is not in view must not take keys."""
    BINDINGS: ClassVar[list[BindingType]] = [each.binding for each in COMMANDS if each.key]

    def __init__(self, record: Record) -> None:
        super().__init__()
        self.record = record
        self._sought: Sought | None = None
        self._told = ""
        self._plan = View()
        self._wished = Wished(record.path)
        self.walk = Reinspection(record) if record.session.rechecks else Walk(record)

    def compose(self) -> ComposeResult:
        """Build everything once."""
        yield Static(id="top")
        yield Static(id="where")
        with Container(id="body"):
            with Container(id="asked"):
                yield QuestionBox(self.walk.prompt)
            yield LivePane(id="side")
        yield Footer()

    def on_mount(self) -> None:
        """Show where one stands."""
        self._show()
        self._look_at_photos()
        self.call_after_refresh(_keep_garbage_for_later)

    def on_unmount(self) -> None:
        """What was loaded for this walk may go."""
        gc.unfreeze()

    def on_resize(self) -> None:
        """Give the live pane the form that fits."""
        self._show(keeps_typed=True)

    def on_screen_resume(self) -> None:
        """Another screen may have changed the record."""
        self.walk.look_again()
        self._show(keeps_typed=True)
        self._give_keys()

    def on_key(self, event: events.Key) -> None:
        """Say why a key that would answer does nothing while the question is not in view."""
        if self.has_class("-all") and (event.is_printable or event.key in _ANSWERING):
            event.stop()
            self._tell("F6 or Escape brings the question back: it takes no keys unseen.")

    def on_question_box_replied(self, message: QuestionBox.Replied) -> None:
        """Take an answer."""
        message.stop()
        self._reply(message.prompt, message.reply)

    def go(self, subject: Subject, prompt: str = "", told: str = "") -> None:
        """Jump to a subject, or to one prompt of it; `told` stands above until the next answer."""
        try:
            self.walk.go_to(subject, prompt)
            self._told = told
        except Refused as refused:
            self._told = f"{refused}."
        if self.is_current:
            self._show_pane_only(False)
            self._show()

    def action_full_help(self) -> None:
        """All of the help of the question."""
        self.query_one(QuestionBox).toggle_help()

    def action_all(self) -> None:
        """The whole live pane instead of the question, and back."""
        self._show_pane_only(not self.has_class("-all"))
        self._told = ""
        self._show()

    def _show_pane_only(self, is_whole: bool) -> None:
        self.set_class(is_whole, "-all")
        self._give_keys()

    def _give_keys(self) -> None:
        """What is in view takes the keys; a question that was hidden has lost them."""
        box, pane = self.query_one(QuestionBox), self.query_one(LivePane)
        # A click on it beside the question must not take the keys away.
        pane.can_focus = self.has_class("-all")
        # At once, so that a key which follows at once is not lost.
        self.set_focus(pane if pane.can_focus else box)

    def action_scroll_pane(self, pages: int) -> None:
        """Turn the pages of the live pane."""
        side = self.query_one("#side")
        side.scroll_relative(y=pages * side.size.height, animate=False, immediate=True)

    def action_undo(self) -> None:
        """Take the last answer back."""
        self._told = ""
        if self.walk.undo():
            self._show()
        else:
            self._tell("Nothing to take back.")

    def action_redo(self) -> None:
        """Make again what was taken back last."""
        self._told = ""
        if self.walk.redo():
            self._show()
        else:
            self._tell("Nothing was taken back.")

    def action_cancel(self) -> None:
        """Leave what was asked for out of turn."""
        self._show_pane_only(False)
        self._told = ""
        self.walk.cancel()
        self._show()

    def action_limit(self) -> None:
        """What the survey as a whole left out."""
        self.go(self.walk.focus, NEW + LIMIT)

    def action_unit(self) -> None:
        """One more dwelling unit in the building."""
        self.go(self.walk.focus, NEW + UNIT)

    def action_panel(self) -> None:
        """One more panel, of the dwelling unit in hand."""
        self.go(self.walk.focus, NEW + "panel")

    def action_several(self) -> None:
        """Several outlets like the one in hand."""
        if isinstance(self.walk.focus, Outlet):
            self.go(self.walk.focus, NEW + SEVERAL)
        else:
            self._tell("Stand on an outlet first.")

    def action_not_tested(self) -> None:
        """Say why the outlet in hand was not tested, or the room not entered."""
        if isinstance(self.walk.focus, Outlet):
            self.go(self.walk.focus, FIELD + "state")
        elif isinstance(self.walk.focus, Room):
            self.action_limit()
        else:
            self._tell("Stand on a room or an outlet first.")

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

    def action_plan(self) -> None:
        """What to do about the deficiencies, and for how much."""
        self.app.push_screen(PlanScreen(self.record, self._plan, self._wished), self._chosen)

    def action_report(self) -> None:
        """A report of the record as a file."""
        self.app.push_screen(ReportScreen(self.record, self._wished), self._chosen)

    def action_next(self, sought: Sought) -> None:
        """Go on to the next subject with something undecided, or deficient."""
        if self.record.is_judged:
            self._go_to_next(sought)
        elif self.record.saved:
            # To judge all takes a moment; it goes on from where that ends.
            self._sought, self._told = sought, JUDGING
            self._show()

    def _go_to_next(self, sought: Sought) -> None:
        self._sought = None
        stop = next_stop(self.record, sought, self.walk.focus)
        if stop is None:
            self._told = NONE[sought]
            self._show()
        else:
            self.go(stop.subject, stop.prompt, stop.told)

    def action_find(self) -> None:
        """Search over the whole record."""
        self.app.push_screen(FindScreen(self.record), self._chosen)

    def action_answers(self) -> None:
        """All answers of the subject in hand."""
        self.app.push_screen(AnswersScreen(self.record, self.walk.focus), self._chosen)

    def action_what_if(self) -> None:
        """Another device, breaker or ruleset, without touching the record."""
        self.app.push_screen(WhatIfScreen(self.record, self.walk.focus))

    def action_editions(self) -> None:
        """The subject in hand under another ruleset as well."""
        self.app.push_screen(EditionsScreen(self.record, self.walk.focus))

    def action_note(self) -> None:
        """A note on the subject in hand."""
        self.go(self.walk.focus, FIELD + NOTE)

    def action_photo(self) -> None:
        """A picture of the subject in hand."""
        self.go(self.walk.focus, FIELD + PHOTOS)

    def action_trip(self) -> None:
        """A trip-and-probe step."""
        self.app.push_screen(TripScreen(self.record, self.walk.focus), self._tell)

    def action_readings(self) -> None:
        """The readings sheet of the outlet in hand."""
        self._outlet_sheet(readings.lines_of, ReadingsScreen, "readings sheet")

    def action_box(self) -> None:
        """The box-fill sheet of the outlet in hand."""
        self._outlet_sheet(box_sheet.lines_of, BoxScreen, "box-fill sheet")

    def _outlet_sheet(
        self,
        lines_of: Callable[[Record, Outlet], Sequence[Line]],
        sheet: Callable[[Record, Outlet], SheetScreen],
        name: str,
    ) -> None:
        outlet = self.walk.focus
        if not isinstance(outlet, Outlet):
            self._tell("Stand on an outlet first.")
        elif not lines_of(self.record, outlet):
            self._tell(f"The ruleset of this record has no {name}.")
        elif self._takes_shape(outlet):
            self._tell("First say how this outlet hangs on its circuit.")
        else:
            self.app.push_screen(sheet(self.record, outlet))

    def action_room(self) -> None:
        """The room sheet of the room in hand, or of the room of the outlet in hand."""
        at = self.walk.focus
        room = self.record.session.room(at.room) if isinstance(at, Outlet) else at
        if not isinstance(room, Room):
            self._tell("Stand on a room or an outlet first.")
        elif not room_sheet.lines_of(self.record, room):
            self._tell("The ruleset of this record has no room sheet.")
        elif room is at and self._takes_shape(room):
            self._tell("First say what this room is.")
        else:
            self.app.push_screen(RoomScreen(self.record, room))

    def _takes_shape(self, subject: Subject) -> bool:
        """Whether it is just being entered: with an answer its shape would count as told."""
        return self.walk.prompt.id.startswith(FIELD) and not subject.answers

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
        if self.walk.prompt is prompt:
            self.query_one(QuestionBox).say("")
        self._told = ""
        if prompt.id == FIELD + PHOTOS and isinstance(reply, Given):
            self._told = f"Photo {clean(self.record.last_photo)} noted. Ctrl+O: another"
            self._sum_photos()
        self._show()

    def _show(self, keeps_typed: bool = False) -> None:
        """Refill the standing screen with the present prompt."""
        record, box, pane = self.record, self.query_one(QuestionBox), self.query_one(LivePane)
        narrow = self.size.width < 100
        self._show_top()
        _tell_in(self.query_one("#where", Static), where(record, self.walk.focus))
        box.lines_free = self.size.height - (6 if narrow else 4)
        prompt = self.walk.prompt if record.saved else _not_saved(record.problem)
        if self._sought and record.saved:
            # What is typed meanwhile is meant for the place that is looked for.
            box.wait()
        elif prompt is box.prompt or (keeps_typed and prompt == box.prompt):
            box.ask_again()
        else:
            box.put(prompt, is_expected=record.saved)
        pane.is_compact = narrow and not self.has_class("-all")
        pane.show(live(record, self.walk.focus))
        self._judge_when_idle()

    def _show_top(self) -> None:
        record = self.record
        saved = "saved" if record.saved else "NOT SAVED"
        more = len(record.books) - 1 + bool(record.editions)
        also = f" and {more} more" if more else ""
        left = left_tripped(record)
        tripped = f"  STILL TRIPPED: {', '.join(left)} (F7)" if left else ""
        about = self._told or f"{clean(record.session.title)}   {record.book.title}{also}"
        title = f"[{saved}]{tripped}  {about}"
        _tell_in(self.query_one("#top", Static), title)

    def _tell(self, told: str | None) -> None:
        """Say something in the line at the top, where it covers nothing."""
        self._told = told or ""
        self._show_top()

    def _is_typing(self) -> bool:
        # Keys typed while the next deficiency is sought wait for it, and it must not wait for them.
        return not self._sought and isinstance(self.app, TypeAheadApp) and self.app.is_busy

    def _judge_when_idle(self) -> None:
        if not self.record.is_judged and (self.record.is_changed or self._sought):
            self._judge_in_steps()

    @work(exclusive=True)
    async def _judge_in_steps(self) -> None:
        """Judge the whole record while nobody types, a little at a time, and keep its findings."""
        if not self._sought:
            await asyncio.sleep(_SECONDS_TO_PAINT)
            gc.collect(1)
            await asyncio.sleep(_IDLE_SECONDS)
        judged = await judged_in_steps(self.record, self._is_typing)
        if judged is None or not self.record.saved:
            return
        self.record.take_judgement(judged)
        gc.collect()
        if self._sought:
            self._go_to_next(self._sought)
        elif not self.record.saved:
            self._show()

    @work(exclusive=True, group="photos")
    async def _look_at_photos(self) -> None:
        """Tell which pictures are gone or no longer the same, then see to those that are new."""
        if not any(named(self.record.session)):
            return
        session = self.record.session.model_copy(deep=True)
        wrong = what_is_wrong(await asyncio.to_thread(look, session, self.record.path))
        if wrong and not self._told:
            self._told = wrong
            self._show_top()
        self._sum_photos()

    @work(exclusive=True, group="checksums")
    async def _sum_photos(self) -> None:
        """Keep the checksum of each picture whose file is at hand; a large one takes a moment."""
        names = without_sum(self.record)
        sums = await asyncio.to_thread(checksums, names, folder_of(self.record.path))
        if sums:
            self.record.take_photo_sums(sums)
            if not self.record.saved:
                self._show()


def _keep_garbage_for_later() -> None:
    """Look for garbage after an answer is painted, or once there is much: it would delay that.

    What is loaded by now stays and is not looked through at all.
    """
    gc.freeze()
    gc.set_threshold(_MUCH_GARBAGE)


def _tell_in(line: Static, text: str) -> None:
    """Say something in a line of its own; drawn only where it says something else."""
    if line.content != text:
        line.update(Content(text), layout=False)


def _not_saved(problem: str) -> Prompt:
    ask = f"Your last answer is kept here, but it is not on the disk: {clean(problem)}"
    again = (Choice("again", "Try to save again"),)
    return Prompt(_NOT_SAVED, ask, "choice", again, "", "again", OFFERED, can_skip=False)
