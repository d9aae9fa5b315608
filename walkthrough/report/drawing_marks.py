"""What the drawings and tables of a report say of each outlet, in one mark and few words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from walkthrough.report.drawing import LETTERS
from walkthrough.report.text import joined

Data = Mapping[str, Any]

OUTLET = "outlet"
ROOM = "room"


@dataclass(frozen=True)
class Kind:
    """A kind of protection: the topic that asks for it, and the kind that is traced, or ""."""

    topic: str
    traced: str
    title: str

    @property
    def label(self) -> str:
        """Its short name."""
        return (self.topic or self.traced).upper()


@dataclass(frozen=True)
class Giver:
    """A device or a breaker that protects; an outlet and a circuit may be called alike."""

    of: str
    name: str

    def stands(self, data: Data) -> str:
        """Where it is; its name where it has no TEST button of its own."""
        places = {(each["of"], each["at"]): str(each["place"]) for each in data["devices"]}
        return places.get((self.of, self.name), self.name)


class Marks:
    """The outlets of a judged record, and what is the matter at each."""

    def __init__(self, data: Data) -> None:
        self.data = data
        self.outlets: dict[str, Data] = {each["id"]: each for each in data["outlets"]}

    @cached_property
    def found(self) -> dict[str, list[Data]]:
        """Outlet -> what was found there, gravest first."""
        found: dict[str, list[Data]] = {name: [] for name in self.outlets}
        for each in self.data["deficiencies"]:
            if each["of"] == OUTLET:
                found.setdefault(each["subject"], []).append(each)
        return found

    @cached_property
    def _not_tested(self) -> set[str]:
        # A circuit or a room may have the name of an outlet.
        return {e["subject"] for e in self.data["not_tested"] if e["of"] in (OUTLET, "")}

    def not_tested_in(self, room: Data) -> list[str]:
        """What was not tested or reached in a room: outlets, or the room for those not told."""
        inside = {(ROOM, room["id"]), *((OUTLET, each) for each in room["outlets"])}
        found = (e["subject"] for e in self.data["not_tested"] if (e["of"], e["subject"]) in inside)
        return list(dict.fromkeys(found))

    def not_tested_of(self, of: str) -> list[str]:
        """What was not tested or reached of a kind of subject."""
        found = (e["subject"] for e in self.data["not_tested"] if e["of"] == of)
        return list(dict.fromkeys(found))

    @cached_property
    def _open(self) -> set[str]:
        waiting = [*self.data["undecided"], *self.data["ask_the_ahj"]]
        return {each["subject"] for each in waiting if each.get("of", OUTLET) == OUTLET}

    def gravest(self, of: str, subject: str) -> str:
        """How grave the gravest is that was found at something, a key of `LETTERS`."""
        found: list[str] = [
            each["severity"]
            for each in self.data["deficiencies"]
            if (each["of"], each["subject"]) == (of, subject)
        ]
        return min(found, key=[*LETTERS].index, default="nothing")

    def word(self, outlet: str) -> str:
        """The gravest that is the matter at an outlet, a key of `LETTERS`.

        What was not tested may be worse than what was found there: `named` tells that as well.
        """
        gravest = self.gravest(OUTLET, outlet)
        if gravest != "nothing":
            return gravest
        if outlet in self._not_tested:
            return "not tested"
        return "open" if outlet in self._open else "nothing"

    def missed(self, outlet: str) -> str:
        """The letter of what was not reached or fully tested, where something was found as well."""
        is_missed = outlet in self._not_tested and self.word(outlet) != "not tested"
        return LETTERS["not tested"] if is_missed else ""

    def named(self, outlet: str) -> str:
        """The name of an outlet as it stands beside its mark."""
        return joined((outlet, self.missed(outlet)), " ")

    def topics(self, outlet: str) -> list[str]:
        """The topics of what was found at an outlet, each once, gravest first."""
        return list(dict.fromkeys(each["topic"] for each in self.found.get(outlet, ())))

    @cached_property
    def kinds(self) -> list[Kind]:
        """What an outlet may have to have, and what devices give, in the order of the rulesets."""
        told = self.data["protection"]
        return [Kind(each["topic"], each["kind"], each["title"]) for each in told]

    @cached_property
    def traced(self) -> list[Kind]:
        """The kinds that are traced along the wiring."""
        return [each for each in self.kinds if each.traced]

    def has(self, outlet: str, kind: Kind) -> str:
        """Whether there is protection of a kind: yes, no or unknown."""
        there = self.outlets[outlet]
        state = there["protected_by"].get(kind.traced, {}).get("state", "unknown")
        return str(there["has"].get(kind.topic, state))

    def is_asked(self, outlet: str, kind: Kind) -> bool:
        """Whether a ruleset asks for it there."""
        return bool(self.outlets[outlet]["requires"].get(kind.topic))

    def is_disputed(self, outlet: str, kind: Kind) -> bool:
        """Whether it is disputed that it is asked for there."""
        return bool(self.outlets[outlet]["disputed"].get(kind.topic))

    def by(self, outlet: str, kind: Kind) -> list[Giver]:
        """The devices and breakers that give it."""
        given = self.outlets[outlet]["protected_by"].get(kind.traced, {}).get("given_by", ())
        return [Giver(each["of"], each["subject"]) for each in given]

    def rooms(self) -> Iterator[tuple[Data, list[str]]]:
        """Each room with its outlets."""
        for room in self.data["rooms"]:
            yield room, list(room["outlets"])


def lettered(number: int) -> str:
    """a, b … z, aa, ab …: short names for the devices of one drawing."""
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("a") + rest) + letters
    return letters
