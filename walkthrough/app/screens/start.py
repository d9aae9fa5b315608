"""The start: cautions, then a new walk, one to resume, or the demonstration house."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, Static

from walkthrough.app import sessions
from walkthrough.app.keys import Given, StepBack
from walkthrough.app.prompt import OFFERED, Choice, Kind, Prompt
from walkthrough.app.widgets.question_box import QuestionBox
from walkthrough.report.cautions import CAUTIONS, NOT_A_CERTIFICATE
from walkthrough.rulebook.problems import Unusable

if TYPE_CHECKING:
    from walkthrough.app.record import Record
    from walkthrough.survey.model import AnswerValue


_AS_BUILT = "as built:"


_WHEN_BUILT = "What was asked when it was built"
_NO_MORE = "no more"
_MOST_LISTED = 18
"""So many answers stand below a question on 24 lines; of more, one is picked by its name."""


class StartScreen(Screen[None]):
    """Asks what to open; posts `Opened` with the open record."""

    CSS = """
    StartScreen #title { height: 1; padding: 0 1; text-style: bold; background: $surface; }
    StartScreen #cautions { height: auto; max-height: 1fr; padding: 0 1; }
    StartScreen.-chosen #cautions { display: none; }
    StartScreen QuestionBox { margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "full_help", "Help"),
        Binding("escape", "again", "Start again", show=False),
    ]

    class Opened(Message):
        """A record was opened."""

        def __init__(self, record: Record) -> None:
            super().__init__()
            self.record = record

    def __init__(
        self, rulesets: Sequence[str], today: datetime.date, path: Path | None = None
    ) -> None:
        super().__init__()
        self._rulesets = rulesets
        self._ruleset = rulesets[0] if rulesets else None
        self._today = today
        self._path = path
        self._new: dict[str, AnswerValue] = {}
        self._others: list[str] = []

    def compose(self) -> ComposeResult:
        """Cautions first, then the choice."""
        yield Static("walkthrough: receptacles and circuits of one dwelling", id="title")
        with VerticalScroll(id="cautions", can_focus=False):
            yield Static(Content("\n").join(Content(f"! {each}") for each in CAUTIONS))
            yield Static(Content(NOT_A_CERTIFICATE))
        yield QuestionBox(_title(self._path) if self._path else _menu())
        yield Footer()

    def on_mount(self) -> None:
        """A file named on the command line that is not there yet begins a new walk."""
        self.set_class(self._path is not None, "-chosen")
        self.query_one(QuestionBox).focus()

    def action_full_help(self) -> None:
        """All of the help of the question."""
        self.query_one(QuestionBox).toggle_help()

    def action_again(self) -> None:
        """Back to the first choice."""
        self._new = {}
        self._put(_menu())

    def on_question_box_replied(self, message: QuestionBox.Replied) -> None:
        """Take an answer."""
        message.stop()
        if isinstance(message.reply, StepBack):
            self.action_again()
        elif isinstance(message.reply, Given):
            try:
                self._take(message.prompt.id, message.reply.value)
            except Unusable as error:
                self.query_one(QuestionBox).say(str(error))
        else:
            self.query_one(QuestionBox).say("")

    def _take(self, asked: str, value: AnswerValue) -> None:
        match asked, value:
            case "start", "new":
                self._put(_title())
            case "start", "resume":
                self._put(_resume())
            case "start", "reinspect":
                self._put(_reinspect())
            case "start", _:
                self._open(sessions.own_demonstration())
            case "resume", _:
                self._open(sessions.folder() / str(value))
            case "reinspect", _:
                self._reinspect(sessions.folder() / str(value))
            case "title", _:
                self._new["title"] = value
                if self._ruleset is None:
                    self._put(_edition())
                else:
                    # Who named it on the command line is not asked again.
                    self._judge_by(self._ruleset)
            case "ruleset", _:
                self._judge_by(str(value))
            case "another", each if each != _NO_MORE:
                self._others.append(str(each))
                self._put(_also(str(self._new["ruleset"]), self._others))
            case "another", _:
                self._new["also"] = self._others
                self._put(_day(self._today))
            case "also", _:
                self._new["also"] = value
                self._put(_day(self._today))
            case _:
                self._begin(value)

    def _judge_by(self, ruleset: str) -> None:
        """Where others were named besides, by these; else it is asked by which."""
        self._new["ruleset"] = ruleset
        others = [each for each in self._rulesets if each != ruleset]
        if others:
            self._new["also"] = others
            self._put(_day(self._today))
        else:
            self._others = []
            self._put(_also(ruleset, self._others))

    def _begin(self, day: AnswerValue) -> None:
        assert isinstance(day, datetime.date)
        title = " ".join(str(self._new["title"]).split())
        from walkthrough.app.record import Record

        path = self._path or sessions.path_for(title)
        ruleset = str(self._new["ruleset"])
        chosen = self._new["also"]
        assert isinstance(chosen, list)
        also = [each for each in chosen if not each.startswith(_AS_BUILT)]
        series = [each.removeprefix(_AS_BUILT) for each in chosen if each.startswith(_AS_BUILT)]
        as_built = series[0] if series else ""
        self.post_message(
            self.Opened(Record.begin(path, title, ruleset, day, self._today, also, as_built))
        )

    def _open(self, path: Path) -> None:
        from walkthrough.app.record import Record

        self.post_message(self.Opened(Record.open(path, self._ruleset, self._today)))

    def _reinspect(self, old: Path) -> None:
        from walkthrough.app.record import Record

        path = sessions.path_to_reinspect(old, self._today)
        self.post_message(self.Opened(Record.reinspect(old, path, self._today)))

    def _put(self, prompt: Prompt) -> None:
        self.set_class(prompt.id != "start", "-chosen")
        self.query_one(QuestionBox).put(prompt)


