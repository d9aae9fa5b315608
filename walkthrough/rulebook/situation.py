"""What is known about one subject, with terms and derived facts worked out when first asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from walkthrough.rulebook.conditions import (
    Term,
)
from walkthrough.rulebook.kleene import Truth, Unknown

if TYPE_CHECKING:
    from walkthrough.rulebook.rulebook import Condition


def _nothing_more(_: str) -> Any:
    return None


class Situation(dict[str, Any]):
    """Known values by word; `provide(word)` gives what is not given, or None for unknown."""

    __slots__ = ("_provide", "_terms", "_unknown")

    def __init__(
        self,
        values: Mapping[str, Any],
        terms: Mapping[str, Condition],
        provide: Callable[[str], Any] = _nothing_more,
    ) -> None:
        super().__init__(values)
        self._terms = terms
        self._provide = provide
        self._unknown: set[str] = set()

    def __missing__(self, word: str) -> Any:
        if word in self._unknown:
            raise Unknown(word)
        term = self._terms.get(word)
        value = self._provide(word) if term is None else term.truth(self)
        if value is None:
            self._unknown.add(word)
            raise Unknown(word)
        self[word] = value
        return value

    def with_more(self, values: Mapping[str, Any]) -> Situation:
        """The same with further values; None among them is unknown.

        What was unknown before, terms among them, is worked out again.
        """
        more = {word: value for word, value in values.items() if value is not None}
        return Situation({**self, **more}, self._terms, self._provide)

    def known(self, word: str) -> Any:
        if word in self._unknown:
            return None
        try:
            return self[word]
        except Unknown:
            return None

    def truth(self, term: Term) -> Truth:
        held: Truth = self.known(term.name)
        return held
