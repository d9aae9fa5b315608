"""Turns key presses into an answer to one prompt; knows nothing of any screen."""

from __future__ import annotations

import math
import string
from dataclasses import dataclass
from typing import TYPE_CHECKING

from walkthrough.app.one_key import NONE_KEY, answers_at_once, keyed
from walkthrough.app.prompt import Choice, Prompt
from walkthrough.app.ticks import Ticks
from walkthrough.app.words import named, nothing_chosen, rests
from walkthrough.report.text import clean
from walkthrough.survey.measures import read_day, read_measure

if TYPE_CHECKING:
    from walkthrough.survey.model import AnswerValue

_IN_MEASURES = string.ascii_letters + "/'\" 3"
"""What can follow in a number: a fraction, feet and inches, a metric unit."""


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


class Entry:
    """One answer in the making; `rests` are what may still come of the word of the one before."""

    def __init__(self, prompt: Prompt, rests: tuple[str, ...] = ()) -> None:
        self.prompt = prompt
        self.rests: tuple[str, ...] = ()
        """What may still come of a word that this answer was the first letter of."""
        self._awaited = rests
        self.typed = prompt.typed
        self.wrong = ""
        self._ticks = Ticks(prompt, rests)
        self._keyed = keyed(prompt)
        self._here = 0
        self._touched = False

    @property
    def ticked(self) -> list[str]:
        """The answers ticked so far."""
        return self._ticks.ticked

    @property
    def in_making(self) -> str:
        """What is typed so far and waits for Enter."""
        return self._ticks.spelled if self._ticks.is_word else self.typed

    def press(self, key: str, character: str | None) -> Reply | bool:
        """A reply when the answer is complete, else whether the key meant anything."""
        starts_afresh = bool(self.wrong and self.typed != self.prompt.typed)
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
        if starts_afresh:
            # What was refused is not typed on, but Backspace can still mend it.
            self.typed = ""
        if character == "?" and self.prompt.can_skip and not self.typed:
            return CannotTell()
        return self._character(character)

    def paste(self, text: str) -> None:
        """Text from the clipboard goes where text is typed."""
        if self.prompt.kind in ("text", "date", "number", "pick") or self.prompt.or_words:
            self.typed += "".join(each for each in text if each.isprintable())

    @property
    def understood(self) -> str:
        """What is typed means, where it was not typed as it is kept; "" where that is plain."""
        prompt, typed = self.prompt, self.in_making.strip()
        if not typed or prompt.or_words or prompt.kind in ("text", "pick"):
            return ""
        chosen = self._chosen(typed)
        if chosen is not None:
            return f"= {clean(chosen.label)}"
        if prompt.kind in ("choice", "yes-no", "tags"):
            if self._is_rest:
                return ""
            several = named(prompt.choices, typed)
            return f"{'several answers are' if several else 'no answer is'} called so"
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
            # Where nothing was told, Enter must not take what merely comes first.
            return next((each for each in matches if each.value == self.prompt.default), None)
        return matches[min(self._here, len(matches) - 1)]

    def _move(self, by: int) -> None:
        matches, at = self.matches, self.highlighted
        if matches:
            here = matches.index(at) + by if at is not None else 0
            self._here = max(0, min(len(matches) - 1, here))
            self._touched = True

    def _character(self, character: str) -> Reply | bool:
        kind = self.prompt.kind
        if kind in ("text", "date", "pick"):
            self.typed += character
            self._here = 0
            self._touched = True
            return True
        if not self.prompt.or_words:
            self._forget_word(character)
        chosen = self._keyed.get(character.lower())
        if kind == "tags":
            self.wrong = self._ticks.press(character)
            return True
        if self.prompt.or_words and (self.typed or chosen is None):
            self.typed += character
            return True
        if chosen is not None and self._is_at_once(character):
            if character.isalpha():
                self.rests = rests(character.lower(), chosen)
            return self._given(chosen)
        if character.isalpha() or (self.typed and kind != "number"):
            self.typed += character
        elif kind != "number":
            self.wrong = f"no answer has the key {character}"
        elif character in "0123456789.,-" or (self.typed and character in _IN_MEASURES):
            self.typed += character
        else:
            self.wrong = "type a number" + (f", or {NONE_KEY}" if self.prompt.none else "")
        return True

    def _is_at_once(self, key: str) -> bool:
        if self.typed or any(each.startswith(key.casefold()) for each in self._awaited):
            return False
        return answers_at_once(self.prompt, key)

    def _forget_word(self, character: str) -> None:
        """Drop a word that was not ended with Enter, where the next key is no part of any."""
        typed, longer = self.typed.casefold(), (self.typed + character).casefold()
        if not typed.isalpha():
            return
        ended = typed in self._awaited and not any(e.startswith(longer) for e in self._awaited)
        if ended or (character.isdigit() and not named(self.prompt.choices, longer)):
            self.typed = ""

    def _given(self, chosen: Choice) -> Given:
        match self.prompt.kind:
            case "yes-no":
                return Given(chosen.value == "yes")
            case "number":
                value = read_measure(chosen.value, "")
                return Given(math.inf if value is None else value)
        return Given(chosen.value)

    def _chosen(self, typed: str) -> Choice | None:
        """The one choice that has a key or a name as typed."""
        sought = typed.casefold()
        if sought in self._keyed:
            return self._keyed[sought]
        if self.prompt.kind == "number":
            none = self._keyed.get(NONE_KEY)
            return none if none is not None and sought in ("no", none.value) else None
        by_name = self.prompt.kind in ("choice", "tags")
        found = named(self.prompt.choices, sought) if by_name else []
        return found[0] if len(found) == 1 else None

    @property
    def _is_rest(self) -> bool:
        """Whether what is typed is the rest of the word that the answer before began."""
        typed = self._ticks.spelled or self.typed.removeprefix(self.prompt.typed)
        return typed.casefold() in self._awaited

    def _drop_rest(self) -> bool:
        self._ticks.forget_word()
        self.typed = self.prompt.typed
        self.wrong = "that word was taken at its first letter; this is the next question"
        return True

    def _backspace(self) -> Reply | bool:
        if self.typed:
            self.typed = self.typed[:-1]
            self._here = 0
            return True
        if self._ticks.is_word:
            self._ticks.forget_word()
            return True
        return StepBack()

    def _enter(self) -> Reply | bool:
        prompt = self.prompt
        if self._is_rest:
            return self._drop_rest()
        if self._ticks.is_word:
            self.wrong = self._ticks.take_word()
            return True
        if prompt.kind == "pick":
            chosen = self.highlighted
            if chosen is None:
                self.wrong = nothing_chosen(prompt, self.typed.strip())
                return True
            return Given(chosen.value)
        if prompt.kind == "tags":
            if not self.ticked and not prompt.can_be_empty:
                self.wrong = "tick at least one, or ? if you cannot tell"
                return True
            return Given(self._ticks.in_order())
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
        if not self.prompt.or_words:
            chosen = self._chosen(typed)
            if chosen is not None:
                return self._given(chosen)
            if self.prompt.kind in ("choice", "yes-no"):
                self.wrong = f"found '{typed}'; expected one of the answers, by its key or its name"
                return True
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
