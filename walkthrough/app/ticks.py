"""What is ticked of several answers: by keys, or by a word typed in full."""

from __future__ import annotations

from walkthrough.app.one_key import keyed
from walkthrough.app.prompt import Prompt
from walkthrough.app.words import begins_name, named

_LEAST_OF_A_WORD = 3
"""As many letters in a row may be a word, and no keys."""


class Ticks:
    """The ticks in the making; letters tick as keys until they turn out to be a word.

    `awaited` are words that may still come and are none of this prompt's. What is not shown has no
    effect: a letter that is no key and begins no word is dropped for good.
    """

    def __init__(self, prompt: Prompt, awaited: tuple[str, ...] = ()) -> None:
        self._prompt = prompt
        self._awaited = awaited
        self._keyed = keyed(prompt)
        self._ticked = list(prompt.default) if isinstance(prompt.default, list) else []
        self.spelled = ""
        """The letters pressed one after the other that may be a word."""
        self._before: list[str] = []
        self._stays_word = False

    @property
    def ticked(self) -> list[str]:
        """What is ticked; the letters of a word tick nothing by themselves."""
        return self._before if self.is_word else self._ticked

    def press(self, character: str) -> str:
        """Tick by a key, or spell on; returns what is wrong with it, "" for nothing."""
        if character.isdigit():
            if self.is_word:
                self.forget_word()
            self.spelled = ""
            return self._tick(character)
        self._stays_word = self.is_word
        if self._stays_word or (self.spelled and self._begins_word(self.spelled + character)):
            self.spelled += character.casefold()
        elif character.isalpha():
            # What was pressed before were keys; their ticks stay.
            self._before = list(self._ticked)
            self.spelled = character.casefold() if self._begins_word(character) else ""
        if self.is_word:
            return ""
        return self._tick(character)

    def _tick(self, character: str) -> str:
        chosen = self._keyed.get(character.casefold())
        if chosen is None:
            return f"no answer has the key {character}"
        if chosen.value in self._ticked:
            self._ticked.remove(chosen.value)
        else:
            self._add(chosen.value)
        return ""

    def _add(self, value: str) -> None:
        """Tick it, and take away what cannot be true beside it."""
        question = self._prompt.question
        alone = question.alone if question is not None else ()
        kept = [] if value in alone else [each for each in self._ticked if each not in alone]
        self._ticked = list(dict.fromkeys([*kept, value]))

    def _begins_word(self, letters: str) -> bool:
        sought = letters.casefold()
        is_awaited = any(each.startswith(sought) for each in self._awaited)
        return is_awaited or begins_name(self._prompt.choices, sought)

    @property
    def is_word(self) -> bool:
        """Whether the letters are a word: one of them is no key, or an answer is called so."""
        word = self.spelled
        if word and self._stays_word:
            # A slip in a word does not make keys of its letters.
            return True
        if any(letter not in self._keyed for letter in word):
            return True
        return len(word) >= _LEAST_OF_A_WORD and bool(named(self._prompt.choices, word))

    def forget_word(self) -> None:
        """Take back what the letters of a word ticked."""
        if self.spelled:
            self._ticked, self.spelled = self._before, ""
            self._stays_word = False

    def take_word(self) -> str:
        """Tick what a word names, instead of what its letters tick; returns what to tell."""
        word = self.spelled
        self.forget_word()
        found = named(self._prompt.choices, word)
        if len(found) != 1:
            return f"{'several answers are' if found else 'no answer is'} called '{word}'"
        self._add(found[0].value)
        return f"'{word}' ticks {found[0].label}: Enter accepts"

    def in_order(self) -> list[str]:
        """What is ticked, in the order shown."""
        order = [choice.value for choice in self._prompt.choices]
        return sorted(self.ticked, key=order.index)
