"""The box-fill sheet: what is in an opened box, and below it the sum of its fill."""

from __future__ import annotations

from collections.abc import Iterable

from walkthrough.app.box_sheet import lines_of, told
from walkthrough.app.record import Record
from walkthrough.app.screens.sheet import SheetScreen
from walkthrough.survey.model import Outlet


class BoxScreen(SheetScreen):
    """The sum grows with each line."""

    about = "Box"

    def __init__(self, record: Record, outlet: Outlet) -> None:
        super().__init__(record, outlet, lines_of(record, outlet))
        self._outlet = outlet

    def told(self) -> Iterable[str]:
        """The verdict and the steps of the sum."""
        return told(self.record, self._outlet)
