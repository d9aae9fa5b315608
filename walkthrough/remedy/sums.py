"""What items cost together: a sum that is known, and what has to be asked for besides."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from walkthrough.remedy.actions import Action
from walkthrough.remedy.prices import Price, Prices

# One number orders plans: cents, then the number of actions, then breakers of another size, then
# what hangs on LINE without need. An item without a price outweighs every sum, one that needs an
# offer every such item, and a rule left broken outweighs them all.
RESIZED = 50
ACTION = 100
CENT = ACTION * 1000
UNKNOWN = CENT * 10**9
OFFER = UNKNOWN * 10**4
LEFT = OFFER * 10**4


@dataclass(frozen=True)
class Difference:
    """How much more one sum is than another: `cents` of what has a price on both sides.

    `more` has to be asked for on this side only, `less` on the other only. Where either is there,
    nobody can say which of the two is dearer.
    """

    cents: int
    more: tuple[str, ...] = ()
    less: tuple[str, ...] = ()

    @property
    def is_known(self) -> bool:
        return not self.more and not self.less


@dataclass(frozen=True)
class Sum:
    """`cents` of all that has a price, and the codes of what has none, each as often as needed."""

    cents: int = 0
    asks: tuple[str, ...] = ()

    def less(self, other: Sum) -> Difference:
        """This sum less another one; what both ask for falls out."""
        mine, theirs = Counter(self.asks), Counter(other.asks)
        return Difference(
            self.cents - other.cents,
            tuple(sorted((mine - theirs).elements())),
            tuple(sorted((theirs - mine).elements())),
        )

    def plus(self, other: Sum) -> Sum:
        return Sum(self.cents + other.cents, tuple(sorted((*self.asks, *other.asks))))


def sum_of(prices: Iterable[Price]) -> Sum:
    """What items come to."""
    every = list(prices)
    return Sum(
        sum(each.cents or 0 for each in every),
        tuple(sorted(each.code for each in every if each.cents is None)),
    )


def weight(prices: Prices, chosen: Iterable[Action]) -> int:
    """What actions cost, as one number that orders plans."""
    total = 0
    for each in chosen:
        cents = prices.of(each.declared.price).cents
        unpriced = OFFER if each.declared.by_offer else UNKNOWN
        total += ACTION + (unpriced if cents is None else cents * CENT)
    return total
