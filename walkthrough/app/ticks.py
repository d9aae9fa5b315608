"""What is ticked of several answers: by keys, or by a word typed in full."""

from __future__ import annotations

from walkthrough.app.one_key import keyed
from walkthrough.app.prompt import Prompt
from walkthrough.app.words import named

_LEAST_OF_A_WORD = 3
"""As many letters in a row may be a word, and no keys."""


class Ticks:
    """The ticks in the making; letters tick as keys until they turn out to be a word."""

    def __init__(self, prompt: Prompt) -> None:
        self._prompt = prompt
        self._keyed = keyed(prompt)
        self.ticked = list(prompt.default) if isinstance(prompt.default, list) else []
        self.spelled = ""
        """The letters pressed one after the other."""
        self._before: list[str] = []

    def press(self, character: str) -> str:
        """Tick by a key; returns what is wrong with it, "" for nothing."""
        if character.isdigit() and self.is_word:
            self.forget_word()
        if not self.spelled:
            self._before = list(self.ticked)
        is_on = character.isalpha() or (self.spelled and not character.isdigit())
        self.spelled = self.spelled + character.casefold() if is_on else ""
        chosen = self._keyed.get(character.lower())
        if chosen is None:
            return f"no answer has the key {character}"
        if chosen.value in self.ticked:
            self.ticked.remove(chosen.value)
        else:
            self.ticked.append(chosen.value)
        return ""

    @property
    def is_word(self) -> bool:
        """Whether the letters are a word: one of them is no key, or an answer is called so."""
        word = self.spelled
        if len(word) < _LEAST_OF_A_WORD:
            return False
        is_no_keys = any(letter not in self._keyed for letter in word)
        return is_no_keys or bool(named(self._prompt.choices, word))

    def forget_word(self) -> None:
        """Take back what the letters of a word ticked."""
        if self.spelled:
            self.ticked, self.spelled = self._before, ""

    def take_word(self) -> str:
        """Tick what a word names, instead of what its letters tick; returns what to tell."""
        word = self.spelled
        self.forget_word()
        found = named(self._prompt.choices, word)
        if len(found) != 1:
            return f"{'several answers are' if found else 'no answer is'} called '{word}'"
        self.ticked = list(dict.fromkeys([*self.ticked, found[0].value]))
        return f"'{word}' ticks {found[0].label}: Enter accepts"

    def in_order(self) -> list[str]:
        """What is ticked, in the order shown."""
        order = [choice.value for choice in self._prompt.choices]
        return sorted(self.ticked, key=order.index)
