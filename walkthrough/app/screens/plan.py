"""The plan of corrections: what to do where, why and for how much, by scope, wish and prices."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from threading import Event
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import OptionList, Static

from walkthrough.app.plan_rows import Row, cautions, parts_list, rows, spent, total
from walkthrough.app.planning import (
    Asked,
    Shown,
    Stamp,
    View,
    all_of,
    planner_for,
    stamp,
    sum_of,
)
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import DetailedScreen
from walkthrough.app.wished import Wished
from walkthrough.remedy.actions import Actions
from walkthrough.remedy.load import load_actions
from walkthrough.report.plan_lists import material
from walkthrough.report.plan_words import preference
from walkthrough.report.text import clean, counted
from walkthrough.rulebook.problems import Unusable

_SECONDS_BETWEEN_LOOKS = 1.0


class PlanScreen(DetailedScreen):
    """Enter on a row goes to its subject. Nothing is written."""

    CSS = """
    PlanScreen #heading { height: 4; text-style: none; }
    PlanScreen OptionList, PlanScreen #detail { height: 1fr; }
    PlanScreen OptionList { text-wrap: nowrap; text-overflow: ellipsis; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(n), f"scope({n})", f"Scope {n}", show=False) for n in range(1, 10)),
        Binding("w", "wish", "Wish"),
        Binding("r", "prices", "Prices"),
        Binding("o", "order", "Order"),
        Binding("l", "parts", "Buy"),
        Binding("c", "cautions", "Cautions"),
        Binding("pagedown,space", "scroll_detail(1)", "More"),
    ]

    def __init__(self, record: Record, view: View, wished: Wished) -> None:
        super().__init__(record)
        self._view = view
        self._wished = wished
        # It may have been chosen for a report meanwhile.
        view.asked = replace(view.asked, prices=wished.prices)
        self._actions: Actions | None = None
        self._number = 0
        """The scope that was chosen before it was known which there are."""
        self._shown: Shown | None = None
        self._kept: dict[Asked, Shown] = {}
        self._rows: dict[str, Row] = {}
        self._stamp: Stamp | None = None
        self._wrong = ""
        self._instead = ""

    def on_mount(self) -> None:
        """Begin to work it out, with the cautions in view meanwhile."""
        self._tell()
        self._begin()
        self.set_interval(_SECONDS_BETWEEN_LOOKS, self._look_at_prices)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Show why, what it clears, and what is cheaper but fails."""
        event.stop()
        if event.option.id != self._view.row:
            # The parts list and the cautions stay until one goes on to another row.
            self._view.row, self._instead = event.option.id or "", ""
        self._tell()

    def chosen(self, id: str) -> None:
        """Go to the subject of the row."""
        key = self._rows[id].subject if id else None
        subject = self.record.subject(key) if key is not None else None
        if subject is not None:
            self.dismiss((subject, ""))

    def action_scope(self, number: int) -> None:
        """Clear more, or less."""
        if self._actions is None:
            self._number = number
        elif number <= len(self._actions.scopes):
            self._ask(replace(self._view.asked, scope=list(self._actions.scopes)[number - 1]))

    def action_wish(self) -> None:
        """Follow the next wish wherever it can be; after the last one the cheapest again."""
        plain = self._kept.get(self._view.asked.plain)
        if plain is None or plain.cheapest is None:
            if not self._wrong:
                self.notify("The other ways are still being worked out.")
            return
        names = ["", *(each.name for each in plain.cheapest.preferences)]
        at = names.index(self._view.asked.prefer) if self._view.asked.prefer in names else 0
        self._ask(replace(self._view.asked, prefer=names[(at + 1) % len(names)]))

    def action_prices(self) -> None:
        """Take the next list of prices; a report is counted by it as well."""
        lists = self._wished.lists
        if len(lists) == 1:
            self.notify("There is one list only. Yours: prices-NAME.toml beside the record")
            return
        at = lists.index(self._view.asked.prices) if self._view.asked.prices in lists else 0
        self._wished.prices = lists[(at + 1) % len(lists)]
        self._ask(replace(self._view.asked, prices=self._wished.prices))

    def action_order(self) -> None:
        """The gravest first, or as in the record."""
        self._view.by_gravity = not self._view.by_gravity
        self._list()

    def action_parts(self) -> None:
        """What to buy, instead of the row in hand, and back."""
        self._instead = "" if self._instead == "parts" else "parts"
        self._tell()

    def action_cautions(self) -> None:
        """The cautions, instead of the row in hand, and back."""
        self._instead = "" if self._instead == "cautions" else "cautions"
        self._tell()

    def _tell(self) -> None:
        row = self._rows.get(self._view.row)
        if self._instead == "parts" and self._shown is not None:
            self.detail(*parts_list(self._shown.plan))
        elif self._wrong and not self._instead:
            self.detail(*(Content(clean(each)) for each in self._wrong.splitlines()))
        elif self._instead == "cautions" or row is None:
            self.detail(*cautions())
        else:
            self.detail(*row.detail)

    def _ask(self, asked: Asked) -> None:
        if asked != self._view.asked:
            self._view.asked = asked
            self._begin()

    def _begin(self) -> None:
        self._wrong = ""
        self._work_out()
        self._head()

    @work(exclusive=True, group="plan")
    async def _work_out(self) -> None:
        gone = Event()
        # A copy: the record may be saved or judged while the other thread reads.
        session, books = self.record.session.model_copy(deep=True), self.record.books
        try:
            if self._actions is None:
                self._actions = await asyncio.to_thread(load_actions, books[0])
                if self._number:
                    self.action_scope(self._number)
            asked = self._view.asked
            if asked not in self._kept:
                self._stamp = await asyncio.to_thread(stamp, asked.prices)
                planner = await asyncio.to_thread(
                    planner_for, session, books, self._actions, asked, gone
                )
                self._take(await asyncio.to_thread(sum_of, planner, asked))
                plain = self._kept.get(asked.plain)
                cheapest = plain.cheapest if plain is not None else None
                found = await asyncio.to_thread(all_of, planner, asked, cheapest)
                if found.cheapest is not None:
                    self._kept[asked.plain] = Shown(asked.plain, found.cheapest, found.cheapest)
                self._kept[asked] = found
            self._take(self._kept[asked])
        except Unusable as error:
            self._wrong = str(error)
            self._head()
            self._instead = ""
            self._tell()
        finally:
            gone.set()

    @work(exclusive=True, group="prices")
    async def _look_at_prices(self) -> None:
        """Work it out anew where the list of prices was changed."""
        before, asked = self._stamp, self._view.asked
        now = await asyncio.to_thread(stamp, asked.prices)
        if before is not None and asked == self._view.asked and now not in (before, None):
            self._stamp = now
            self._kept.clear()
            self._begin()

    def _take(self, shown: Shown) -> None:
        self._shown = shown
        self._list()
        self._head()

    def _list(self) -> None:
        if self._shown is not None:
            found = rows(self._shown, self._view.by_gravity)
            self._rows = {each.id: each for each in found}
            self.fill([(each.id, each.text) for each in found], self._view.row)

    def _head(self) -> None:
        lines = (self._sum(), self._scopes(), self._wish(), self._list_of_prices())
        first, *others = (clean(each) for each in lines)
        text = Content("\n").join([Content.assemble((first, "bold")), *map(Content, others)])
        self.query_one("#heading", Static).update(text)

    def _sum(self) -> str:
        shown, asked = self._shown, self._view.asked
        if self._wrong:
            return f"Not worked out: {self._wrong.splitlines()[0]}"
        if shown is None:
            return f"working out '{asked.scope}' ..."
        plan = shown.plan
        named = " + ".join(each.id for each in plan.planner.books)
        told = f"{total(plan.items)} {plan.planner.prices.currency}"
        if shown.asked != asked:
            return f"working out {_differs(shown.asked, asked)} ...  (below still: {told})"
        parts = material(plan.items)
        of_parts = "parts: ask" if isinstance(parts, str) else f"parts {parts:,.2f}"
        left = f"  NOT SOLVED: {len(plan.unsolved)}" if plan.unsolved else ""
        more = "" if shown.cheapest else "  working out the other ways ..."
        return f"{told}  {of_parts}, {spent(plan.items)}  {named}{left}{more}"

    def _scopes(self) -> str:
        if self._actions is None:
            return f"Scope: {self._view.asked.scope}"
        named = (
            f"[{n} {name}]" if name == self._view.asked.scope else f" {n} {name} "
            for n, name in enumerate(self._actions.scopes, 1)
        )
        scope = self._actions.scopes.get(self._view.asked.scope)
        return f"Scope:{''.join(named)} {scope.title if scope else ''}"

    def _wish(self) -> str:
        asked = self._view.asked
        plain = self._kept.get(asked.plain)
        known = plain.cheapest.preferences if plain is not None and plain.cheapest else ()
        if not asked.prefer:
            count = f"; {counted(len(known), 'other wish', 'other wishes')} (w)" if known else ""
            return f"Wish: the cheapest{count}"
        for number, each in enumerate(known, 1):
            if each.name == asked.prefer:
                return f"Wish {number} of {len(known)}: {preference(each)}"
        return f"Wish: {asked.prefer}"

    def _list_of_prices(self) -> str:
        shown = self._shown
        if shown is None or shown.asked.prices != self._view.asked.prices:
            return "Prices: being read ..."
        prices = shown.plan.planner.prices
        whose = "DEMONSTRATION, NO OFFER" if prices.demonstration else "your own"
        path = self._view.asked.prices
        named = f" ({path.name})" if path is not None else ""
        other = f" (r: {self._wished.unused})" if self._wished.unused else ""
        rate = f"labor {prices.labor_per_hour:.2f} per hour"
        return f"Prices of {prices.date}, {whose}{other}: {prices.title}{named}, {rate}"


def _differs(old: Asked, new: Asked) -> str:
    """What is asked for now and was not before."""
    if old.scope != new.scope:
        return f"'{new.scope}'"
    return f"'{new.prefer or 'the cheapest'}'" if old.prefer != new.prefer else "with other prices"
