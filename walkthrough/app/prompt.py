"""What the question screen asks, wherever it comes from: the ruleset or the shape of the record."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from walkthrough.rulebook.declarations import Question
    from walkthrough.survey.model import AnswerValue

Kind = Literal["choice", "tags", "yes-no", "number", "text", "date", "pick"]
"""As the kinds of question; "pick" is a choice among many, narrowed down by typing."""

AS_BEFORE = "as before"
YOUR_ANSWER = "your answer"
PRESUMED = "presumed"
OFFERED = "offered"
BY_CIRCUIT = "as told of its circuit"
BY_NAME = "by its name"


@dataclass(frozen=True)
class Choice:
    """One answer that can be chosen, and how it is shown; `key` where it has one of its own."""

    value: str
    label: str
    key: str = ""


@dataclass(frozen=True)
class Prompt:
    """One thing to answer. `default` is taken by Enter; `default_from` says where it comes from.

    `typed` stands there already, to be typed on or changed.
    `or_words` says for a choice what words typed instead of a key are; "" where they are nothing.
    `is_way` prompts choose where to go on: a letter is an answer by itself there.
    `if_missing` says for a pick what can be done where nothing fits.
    `question` is there where a question of the ruleset is put; its bounds then hold.
    """

    id: str
    ask: str
    kind: Kind
    choices: tuple[Choice, ...] = ()
    help: str = ""
    default: AnswerValue | None = None
    default_from: str = ""
    can_skip: bool = True
    can_be_empty: bool = False
    typed: str = ""
    or_words: str = ""
    is_way: bool = False
    if_missing: str = ""
    question: Question | None = None
    decides: tuple[str, ...] = field(default=(), compare=False)

    @property
    def unit(self) -> str:
        """The unit of a number, where it has one."""
        return self.question.unit if self.question is not None else ""

    @property
    def none(self) -> str:
        """The wording of "none" for a number, "" where that is no answer."""
        return self.question.none if self.question is not None else ""

    @property
    def picks(self) -> tuple[float, ...]:
        """Numbers offered for one key."""
        return self.question.picks if self.question is not None else ()


def from_question(
    word: str,
    question: Question,
    default: AnswerValue | None = None,
    default_from: str = "",
    decides: tuple[str, ...] = (),
) -> Prompt:
    """A prompt that puts a question of the ruleset."""
    return Prompt(
        id=word,
        ask=question.ask,
        kind=question.kind,
        choices=tuple(Choice(value, label) for value, label in question.choices.items()),
        help=question.help,
        default=default,
        default_from=default_from if default is not None else "",
        question=question,
        decides=decides,
    )
