"""Chooses a file that was found, another by its path, or none; reads it before it is taken."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Footer, Input, OptionList, Static
from textual.widgets.option_list import Option

from walkthrough.app.widgets.rows import Rows
from walkthrough.report.text import clean
from walkthrough.rulebook.problems import Unusable

_ANOTHER = "another"
_NONE = "none"


class ChooseFileScreen(Screen[Path | None | bool]):
    """A row for each file; returns the one chosen, None for none, False where all stays as it is.

    `read` reads a file and raises Unusable, so that what cannot be used is told here. A path that
    is typed begins in `folder`.
    """

    CSS = """
    ChooseFileScreen #heading { height: 1; padding: 0 1; text-style: bold; background: $surface;
                                text-wrap: nowrap; text-overflow: ellipsis; }
    ChooseFileScreen Rows { height: auto; max-height: 60vh; }
    ChooseFileScreen Input { display: none; }
    ChooseFileScreen.-typing Input { display: block; }
    ChooseFileScreen #told { height: 1fr; padding: 1 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", "Back")]

    def __init__(
        self,
        title: str,
        none: str,
        found: Sequence[Path],
        now: Path | None,
        folder: Path,
        read: Callable[[Path], object],
    ) -> None:
        super().__init__()
        self._title, self._none, self._folder, self._read = title, none, folder, read
        also = [now] if now is not None and now not in found else []
        self._files = [*found, *also]
        self._now = now

    def compose(self) -> ComposeResult:
        """Heading, list, a line for a path, what is wrong with it, footer."""
        yield Static(Content(self._title), id="heading")
        yield Rows()
        yield Input(placeholder="a file")
        yield Static(id="told")
        yield Footer()

    def on_mount(self) -> None:
        """List what there is, and stand on what is chosen now."""
        rows = [(_NONE, self._none), *((str(each), self._told(each)) for each in self._files)]
        rows.append((_ANOTHER, "Another one: type its path"))
        listed = self.query_one(OptionList)
        listed.add_options([Option(Content(text), id=id) for id, text in rows])
        at = _NONE if self._now is None else str(self._now)
        listed.highlighted = [id for id, _ in rows].index(at)
        listed.focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Take the row."""
        event.stop()
        id = event.option.id
        if id == _NONE:
            self.dismiss(None)
        elif id == _ANOTHER:
            self.add_class("-typing")
            self.query_one(Input).focus()
        else:
            self._take(Path(id or ""))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the file that was typed."""
        event.stop()
        if event.value.strip():
            self._take(self._folder / Path(event.value.strip()).expanduser())

    def action_back(self) -> None:
        """Leave the line for a path, or the screen."""
        if self.has_class("-typing"):
            self.remove_class("-typing")
            self.query_one(Rows).focus()
        else:
            self.dismiss(False)

    def _told(self, path: Path) -> str:
        return clean(path.name if path.parent == self._folder else str(path))

    def _take(self, path: Path) -> None:
        try:
            self._read(path)
        except Unusable as error:
            self.query_one("#told", Static).update(Content(clean(f"! {error}")))
        else:
            self.dismiss(path)
