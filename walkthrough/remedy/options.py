"""What can be done at each place of a group of circuits, each way with its cost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from walkthrough.judge.house import House, SubjectKey
from walkthrough.remedy.actions import Action, Actions, Choice
from walkthrough.remedy.grow import grown
from walkthrough.remedy.local import Place, Ruled
from walkthrough.remedy.prices import Prices
from walkthrough.remedy.stream import Option, Stream
from walkthrough.remedy.sums import LEFT, RESIZED, weight
from walkthrough.remedy.tree import (
    Arriving,
    from_panel,
    own_cover,
    protection_words,
)
from walkthrough.remedy.work import Changes
from walkthrough.survey.model import Circuit, Outlet

AT_ORIGIN = "afci_at_origin"
AT_FIRST = "afci_at_first_receptacle"
AFCI = "afci"


@dataclass(frozen=True)
class Head:
    """What is done at the panel for one circuit, and what that gives to its outlets.

    `first`: every first receptacle of it has to be an AFCI.
    """

    circuit: Circuit
    option: Option
    around: tuple[tuple[str, Any], ...]
    arriving: Arriving
    first: bool


class Bench:
    """The places of a group of circuits, and what can be done there under a choice.

    Outlets that are alike share a place. With `leave`, rules may be left broken. Unless `every` is
    asked for, an option is dropped where a cheaper one gives the same to what hangs on it: it is
    in no cheapest plan.
    """

    def __init__(
        self,
        house: House,
        places: Mapping[SubjectKey, Place],
        actions: Actions,
        prices: Prices,
        choice: Choice | None = None,
        leave: bool = False,
        every: bool = False,
    ) -> None:
        self.house, self.actions, self.prices, self.choice = house, actions, prices, choice
        self.leave = leave
        self.every = every
        self.refused: dict[tuple[str, str], list[Ruled]] = {}
        self.places = places
        self._options: dict[Any, Stream] = {}
        self._covers: dict[Any, Arriving] = {}
        self._words: dict[Any, dict[str, bool | None]] = {}
        self._grown: dict[Any, tuple[tuple[tuple[Action, ...], Changes, frozenset[str]], ...]] = {}
        self._begun: dict[Place, tuple[list[tuple[int, tuple[Action, ...]]], list[Action]]] = {}
        self._floors: dict[tuple[Place, Any], int] = {}
        self._read = _words_read(self.places.values(), actions)

    def price(self, chosen: Iterable[Action]) -> int:
        """What actions cost, as one number that orders plans."""
        return weight(self.prices, chosen)

    def wants_own(self, outlet: Outlet) -> bool:
        """Whether the choice gives this outlet a protective device that serves it alone."""
        own = self.choice.own if self.choice else None
        return own is not None and own.truth(self.house.situation(outlet)) is True

    # ------------------------------------------------------------------------------ at the panel

    def shared(self) -> Iterator[tuple[Action, ...]]:
        """What can be done once for all circuits of the group."""
        yield ()
        here = (each for each in self.actions.at["circuit"] if each.declared.shared)
        yield from ((each,) for each in here if self._allowed(each))

    def heads(self, circuit: Circuit, shared: tuple[Action, ...]) -> Iterator[Head]:
        """Every way of dealing with a circuit at the panel, its outlets apart."""
        place = self.places[self.house.key(circuit)]
        steps = {each.place for each in shared}
        own = [e for e in place.here if not e.declared.shared and e.place not in steps]
        main = [each for each in own if self._allowed(each) and "breaker" in each.words]
        minor = [each for each in own if self._allowed(each) and each not in main]
        firsts = [False]
        if any(AT_FIRST in rule.words for rule in place.rules) and self._order_known(circuit):
            firsts.append(True)
        for first in firsts:

            def words(changes: Changes, first: bool = first) -> dict[str, Any]:
                given = from_panel(self.house, circuit, changes)
                return {AT_ORIGIN: any(e.kind == AFCI for e in given), AT_FIRST: first}

            for each in (None, *main):
                start = tuple(sorted((*shared, *([each] if each else ())), key=_step))
                refused = self.refused.setdefault(self.house.key(circuit), [])
                for chosen, changes, left in grown(
                    place, start, (), words, minor, refused, self.leave
                ):
                    cost = self.price(e for e in chosen if e not in shared) + LEFT * len(left)
                    amps = changes.get("breaker_amps", circuit.answer("breaker_amps"))
                    cost += RESIZED * (amps != circuit.answer("breaker_amps"))
                    around = tuple(
                        (word, value)
                        for word, value in sorted(changes.items())
                        if word in self._read and self.house.recorded(circuit, word) != value
                    )
                    option = Option(cost, chosen, changes, left=left)
                    yield Head(
                        circuit, option, around, from_panel(self.house, circuit, changes), first
                    )

    def _order_known(self, circuit: Circuit) -> bool:
        wiring = self.house.wiring
        return all(wiring.path_is_known(each) for each in wiring.on(circuit))

    # ------------------------------------------------------------------------------ at an outlet

    def options(
        self, outlet: Outlet, around: tuple[tuple[str, Any], ...], arriving: Arriving, first: bool
    ) -> Stream:
        """Every way of dealing with an outlet, the cheapest first; `first`: it must be an AFCI."""
        key = (self.places[self.house.key(outlet)], around, arriving, first)
        if key not in self._options:
            made = self._made(outlet, around, arriving)
            self._options[key] = Stream(
                (least, each)
                for least, each in made
                if each is None
                or not (first and each.receptacle)
                or any(c.kind == AFCI for c in each.own)
            )
        return self._options[key]

    def _made(
        self, outlet: Outlet, around: tuple[tuple[str, Any], ...], arriving: Arriving
    ) -> Iterator[tuple[int, Option | None]]:
        """The options by what they begin with, the cheapest first; each beginning is announced."""
        house, place = self.house, self.places[self.house.key(outlet)]
        room = outlet.room if self.choice and self.choice.declared.local else ""
        starts, minor = self._starts(place)
        refused = self.refused.setdefault(house.key(outlet), [])

        def words(changes: Changes) -> dict[str, bool | None]:
            own = self._own(place, outlet, changes, room)
            key = (id(outlet), own, arriving)
            if key not in self._words:
                self._words[key] = protection_words(house, outlet, own, arriving)
            return self._words[key]

        given: dict[Any, int] = {}
        for price, start in starts:
            yield price, None
            changes, ruled = place.perform(start, around)
            if any(each.declared.removes for each in start):
                if ruled is None:
                    yield price, Option(price, start, changes)
                continue
            if ruled is None and not self.every:
                # All that hangs here meets the same, and something cheaper gives it already.
                gives = self._gives(place, outlet, changes, arriving, room)
                if given.get(gives, LEFT) <= price:
                    continue
            # What arrives matters only by the words it makes: other arrivals make the same.
            key = (place, start, around, ruled is None, tuple(words(changes).items()))
            if ruled is not None or key not in self._grown:
                self._grown[key] = tuple(
                    grown(place, start, around, words, minor, refused, self.leave)
                )
            for chosen, after, left in self._grown[key]:
                own = self._own(place, outlet, after, room)
                if not self._suits(outlet, own, arriving):
                    continue
                cost = self.price(chosen) + LEFT * len(left)
                wires = any(each.declared.wires for each in chosen)
                gives = self._gives(place, outlet, after, arriving, room)
                if wires or own <= arriving:
                    given[gives] = min(cost, given.get(gives, cost))
                yield price, Option(cost, chosen, after, own, wires, gives[2], left)

    def floor(self, outlet: Outlet, around: tuple[tuple[str, Any], ...]) -> int:
        """What work at an outlet costs at least, whatever protection arrives there."""
        place = self.places[self.house.key(outlet)]
        if (place, around) not in self._floors:
            least = LEFT
            starts, minor = self._starts(place)
            for price, start in starts:
                if price >= least:
                    break
                if any(each.declared.removes for each in start):
                    least = price if place.perform(start, around)[1] is None else least
                    continue
                ways = grown(place, start, around, lambda _: None, minor, [], self.leave)
                for chosen, _, left in ways:
                    # Where rules may be left, the first set has the fewest, and may be dear.
                    cost = price + LEFT * len(left) if self.leave else self.price(chosen)
                    least = min(least, cost)
            self._floors[place, around] = least
        return self._floors[place, around]

    def _own(self, place: Place, outlet: Outlet, changes: Changes, room: str) -> Arriving:
        """What the device of an outlet gives after changes."""
        key = (place, changes.get("device", 0), changes.get("test_result", 0), room)
        if key not in self._covers:
            self._covers[key] = own_cover(self.house, outlet, changes, room)
        return self._covers[key]

    def _starts(self, place: Place) -> tuple[list[tuple[int, tuple[Action, ...]]], list[Action]]:
        """What work at a place can begin with, by its price, and what can be added to it."""
        if place not in self._begun:
            here = [each for each in place.here if self._allowed(each)]
            main = [each for each in here if each.declared.wires or each.declared.removes]
            starts = [(), *((each,) for each in main)]
            priced = sorted(((self.price(each), each) for each in starts), key=lambda e: e[0])
            self._begun[place] = priced, [each for each in here if each not in main]
        return self._begun[place]

    def _gives(
        self, place: Place, outlet: Outlet, changes: Changes, arriving: Arriving, room: str
    ) -> tuple[Arriving, bool, bool]:
        """What hangs on a place can get, whether it is an AFCI, and whether a receptacle."""
        own = self._own(place, outlet, changes, room)
        point = str(changes.get("point", outlet.answer("point")))
        receptacle = point in self.house.tracer.receptacle_points
        return own | arriving, any(each.kind == AFCI for each in own), receptacle

    def _suits(self, outlet: Outlet, own: Arriving, arriving: Arriving) -> bool:
        """Whether protection comes here as the choice wants it."""
        if self.choice is None:
            return True
        declared = self.choice.declared
        if declared.no_series and {each.kind for each in own} & {each.kind for each in arriving}:
            return False
        if arriving and self.wants_own(outlet):
            return False
        both = [each for each in own | arriving if each.kind in declared.local]
        here = {each.kind for each in both if each.room == outlet.room}
        return here == {each.kind for each in both}

    def _allowed(self, action: Action) -> bool:
        without = self.choice.declared.without if self.choice else ()
        return not set(without) & set(action.declared.tags)


def _step(action: Action) -> int:
    return action.place


def _words_read(places: Iterable[Place], actions: Actions) -> frozenset[str]:
    """The words that anything at an outlet reads: only these tell circuits apart there."""
    found = {
        word
        for place in places
        if place.subject.of == "outlet"
        for e in place.rules
        for word in e.words
    }
    for each in actions.at["outlet"]:
        found.update(*(clause.words for clause in (*each.needs, *each.bars)))
        found.update(word for change in each.changes for word in change.words)
    return frozenset(found)
