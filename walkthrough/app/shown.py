"""What trip tests show of the wiring of a circuit, in words, and how it gets into the record."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from walkthrough.app.feeds import is_fed_through
from walkthrough.app.fields import FIELD
from walkthrough.app.record import Record
from walkthrough.report.text import joined
from walkthrough.survey.model import PANEL, Circuit
from walkthrough.trade.inference import Inference, Place
from walkthrough.trade.trip_tests import Order, order_shown

_FACES = {
    "goes dead": "its own face goes dead",
    "stays live": "its own face stays LIVE",
    "not seen": "its own face was not looked at",
}


def in_lines(told: Inference) -> Iterator[tuple[str, str]]:
    """A device and what its TEST switches off, then what no test reaches: an outlet and a line."""
    if told.conflicts:
        yield "", "Nothing follows from the trip tests until it is clear which of them is right."
        return
    if not told.faces:
        return
    yield "", "What the trip tests show; the order of what goes off together they do not:"
    places = {place.outlet: place for place in told.places}
    shown = list(_below(told, places, ""))
    yield from shown
    ids = {id for id, _ in shown}
    for device in told.faces:
        if device not in ids:
            # In the reach of several, of which it is not known which is inside which.
            yield device, _device(told, places[device], "  ")
    apart = [
        each.outlet
        for each in told.places
        if not (each.within or each.perhaps or each.outlet in told.faces)
    ]
    if apart:
        yield apart[0], f"  no TEST switches off {', '.join(apart)}"


def beside(told: Inference, place: Place) -> str:
    """With which device one outlet goes off."""
    sure = f"goes off with {' and '.join(place.nearest)}" if place.nearest else ""
    perhaps = f"perhaps with {' or '.join(place.perhaps)}" if place.perhaps else ""
    other = "other " if place.outlet in told.faces else ""
    return joined((sure, perhaps)) or f"no {other}TEST switches it off"


def offers(record: Record, circuit: Circuit, told: Inference) -> list[Order]:
    """Feeds that follow from the tests and that the record can take."""
    return [
        each
        for each in order_shown(record.house.tracer, circuit, told)
        if not is_fed_through(record.session, each.fed_from, each.outlet)
    ]


def offer_in_words(record: Record, order: Order) -> str:
    """What would be taken over."""
    fed = "straight from the panel" if order.fed_from == PANEL else f"from {order.fed_from}"
    side = ", on its LOAD" if order.side == "load" else ""
    name = record.session.reference(order.outlet)
    return f"{name} is fed {fed}{side}: worked out (t takes it over)"


def take_over(record: Record, orders: Collection[Order]) -> None:
    """Put feeds that follow from the tests into the record, as worked out, and save.

    They are not called observed: no test shows that nothing unrecorded is in between.
    """
    for each in orders:
        each.outlet.fed_from = each.fed_from
        each.outlet.side = each.side
        each.outlet.order_known_by = "inferred"
        record.note(each.outlet, FIELD + "fed_from")
    record.changed()


def _below(
    told: Inference, places: dict[str, Place], above: str, left: str = "  "
) -> Iterator[tuple[str, str]]:
    for device in told.faces:
        place = places[device]
        if place.nearest == ((above,) if above else ()):
            yield device, _device(told, place, left)
            yield from _below(told, places, device, left + "  ")


def _device(told: Inference, place: Place, left: str) -> str:
    device = place.outlet
    sure = ", ".join(told.reach(device))
    perhaps = ", ".join(each.outlet for each in told.places if device in each.perhaps)
    if not (sure or perhaps) and told.faces[device] == "stays live":
        return f"{left}{device}: its TEST does nothing"
    says = (
        _FACES[told.faces[device]],
        f"with it {sure}" if sure else "" if perhaps else "nothing else",
        f"not known of {perhaps}" if perhaps else "",
    )
    return f"{left}{device}: {joined(says, '; ')}"