def _menu() -> Prompt:
    ways = [Choice("new", "Start a new walk")]
    if sessions.found():
        ways.append(Choice("resume", "Resume a walk"))
        ways.append(Choice("reinspect", "Re-inspect: look what was corrected since a walk"))
    if sessions.demonstration() is not None:
        ways.append(Choice("demonstration", "Open the demonstration house"))
    return Prompt("start", "What would you like to do?", "choice", tuple(ways), can_skip=False)


def _title(path: Path | None = None) -> Prompt:
    told = "A title for the record and the report, such as the address or a name of your own."
    ask = "What is this walk called?"
    if path is not None:
        ask = f"{sessions.told_of_new(path)} {ask}"
    return Prompt("title", ask, "text", (), told, can_skip=False)


def _edition() -> Prompt:
    editions = sessions.editions()
    titles = editions.titles
    # Which edition holds is for the jurisdiction to say: none is offered.
    kind: Kind = "pick" if len(titles) > _MOST_LISTED else "choice"
    ways = tuple(_named(id, title, kind) for id, title in titles.items())
    told = (
        "Every question and verdict follows it. It can be judged again by another edition later. "
        "Local amendments are small files of your own."
    )
    if editions.problems:
        told = f"Left out, because it cannot be used: {'; '.join(editions.problems)}"
    ask = "By which edition is it judged?"
    return Prompt("ruleset", ask, kind, ways, told, can_skip=False)


def _named(id: str, title: str, kind: Kind) -> Choice:
    """A ruleset to choose; a list to pick from shows the id anyway."""
    return Choice(id, title if kind == "pick" else f"{title} ({id})")


def _also(ruleset: str, chosen: Sequence[str]) -> Prompt:
    others = {id: title for id, title in sessions.editions().titles.items() if id != ruleset}
    every = sessions.series()
    ways = [
        Choice(_AS_BUILT + each, _WHEN_BUILT + (f" ({each})" if len(every) > 1 else ""))
        for each in every
    ]
    kind: Kind = "pick" if len(ways) + len(others) > _MOST_LISTED else "tags"
    ways += [_named(id, title, kind) for id, title in others.items()]
    told = (
        "A rental programme, a rule on inspection reports, another edition. Each finding says "
        "under which it stands. Enter alone: by none."
    )
    if kind == "pick":
        left = [each for each in ways if each.value not in chosen]
        no_more = Choice(_NO_MORE, "By no more" if chosen else "By none")
        named = f" (so far: {', '.join(chosen)})" if chosen else ""
        ask = f"By which other as well?{named}"
        ways = [no_more, *left]
        return Prompt("another", ask, kind, tuple(ways), told, _NO_MORE, OFFERED, can_skip=False)
    ask = "By which others as well? (several, or none)"
    return Prompt("also", ask, kind, tuple(ways), told, can_skip=False, can_be_empty=True)


def _day(today: datetime.date) -> Prompt:
    ask = "Day of the visit?"
    told = "Some rules begin or end on a day. Type it as 2026-11-10."
    return Prompt("day", ask, "date", (), told, today, "today", can_skip=False)


def _reinspect() -> Prompt:
    ways = tuple(Choice(each.path.name, each.title) for each in sessions.found())
    told = "Its open deficiencies are put one by one, in a new record; the old one stays as it is."
    return Prompt("reinspect", "Which walk?", "pick", ways, told, can_skip=False)


def _resume() -> Prompt:
    ways = tuple(Choice(each.path.name, each.title) for each in sessions.found())
    newest = ways[0].value if ways else None
    told = "Newest first."
    return Prompt("resume", "Which walk?", "pick", ways, told, newest, OFFERED, can_skip=False)
