"""One step of the trip-and-probe round: what was switched off, what died, what stayed live."""

from __future__ import annotations

import itertools
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static
from textual.widgets.option_list import Option

from walkthrough.app import trips
from walkthrough.app.keys import CannotTell, Given, Same, StepBack
from walkthrough.app.prompt import Prompt
from walkthrough.app.record import Record
from walkthrough.app.widgets.question_box import QuestionBox
from walkthrough.app.widgets.rows import Rows
from walkthrough.report.text import clean, joined
from walkthrough.survey.model import Action, Outlet, Subject

_MARKS = {"dead": "[dead]", "live": "[live]", "": "[    ]"}


_MARKING = 3
"""So many of the keys mark a row; the others come after that."""
_KEYS = (
    ("d", "mark('dead')", "Died"),
    ("l", "mark('live')", "Stayed live"),
    ("n", "mark('')", "Not looked at"),
    ("r", "keep(True)", "Save; RESET, on again"),
    ("s", "keep(False)", "Save; still off"),
    ("a", "another", "Another device"),
)


class TripScreen(Screen[str]):
    """Asks for the device or breaker and what was done, then for what happened at each outlet.

    It returns what is to be told of it.
    """

    CSS = """
    TripScreen #heading { height: 1; padding: 0 1; text-style: bold; background: $surface;
                            text-wrap: nowrap; text-overflow: ellipsis; }
    TripScreen #clash { height: auto; max-height: 6; padding: 0 1; display: none; }
    TripScreen #keys { height: 2; padding: 0 1; display: none; }
    TripScreen.-ticking #keys { display: block; }
    TripScreen OptionList { display: none; }
    TripScreen.-ticking OptionList { display: block; }
    TripScreen.-ticking QuestionBox { display: none; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, action, told, show=False) for key, action, told in _KEYS),
        Binding("f1", "full_help", "Help"),
        Binding("escape", "back", "Leave"),
    ]

    def __init__(self, record: Record, focus: Subject) -> None:
        super().__init__()
        self.record = record
        self._start = focus
        self._at = ""
        self._action: Action = "test button"
        self._seen: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        """The questions, then the list to mark."""
        yield Static(id="heading")
        yield Static(_told_keys(), id="keys")
        yield Static(id="clash")
        left = trips.left_tripped(self.record)
        self._at = left[0] if left else ""
        first = trips.reset_prompt(self._at) if left else trips.at_prompt(self.record, self._start)
        yield QuestionBox(first)
        yield Rows()
        yield Footer()

    def on_mount(self) -> None:
        """Begin with the device in hand where its round is still to come, else ask for one."""
        self._head("Trip test")
        box = self.query_one(QuestionBox)
        box.lines_free = self.size.height - 2
        box.focus()
        fresh = trips.fresh_device(self.record, self._start)
        if fresh:
            self._at = fresh
            self._tick()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Marks mean something only in the list, help only to a question."""
        ticking = self.has_class("-ticking")
        in_list = action in ("mark", "keep", "another")
        return ticking if in_list else action != "full_help" or not ticking

    def on_question_box_replied(self, message: QuestionBox.Replied) -> None:
        """Take the device, then the action."""
        message.stop()
        match message.prompt.id, message.reply:
            case trips.AT, Given(value):
                self._at = str(value)
                self._put(trips.action_prompt(self.record, self._at))
            case trips.ACTION, Given(value):
                self._action = trips.action(str(value))
                self._tick()
            case trips.RESET, Given(value):
                self._answered_reset(value is True)
            case trips.ACTION, StepBack():
                self._put(trips.at_prompt(self.record, self._start))
            case _, CannotTell() | Same():
                self.query_one(QuestionBox).say("")
            case _:
                self.action_back()

    def action_full_help(self) -> None:
        """All of the help of the question."""
        self.query_one(QuestionBox).toggle_help()

    def action_mark(self, seen: str) -> None:
        """Mark the highlighted outlet, and go to the next."""
        listed = self.query_one(OptionList)
        row = listed.highlighted
        if row is None:
            return
        id = listed.get_option_at_index(row).id or ""
        self._seen[id] = seen
        listed.replace_option_prompt_at_index(row, self._row(id))
        listed.highlighted = min(row + 1, listed.option_count - 1)

    def action_another(self) -> None:
        """Ask for the device, or what was done at it, instead."""
        self.remove_class("-ticking")
        self._head("Trip test")
        self._put(trips.at_prompt(self.record, self._start))
        self.query_one(QuestionBox).focus()
        self.refresh_bindings()

    def action_keep(self, is_reset: bool) -> None:
        """Write the step into the record."""
        dead = [id for id, seen in self._seen.items() if seen == "dead"]
        live = [id for id, seen in self._seen.items() if seen == "live"]
        if not dead and not live:
            self._warn("Mark at least one outlet: d died, l stayed live.")
            return
        record, at = self.record, self._at
        clash = trips.add_trip(record, self._start, at, self._action, dead, live, is_reset)
        self.remove_class("-ticking")
        self.query_one(QuestionBox).focus()
        if record.saved and at in trips.left_tripped(record):
            self._head("Trip test saved")
            self._warn(_clash_in_words(clash))
            self._put(trips.reset_prompt(at))
            return
        told = "Trip test noted." if record.saved else ""
        at = clash[0].partition(":")[0] if clash else ""
        self.dismiss(f"! Look again at {at}: it contradicts the record (F3, w)." if at else told)

    def _answered_reset(self, is_reset: bool) -> None:
        if is_reset:
            trips.set_reset(self.record, self._start, self._at)
        left = trips.left_tripped(self.record)
        if is_reset and left:
            self._at = left[0]
            self._put(trips.reset_prompt(self._at))
            return
        # What is still tripped stands in the walk until it is reset.
        self.dismiss("")

    def action_back(self) -> None:
        """Leave without a word in the record."""
        self.dismiss("")

    def _put(self, prompt: Prompt) -> None:
        self.query_one(QuestionBox).put(prompt)

    def _tick(self) -> None:
        self._head(f"Trip test: {self._action}, {self._at}   (mark what died and what stayed live)")
        self.add_class("-ticking")
        listed = self.query_one(OptionList)
        near = trips.near_first(self.record, self._at)
        ids = [self.record.session.reference(each) for each in near]
        self._seen = dict.fromkeys(ids, "")
        ids = sorted(ids, key=lambda id: id != self._at)
        own_face = self._action == "test button" and trips.is_told_dead(self.record, self._at)
        if own_face and self._at in self._seen:
            self._seen[self._at] = "dead"
        listed.clear_options()
        listed.add_options([Option(self._row(id), id=id) for id in ids])
        listed.highlighted = min(int(own_face), len(ids) - 1) if ids else None
        listed.focus()
        self.refresh_bindings()

    def _row(self, id: str) -> Content:
        outlet: Outlet | None = self.record.session.outlet(id)
        told = joined((id, outlet.at, outlet.circuit)) if outlet is not None else id
        return Content(f"{_MARKS[self._seen[id]]} {clean(told)}")

    def _warn(self, told: str) -> None:
        line = self.query_one("#clash", Static)
        line.update(Content(clean(told)))
        line.display = bool(told)

    def _head(self, text: str) -> None:
        self.query_one("#heading", Static).update(Content(clean(text)))


def _told_keys() -> Content:
    """What the keys of the list do, to be clicked as well: the footer has no room for all."""
    told = (
        f"[@click=screen.{action}][bold $text-accent]{key}[/] {words}[/]"
        for key, action, words in _KEYS
    )
    marks, rest = "  ".join(itertools.islice(told, _MARKING)), "  ".join(told)
    return Content.from_markup(f"{marks}\n{rest}")


def _clash_in_words(clash: list[str]) -> str:
    more = f" (and {len(clash) - 1} more: F3, w)" if len(clash) > 1 else ""
    return f"! Look again, this contradicts what is recorded: {clash[0]}{more}" if clash else ""
