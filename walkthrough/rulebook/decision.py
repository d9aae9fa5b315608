"""What one rule says of one subject."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from walkthrough.rulebook.declarations import FindingKind, Outcome

if TYPE_CHECKING:
    from walkthrough.rulebook.rulebook import Rule


class Decision(NamedTuple):
    """What a rule says of a subject.

    `demanded`: the rule applies here and is not excepted, whether or not it is fulfilled.
    `waits_for` are the base words that could still change an undecided outcome, and `asks` those
    of them that could still turn it into a deficiency or a dispute, or away from one; `excepted_by`
    are the sections of the exceptions that hold; `readings` the two sides of a dispute.
    """

    rule: Rule
    outcome: Outcome
    kind: FindingKind
    waits_for: tuple[str, ...] = ()
    excepted_by: tuple[str, ...] = ()
    readings: tuple[str, ...] = ()
    demanded: bool = False
    asks: tuple[str, ...] = ()
