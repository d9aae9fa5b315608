"""Which pictures stand in which report, and the same in words beside them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from walkthrough.report.drawing import Drawing
from walkthrough.report.drawing_editions import editions_drawn
from walkthrough.report.drawing_legend import marks_explained, wiring_explained
from walkthrough.report.drawing_marks import Marks
from walkthrough.report.drawing_resets import bare, resets_drawn
from walkthrough.report.drawing_rooms import BESIDES, room_name, rooms_drawn
from walkthrough.report.drawing_tree import Tree
from walkthrough.report.outlet_rows import OutletRow, outlet_rows
from walkthrough.report.text import joined

Data = Mapping[str, Any]


class Pictures:
    """The drawings of one judged record; each is worked out where a page asks for it."""

    def __init__(self, data: Data) -> None:
        self._data = data
        self._marks = Marks(data)

    @property
    def marks_explained(self) -> list[Drawing]:
        return marks_explained("marks")

    @property
    def wiring_explained(self) -> list[Drawing]:
        return wiring_explained(self._marks.traced, "lines")

    @property
    def rooms(self) -> list[Drawing]:
        """The rooms, with what was found in each."""
        return rooms_drawn(self._marks, "rooms")

    @property
    def room_rows(self) -> list[tuple[str, Data, list[str], list[str]]]:
        """Each room with its counts, where something was found, and what was not tested there.

        What is in no room stands behind.
        """
        return [
            *(
                (
                    room_name(room),
                    room["by_severity"],
                    [each for each in outlets if self._marks.topics(each)],
                    self._marks.not_tested_in(room),
                )
                for room, outlets in self._marks.rooms()
            ),
            *(
                (
                    BESIDES[each["of"]],
                    each["by_severity"],
                    each["subjects"],
                    self._marks.not_tested_of(each["of"]),
                )
                for each in self._data["besides_rooms"]
            ),
        ]

    @property
    def resets(self) -> list[Drawing]:
        """Which device covers which outlets."""
        return resets_drawn(self._marks, "resets")

    @property
    def uncovered(self) -> dict[str, list[str]]:
        """Kind of protection -> the outlets that ask for it and have no device that is known."""
        bares = ((kind.label, bare(self._marks, kind)) for kind in self._marks.traced)
        return {label: names for label, names in bares if names}

    @property
    def reset_rows(self) -> list[Data]:
        """The outlets that are covered: for each kind of protection by what, and where that is."""
        rows = (
            {
                "outlet": name,
                "at": joined((each["room"], each["at"])),
                "covered": [
                    (kind.label, by.stands(self._data))
                    for kind in self._marks.traced
                    for by in self._marks.by(name, kind)
                ],
            }
            for name, each in self._marks.outlets.items()
        )
        return [each for each in rows if each["covered"]]

    @property
    def editions(self) -> list[Drawing]:
        """What is found under each of several rulesets."""
        return editions_drawn(self._data, "editions")

    @cached_property
    def topics(self) -> list[str]:
        """Every topic of which something was found, under whichever ruleset."""
        return sorted({topic for each in self._data["rulesets"] for topic in each["by_topic"]})

    @property
    def kinds(self) -> list[str]:
        """What an outlet may have to have: the heads of the columns of `outlets`."""
        return [each.label for each in self._marks.kinds]

    def wiring(self, circuit: Data) -> list[Drawing]:
        """The wiring of one circuit."""
        number = self._data["circuits"].index(circuit) + 1
        return Tree(self._marks, circuit).drawn(f"wiring-{number}")

    def outlets(self, circuit: Data) -> list[OutletRow]:
        """Its outlets as rows of a table."""
        return outlet_rows(self._marks, circuit)
