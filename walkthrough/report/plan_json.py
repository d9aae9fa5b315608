"""A plan in the JSON form that other programs rely on: keys are added, never renamed."""

from __future__ import annotations

import math
from typing import Any

from walkthrough.remedy.budget import Budget
from walkthrough.remedy.items import Item, asked, known_cents
from walkthrough.remedy.judges import Breach
from walkthrough.remedy.plan import Alternative, Part, Plan
from walkthrough.remedy.planner import Left
from walkthrough.remedy.sums import Difference
from walkthrough.report.plan_lists import (
    ASK,
    labels,
    material,
    minutes,
    money,
    offer_text,
    open_dangers,
    schedule,
    shopping,
    span,
)
from walkthrough.report.plan_words import besides, put


def plan_json(plan: Plan, budget: Budget | None = None) -> dict[str, Any]:
    """The whole plan; a price that is not known is the word "ask", never 0."""
    planner, prices, items = plan.planner, plan.planner.prices, plan.items
    return {
        **({} if budget is None else {"budget": _budget(budget, planner.scope)}),
        "session": planner.record.title,
        "ruleset": {"id": planner.book.id, "fingerprint": planner.book.fingerprint},
        "rulesets": [each.id for each in planner.books],
        "scope": planner.scope,
        "scope_title": planner.actions.scopes[planner.scope].title,
        "day": planner.day.isoformat(),
        "prices": {
            "title": prices.title,
            "date": prices.date.isoformat(),
            "demonstration": prices.demonstration,
        },
        "total": money(items),
        "total_known": known_cents(items) / 100,
        "total_low": span(items)[0],
        "total_high": span(items)[1],
        "currency": prices.currency,
        "material": material(items),
        "minutes": minutes(items),
        "asks": asked(items),
        "proven": plan.proven,
        "circuits": [_part(plan, each) for each in plan.parts],
        "order": [each.name for each in plan.in_order],
        "preferences": [
            {
                "choice": each.name,
                "title": each.title,
                **({"difference": None} if each.more is None else _difference(each.more)),
                "not_possible_at": list(each.barred),
            }
            for each in plan.preferences
        ],
        "shopping_list": [
            {
                "code": each.price.code,
                "what": each.what,
                "count": each.count,
                "material": each.material,
            }
            for each in shopping(plan)
        ],
        "labels": [{"at": at, "text": text} for at, text in labels(plan)],
        "offer_text": offer_text(plan),
        "panel_schedule": [
            {"circuit": e.circuit, "serves": e.serves, "before": e.before, "after": e.after}
            for e in schedule(plan)
        ],
        "assumed": [
            {
                "outlet": each.outlet,
                "question": each.word,
                "answer": _plain(each.value),
                **dict(zip(("ask", "told"), put(plan, each), strict=True)),
            }
            for each in planner.assumptions
        ],
        "disputed": [
            {"of": e.of, "subject": e.subject, "rule": e.decision.rule.id}
            for e in planner.judges.disputed
        ],
        "undecided": [
            {"of": e.of, "subject": e.subject, "rule": e.decision.rule.id}
            for e in planner.judges.undecided
        ],
        "open_dangers": [
            {"question": e.question, "ask": e.ask, "subjects": list(e.subjects)}
            for e in open_dangers(plan)
        ],
        "cleared": [
            {"of": of, "subject": subject, "rule": rule}
            for of, subject, rule in sorted(plan.cleared)
        ],
        "unsolved": [_left(each) for each in plan.unsolved],
    }


def _part(plan: Plan, part: Part) -> dict[str, Any]:
    return {
        "circuit": part.name,
        "circuits": list(part.names),
        "panel": part.panel,
        "cost": money(part.items),
        "cost_known": known_cents(part.items) / 100,
        "material": material(part.items),
        "minutes": minutes(part.items),
        "proven": part.solved.proven,
        "choice": part.chosen,
        "actions": [_item(each) for each in part.items],
        "alternatives": [_alternative(part, each) for each in part.alternatives],
        "cheaper_but": [
            {
                "at": each.at,
                "code": each.price.code,
                "instead_of": each.instead_of,
                "cost": (each.price.cents or 0) / 100,
                "breaks": each.why,
            }
            for each in part.cheaper
        ],
        "after_opening": _opened(plan, part),
        "unsolved": [_left(each) for each in part.solved.left],
    }


def _opened(plan: Plan, part: Part) -> dict[str, Any] | None:
    if part.opened is None:
        return None
    opening = plan.planner.prices.of(plan.planner.actions.opening.price)
    return {
        "cost_then": money(part.opened_items),
        "first": part.opened.first,
        "behind": list(part.opened.behind),
        "opening": ASK if opening.cents is None else opening.cents / 100,
    }


def _budget(budget: Budget, scope: str) -> dict[str, Any]:
    return {
        "sum": budget.cents / 100,
        "spent": budget.spent / 100,
        "exact": budget.exact,
        "done": [
            {
                "circuit": each.name,
                "scope": scope,
                "cost": known_cents(each.items) / 100,
                "actions": [_item(item) for item in each.items],
                "clears": [_breach(one) for one in each.clears],
            }
            for each in budget.steps
        ],
        "open": [_breach(each) for each in budget.still],
    }


def _breach(each: Breach) -> dict[str, Any]:
    return {"of": each.key[0], "subject": each.key[1], "rule": each.key[2], "says": each.says}


def _item(item: Item) -> dict[str, Any]:
    known = item.price.cents is not None
    return {
        "at": item.done.at,
        "of": item.done.of,
        "code": item.price.code,
        "action": item.action.id,
        "does": item.action.declared.does,
        "material": item.price.material if known else ASK,
        "minutes": item.price.minutes if known else ASK,
        "cost": (item.price.cents or 0) / 100 if known else ASK,
        "load": list(item.load),
        "line": list(item.line),
        "labels": list(item.labels),
        "why": " ".join(item.why),
        "clears": list(item.reason.clears),
        "not_shown": list(item.reason.unshown),
        "test_first": list(item.tests_first),
        "brings": list(item.reason.brings),
        "opens": list(item.reason.opens),
        "besides": list(besides(item)),
        "notes": list(item.notes),
    }


def _alternative(part: Part, way: Alternative) -> dict[str, Any]:
    possible = way.possible
    cost = money(way.items) if possible else None
    return {
        "choice": way.name,
        "title": way.title,
        "possible": possible,
        "cost": cost,
        **(_difference(way.sum.less(part.sum)) if possible else {"difference": None}),
        "actions": [_item(each) for each in way.items] if possible else [],
        # What the plan clears is not told as unsolved: it is only not cleared in this way.
        "unsolved": [_left(e) for e in way.left if e.key in {o.key for o in part.solved.left}],
        "barred_by": list(way.bars),
    }


def _difference(found: Difference) -> dict[str, Any]:
    """What is known of a difference; None, and what has to be asked for, where that is not all."""
    return {
        "difference": found.cents / 100 if found.is_known else None,
        "difference_known": found.cents / 100,
        "asks_more": list(found.more),
        "asks_less": list(found.less),
    }


def _left(left: Left) -> dict[str, Any]:
    of, subject, rule = left.key
    return {
        "of": of,
        "subject": subject,
        "rule": rule,
        "cite": list(left.rule.declared.cite),
        "says": left.says,
        "clash": list(left.clash),
    }


def _plain(value: object) -> Any:
    if value == math.inf:
        return "none"
    return value if isinstance(value, bool | int | float | str | list) else str(value)
