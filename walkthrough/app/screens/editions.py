"""The subject in hand under two rulesets, side by side where there is room."""

from __future__ import annotations

import asyncio
import textwrap
from collections.abc import Iterator
from itertools import zip_longest
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer, Static

from walkthrough.app.describe import name_of
from walkthrough.app.editions import SIGNS, Compared, compared, rulesets_beside
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import NarrowedScreen
from walkthrough.app.widgets.rows import Rows
from walkthrough.report.text import clean
from walkthrough.rulebook.problems import Unusable
from walkthrough.survey.model import Subject

_WIDE = 100
_BETWEEN = " | "


class EditionsScreen(NarrowedScreen):
    """Choose the other ruleset; then both stand beside each other. Nothing is written."""

    CSS = """
    EditionsScreen #both { height: 1fr; padding: 0 1; display: none; }
    EditionsScreen.-shown #both { display: block; }
    EditionsScreen.-shown OptionList { display: none; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", "Back"),
        Binding("ctrl+e", "choose", "Another ruleset"),
    ]

    def __init__(self, record: Record, subject: Subject) -> None:
        super().__init__(record)
        self._subject = subject
        self._titles: dict[str, str] = {}
        self._other = ""
        self._found: tuple[Compared, ...] = ()

    def compose(self) -> ComposeResult:
        """The rulesets to choose from, and what both say."""
        yield Static(id="heading")
        yield Rows()
        with VerticalScroll(id="both"):
            yield Static()
        yield Footer()

    def on_mount(self) -> None:
        """List the other rulesets."""
        self._titles = rulesets_beside(self.record.book.id)
        self.list_again()

    def list_again(self) -> None:
        """The rulesets that hold what is sought."""
        self.remove_class("-shown")
        sought = self.sought.casefold().split()
        rows = [(id, f"{id:<24} {title}") for id, title in self._titles.items()]
        self.fill([row for row in rows if all(each in row[1].casefold() for each in sought)])
        typed = self.typed("type to find")
        own = f"{name_of(self.record, self._subject)} under {self.record.book.id} and"
        self.head(f"{own} which other ruleset? ({typed})")

    def chosen(self, id: str) -> None:
        """Compare with that one."""
        if id:
            self.head(f"Reading {id} ...")
            self._compare(id)

    @work(exclusive=True)
    async def _compare(self, id: str) -> None:
        # A copy, and apart: to read a ruleset for the first time takes a moment.
        session = self.record.session.model_copy(deep=True)
        key = self.record.key(self._subject)
        try:
            found = await asyncio.to_thread(compared, session, key, self.record.book, id)
        except Unusable as error:
            self.list_again()
            self.head(clean(f"! {error.problems[0]}"))
            return
        self._other, self._found = id, found
        self.add_class("-shown")
        differing = sum(each.differs for each in found)
        told = f"{differing} topic{'s' * (differing != 1)} differ{'s' * (differing == 1)}"
        name = name_of(self.record, self._subject)
        self.head(f"{name} under {self.record.book.id} and {id}: {told if differing else 'alike'}")
        self._draw()
        self.refresh_bindings()
        self.query_one("#both").focus()

    def on_resize(self) -> None:
        """Wrap to the new width."""
        self._draw()

    @property
    def takes_typing(self) -> bool:
        """Typing narrows the list down, as long as there is one."""
        return not self.has_class("-shown")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """To choose again means something only where one was chosen."""
        return action != "choose" or not self.takes_typing

    def action_choose(self) -> None:
        """Back to the rulesets."""
        self.sought = ""
        self.list_again()
        self.refresh_bindings()

    def _draw(self) -> None:
        width = self.size.width - 4
        own = self.record.book.id
        lines = (line for each in self._found for line in _topic(each, own, self._other, width))
        self.query_one("#both Static", Static).update(Content("\n").join(lines))


def _topic(told: Compared, own: str, other: str, width: int) -> Iterator[Content]:
    mark = "  DIFFERS" if told.differs else "  the same"
    yield Content.assemble((told.title, "bold"), (mark, "bold $text-warning"))
    if told.both:
        yield from _wrapped("both: ", told.both, width)
    if told.differs:
        sides = ((own, told.one), (other, told.other))
        yield from (_beside if width >= _WIDE - 4 else _below)(sides, width)
    yield Content("")


def _below(sides: tuple[tuple[str, tuple[str, ...]], ...], width: int) -> Iterator[Content]:
    for id, said in sides:
        yield from _wrapped(f"{id}: ", said or ("nothing more",), width)


def _beside(sides: tuple[tuple[str, tuple[str, ...]], ...], width: int) -> Iterator[Content]:
    half = (width - len(_BETWEEN)) // 2
    left, right = (list(_lines(f"{id}: ", said or ("nothing more",), half)) for id, said in sides)
    for one, other in zip_longest(left, right, fillvalue=""):
        yield Content(f"{one:<{half}}{_BETWEEN}{other}")


def _wrapped(head: str, said: tuple[str, ...], width: int) -> Iterator[Content]:
    yield from (Content(line) for line in _lines(head, said, width))


def _lines(head: str, said: tuple[str, ...], width: int) -> Iterator[str]:
    """What stands for itself in one line behind the head, then each rule on lines of its own."""
    ruled = [each for each in said if each.split(" ")[0] in SIGNS]
    plain = "; ".join(each for each in said if each not in ruled)
    every = [plain, *ruled] if plain else ruled
    for number, each in enumerate(every):
        first = "    " if number else f"  {head}"
        yield from textwrap.wrap(each, width, initial_indent=first, subsequent_indent="      ")
