"""Turns key presses into an answer to one prompt; knows nothing of any screen."""

from __future__ import annotations

import math
import string
from dataclasses import dataclass
from typing import TYPE_CHECKING

from walkthrough.app.prompt import Choice, Prompt
from walkthrough.survey.measures import read_day, read_measure

if TYPE_CHECKING:
    from walkthrough.survey.model import AnswerValue

NONE_KEY = "n"
_IN_MEASURES = string.ascii_letters + "/'\" 3"
"""What can follow in a number: a fraction, feet and inches, a metric unit."""
_ONE_KEYS = string.digits[1:] + string.ascii_lowercase
MOST_KEYS = len(_ONE_KEYS)
"""As many answers can have a key of their own."""
_PICK_KEYS = string.ascii_lowercase.replace(NONE_KEY, "")


@dataclass(frozen=True)
class Given:
    """An answer was given."""

    value: AnswerValue


@dataclass(frozen=True)
class CannotTell:
    """The question was put, and the person cannot tell."""


@dataclass(frozen=True)
class StepBack:
    """Back to the question before."""


@dataclass(frozen=True)
class Same:
    """This and what follows as before, up to the next question that has no such answer."""


Reply = Given | CannotTell | StepBack | Same


def keyed(prompt: Prompt) -> dict[str, Choice]:
    """The one key of each choice, in the order shown."""
    if prompt.kind in ("choice", "tags"):
        own = {each.key for each in prompt.choices}
        free = (key for key in _ONE_KEYS if key not in own)
        with_keys = ((each.key or next(free, ""), each) for each in prompt.choices)
        return {key: each for key, each in with_keys if key}
    if prompt.kind == "yes-no":
        return {"y": Choice("yes", "Yes"), "n": Choice("no", "No")}
    if prompt.kind == "number":
        unit = f" {prompt.unit}" if prompt.unit else ""
        shown = {
            key: Choice(f"{pick:g}", f"{pick:g}{unit}")
            for key, pick in zip(_PICK_KEYS, prompt.picks, strict=False)
        }
        return shown | ({NONE_KEY: Choice("none", prompt.none)} if prompt.none else {})
    return {}


