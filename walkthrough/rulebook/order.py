"""The order in which questions are put: as the files state them, each behind the one it follows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from walkthrough.rulebook.declarations import Question


def in_order(questions: Mapping[str, Question]) -> dict[str, Question]:
    """The same questions; those that say `after` stand right behind the one that they name."""
    behind: dict[str, list[str]] = {}
    for name, question in questions.items():
        if question.after in questions:
            behind.setdefault(question.after, []).append(name)

    def with_what_follows(name: str) -> Iterator[str]:
        yield name
        for each in behind.get(name, ()):
            yield from with_what_follows(each)

    first = [name for name, each in questions.items() if each.after not in questions]
    placed = [each for name in first for each in with_what_follows(name)]
    # What follows itself in a circle stands where the file has it last.
    return {name: questions[name] for name in dict.fromkeys([*placed, *questions])}
