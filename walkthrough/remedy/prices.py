"""Price lists: what an item costs in cents, or that its price has to be asked for."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from walkthrough.remedy.declarations import FORMAT, PriceDeclared, PricesDeclared
from walkthrough.remedy.files import remedy_file
from walkthrough.rulebook.files import read_toml, ruleset_folders
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.locate import locate
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.rulebook.validation import field_names, problems_from

DEMONSTRATION = "prices-demo.toml"


@dataclass(frozen=True)
class Price:
    """One item: `cents` is the whole of it; None where the price has to be asked for."""

    code: str
    what: str
    material: float | None
    minutes: float | None
    cents: int | None
    low_cents: int | None
    high_cents: int | None


@dataclass(frozen=True)
class Prices:
    """A price list, with the day to which it belongs.

    `demonstration`: these are the round figures that are shipped, and nobody's own.
    """

    title: str
    currency: str
    date: datetime.date
    labor_per_hour: float
    items: Mapping[str, Price]
    demonstration: bool = False

    def of(self, code: str) -> Price:
        """The price of an item; one that is not in the list has to be asked for."""
        return self.items.get(code) or Price(code, "", None, None, None, None, None)


def load_prices(path: Path | None, codes: Collection[str]) -> Prices:
    """Read a price list, the demonstration's without a path; raises Unusable with every slip.

    `codes` are the items that the actions know: another one is a slip of the pen.
    """
    own = path is not None
    path = path or remedy_file(DEMONSTRATION)
    shipped = not own and path.parents[1] != ruleset_folders()[0]
    data, text = read_toml(path)
    if data.get("format", FORMAT) != FORMAT:
        message = f"format is {data['format']!r}; this program reads format {FORMAT}"
        raise Unusable([Problem(str(path), *locate(text, ("format",)), message)])
    try:
        declared = PricesDeclared.model_validate(data)
    except ValidationError as error:
        raise Unusable(problems_from(error, text, str(path), _fields_at)) from None
    unknown = [
        Problem(
            str(path),
            *locate(text, ("price", code)),
            f"no action has the price '{code}'; {nearest(code, codes)}",
        )
        for code in declared.price
        if code not in codes
    ]
    if unknown:
        raise Unusable(unknown)
    rate = declared.labor_per_hour
    return Prices(
        declared.title,
        declared.currency,
        declared.date,
        rate,
        {code: _price(code, each, rate) for code, each in declared.price.items()},
        shipped,
    )


def _price(code: str, declared: PriceDeclared, rate: float) -> Price:
    if declared.ask:
        return Price(code, declared.what, None, None, None, None, None)
    cents = round(100 * declared.material + 100 * declared.minutes * rate / 60)
    low = cents if declared.low is None else round(100 * declared.low)
    high = cents if declared.high is None else round(100 * declared.high)
    return Price(code, declared.what, declared.material, declared.minutes, cents, low, high)


def _fields_at(path: TomlPath) -> tuple[str, ...]:
    if not path:
        return field_names(PricesDeclared)
    return field_names(PriceDeclared) if path[0] == "price" and len(path) > 1 else ()