class Entry:
    """One answer in the making."""

    def __init__(self, prompt: Prompt) -> None:
        self.prompt = prompt
        self.typed = prompt.typed
        self.wrong = ""
        self.ticked: list[str] = []
        if prompt.kind == "tags" and isinstance(prompt.default, list):
            self.ticked = list(prompt.default)
        self._keyed = keyed(prompt)
        self._here = 0
        self._touched = False

    def press(self, key: str, character: str | None) -> Reply | bool:
        """A reply when the answer is complete, else whether the key meant anything."""
        starts_afresh = bool(self.wrong and self.typed)
        self.wrong = ""
        match key:
            case "enter":
                return self._enter()
            case "tab":
                return Same()
            case "backspace":
                return self._backspace()
            case "ctrl+u":
                self.typed = ""
                return True
            case "up" | "down" if self.prompt.kind == "pick":
                self._move(-1 if key == "up" else 1)
                return True
        if character is None or not character.isprintable():
            return False
        if character == "?" and self.prompt.can_skip and not self.typed:
            return CannotTell()
        if starts_afresh:
            # What was refused is not typed on, but Backspace can still mend it.
            self.typed = ""
        return self._character(character)

    def paste(self, text: str) -> None:
        """Text from the clipboard goes where text is typed."""
        if self.prompt.kind in ("text", "date", "number", "pick") or self.prompt.or_words:
            self.typed += "".join(each for each in text if each.isprintable())

    @property
    def understood(self) -> str:
        """What a typed number or date means, where it was not typed as it is kept."""
        prompt, typed = self.prompt, self.typed.strip()
        if prompt.kind not in ("number", "date") or not typed:
            return ""
        value = _read(typed, prompt)
        if value is None:
            return ""
        told = f"{value:g}" if isinstance(value, int | float) else str(value)
        return "" if told == typed else f"= {told}{f' {prompt.unit}' if prompt.unit else ''}"

    @property
    def matches(self) -> list[Choice]:
        """The choices of a pick that fit what was typed; an id that begins so comes first."""
        sought = self.typed.casefold().strip()
        choices = self.prompt.choices
        if not sought:
            return list(choices)
        exact = [each for each in choices if each.value.casefold() == sought]
        begin = [each for each in choices if each.value.casefold().startswith(sought)]
        within = [each for each in choices if sought in f"{each.value} {each.label}".casefold()]
        return list(dict.fromkeys([*exact, *begin, *within]))

    @property
    def highlighted(self) -> Choice | None:
        """The choice of a pick that Enter takes."""
        matches = self.matches
        if not matches:
            return None
        if not self._touched and not self.typed:
            offered = [each for each in matches if each.value == self.prompt.default]
            return offered[0] if offered else matches[0]
        return matches[min(self._here, len(matches) - 1)]

    def _move(self, by: int) -> None:
        matches, at = self.matches, self.highlighted
        if at is not None:
            self._here = max(0, min(len(matches) - 1, matches.index(at) + by))
            self._touched = True

    def _character(self, character: str) -> Reply | bool:
        kind = self.prompt.kind
        if kind in ("text", "date", "pick"):
            self.typed += character
            self._here = 0
            self._touched = True
            return True
        chosen = self._keyed.get(character.lower())
        if self.prompt.or_words and (self.typed or chosen is None):
            self.typed += character
            return True
        if kind == "number":
            if chosen is not None and not self.typed:
                value = read_measure(chosen.value, "")
                return Given(math.inf if value is None else value)
            if character in "0123456789.,-" or (self.typed and character in _IN_MEASURES):
                self.typed += character
            else:
                self.wrong = "type a number" + (f", or {NONE_KEY}" if self.prompt.none else "")
            return True
        if chosen is None:
            self.wrong = f"no answer has the key {character}"
            return True
        if kind == "yes-no":
            return Given(chosen.value == "yes")
        if kind == "tags":
            self._tick(chosen.value)
            return True
        return Given(chosen.value)

    def _tick(self, tag: str) -> None:
        self._touched = True
        if tag in self.ticked:
            self.ticked.remove(tag)
        else:
            self.ticked.append(tag)

    def _backspace(self) -> Reply | bool:
        if self.typed:
            self.typed = self.typed[:-1]
            self._here = 0
            return True
        return StepBack()

    def _enter(self) -> Reply | bool:
        prompt = self.prompt
        if prompt.kind == "pick":
            chosen = self.highlighted
            if chosen is None:
                self.wrong = f"nothing fits '{self.typed}'"
                return True
            return Given(chosen.value)
        if prompt.kind == "tags":
            if not self.ticked and not prompt.can_be_empty:
                self.wrong = "tick at least one, or ? if you cannot tell"
                return True
            order = [choice.value for choice in prompt.choices]
            return Given(sorted(self.ticked, key=order.index))
        if not self.typed.strip():
            return self._enter_nothing()
        return self._enter_typed(self.typed.strip())

    def _enter_nothing(self) -> Reply | bool:
        if self.prompt.default is not None:
            return Given(self.prompt.default)
        if self.prompt.can_be_empty:
            return Given("")
        self.wrong = "answer first" + (", or ? if you cannot tell" if self.prompt.can_skip else "")
        return True

    def _enter_typed(self, typed: str) -> Reply | bool:
        value = _read(typed, self.prompt)
        if value is None:
            self.wrong = f"found '{typed}'; expected {_expected(self.prompt)}"
            return True
        if self.prompt.question is not None:
            # Not needed before a ruleset is there, and it would hold up the first screen.
            from walkthrough.survey.answers import check_answer

            self.wrong = check_answer(value, self.prompt.question)
            if self.wrong:
                return True
        return Given(value)


def _read(typed: str, prompt: Prompt) -> AnswerValue | None:
    if prompt.kind == "number":
        return read_measure(typed, prompt.unit)
    return read_day(typed) if prompt.kind == "date" else typed


def _expected(prompt: Prompt) -> str:
    if prompt.kind == "date":
        return "a date such as 2026-11-10 or 11/10/2026"
    lengths = " such as 5.5, 5 1/2, 5'6\" or 1.7 m"
    return "a number" + (lengths if prompt.unit in ("ft", "in") else "")
