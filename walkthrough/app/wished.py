"""The firm and the prices of a record for this sitting: its plan and its reports share them."""

from __future__ import annotations

from pathlib import Path

from walkthrough.report.beside import firm_files, price_files, the_only, the_only_prices
from walkthrough.report.text import counted


class Wished:
    """What was chosen; as long as nothing was, what lies there and can only be meant for it."""

    def __init__(self, record: Path) -> None:
        self._record = record
        self._chosen: dict[str, Path | None] = {}

    @property
    def firm(self) -> Path | None:
        """The file of the firm whose name stands at the head; None for no name."""
        if "firm" in self._chosen:
            return self._chosen["firm"]
        return the_only(firm_files(self._record), self._record)

    @firm.setter
    def firm(self, path: Path | None) -> None:
        self._chosen["firm"] = path

    @property
    def prices(self) -> Path | None:
        """The list by which work is counted; None for the one that the command takes."""
        if "prices" in self._chosen:
            return self._chosen["prices"]
        return the_only_prices(self._record)

    @prices.setter
    def prices(self, path: Path | None) -> None:
        self._chosen["prices"] = path

    @property
    def lists(self) -> list[Path | None]:
        """The lists to choose from: the one that the command takes, then the user's own."""
        now = self.prices
        return list(dict.fromkeys([None, *price_files(self._record), now]))

    @property
    def unused(self) -> str:
        """Says that there are lists of one's own while another one counts; "" if none does."""
        own = len(price_files(self._record))
        if self.prices is not None or not own:
            return ""
        return f"{counted(own, 'list')} of your own to choose from"
