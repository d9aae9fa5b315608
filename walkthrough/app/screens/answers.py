"""All answers of one subject, told and presumed, to change any of them."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType

from walkthrough.app.describe import answer_in_words, field_in_words, name_of
from walkthrough.app.fields import FIELD, fields_of
from walkthrough.app.photos import PHOTOS, forget_last_photo
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import NarrowedScreen
from walkthrough.report.text import clean
from walkthrough.rulebook.declarations import Question
from walkthrough.survey.model import Subject


class AnswersScreen(NarrowedScreen):
    """Choose an answer to give again."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("delete", "forget", "Forget the answer"),
    ]

    def __init__(self, record: Record, subject: Subject) -> None:
        super().__init__(record)
        self._subject = subject

    def on_mount(self) -> None:
        """List all."""
        self.list_again()

    def chosen(self, id: str) -> None:
        """Put that question again."""
        if id:
            self.dismiss((self._subject, id))

    def action_forget(self) -> None:
        """Open the question again."""
        id = self.highlighted
        if id == FIELD + PHOTOS and self._subject.photos:
            forget_last_photo(self.record, self._subject, id)
            self.list_again(id)
        elif id and not id.startswith(FIELD) and self._is_told(id):
            self.record.forget(self._subject, id)
            self.list_again(id)

    def list_again(self, at: str = "") -> None:
        """The answers that hold what is sought."""
        subject, questions = self._subject, self.record.questions
        own = {id: each for id, each in questions.items() if subject.of in each.of}
        told = [id for id in own if self._is_told(id)]
        rest = [id for id in own if id not in told and own[id].presume is not None]
        last = [id for id in own if id not in told and id not in rest]
        rows = [
            (FIELD + name, f"{name.replace('_', ' ')}: {field_in_words(subject, name) or '-'}")
            for name in fields_of(self.record, subject)
        ]
        rows += [(id, self._row(id, own[id])) for id in (*told, *rest, *last)]
        sought = self.sought.casefold()
        self.fill([row for row in rows if sought in row[1].casefold()], at)
        typed = self.typed("type to find")
        self.head(f"Enter changes an answer ({typed}): {name_of(self.record, subject)}")

    def _is_told(self, id: str) -> bool:
        return self._subject.answer(id) is not None or id in self._subject.cannot_tell

    def _row(self, id: str, question: Question) -> str:
        answer = self._subject.answer(id)
        if answer is not None:
            told = answer_in_words(self.record, id, answer)
            if id in self._subject.carried:
                told += "  (carried, not looked at here)"
            if not self.record.counts(self._subject, id):
                told += "  (does not count: by what else is told, it is not asked here)"
        elif id in self._subject.cannot_tell:
            told = "cannot tell"
        elif question.presume is not None:
            told = f"{answer_in_words(self.record, id, question.presume)} (presumed)"
        else:
            held = self.record.house.recorded(self._subject, id)
            told = f"{answer_in_words(self.record, id, held)} (from above)" if held else "-"
        return f"{clean(question.ask)}  {told}"
