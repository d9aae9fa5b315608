"""What is drawn from a plan: the sums, the shopping list, the labels and the panel schedule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from walkthrough.judge.judge import SEVERITIES
from walkthrough.remedy.items import Item, asked, known_cents
from walkthrough.remedy.plan import Plan
from walkthrough.remedy.prices import Price
from walkthrough.remedy.work import applied
from walkthrough.rulebook.explain import spoken
from walkthrough.survey.model import Session

ASK = "ask"
Money = float | str


@dataclass(frozen=True)
class Line:
    """One line of the shopping list."""

    price: Price
    count: int
    does: str = ""

    @property
    def what(self) -> str:
        """What it is by the price list; where that is silent, what it is for."""
        return self.price.what or self.does

    @property
    def material(self) -> Money:
        return ASK if self.price.material is None else round(self.count * self.price.material, 2)


@dataclass(frozen=True)
class Slot:
    """One circuit in the panel schedule, before and after the work."""

    circuit: str
    serves: str
    before: str
    after: str


def money(items: Sequence[Item]) -> Money:
    """The sum in units of the currency; "ask" where one of the prices is not known."""
    return ASK if asked(items) else known_cents(items) / 100


def material(items: Sequence[Item]) -> Money:
    """The cost of the parts; "ask" where one of the prices is not known."""
    return ASK if asked(items) else round(sum(each.price.material or 0 for each in items), 2)


def minutes(items: Sequence[Item]) -> Money:
    """The time of the work; "ask" where one of the prices is not known."""
    return ASK if asked(items) else sum(each.price.minutes or 0 for each in items)


def span(items: Sequence[Item]) -> tuple[Money, Money]:
    """The sum at the low and at the high end of the prices; "ask" where one is not known."""
    if asked(items):
        return ASK, ASK
    low = sum(each.price.low_cents or 0 for each in items)
    return low / 100, sum(each.price.high_cents or 0 for each in items) / 100


def offer_text(plan: Plan) -> list[str]:
    """What to hand to those who make an offer, so that offers compare."""
    planner = plan.planner
    named = " and ".join(each.title for each in planner.books)
    text = (
        f"Every deficiency of the scope '{planner.scope}' under {named} is to be "
        "cleared, on the circuits named. Other means are welcome where nothing of the scope is "
        "left afterwards. Please name for each circuit: parts, hours, price; and what is left out. "
        "The work ends with a TEST of every protective device that was put in or rewired."
    )
    parts = [
        f"{part.name}: " + "; ".join(f"{each.done.at}: {_in_full(each)}" for each in part.items)
        for part in plan.parts
        if part.items
    ]
    return [text, *parts]


def _in_full(item: Item) -> str:
    """What is done, with what is done besides: an offer leaves out what it was not asked for."""
    besides = ", ".join(each.does for each in item.besides if each.does)
    does = item.action.declared.does
    return f"{does} ({besides})" if besides else does


@dataclass(frozen=True)
class Unasked:
    """A question behind which a danger may stand that no plan was made for, and where."""

    question: str
    ask: str
    subjects: tuple[str, ...]


def open_dangers(plan: Plan) -> list[Unasked]:
    """What has to be told before anybody can say that no danger is left."""
    found: dict[str, dict[str, None]] = {}
    asks: dict[str, str] = {}
    for judgement in plan.planner.judges.found:
        for verdict in judgement.undecided:
            if verdict.decision.rule.declared.severity == SEVERITIES[0]:
                for subject, question in verdict.asks:
                    found.setdefault(question, {})[subject] = None
                    asks.setdefault(question, judgement.asked(question))
    return [Unasked(each, asks[each], tuple(at)) for each, at in found.items()]


def shopping(plan: Plan) -> list[Line]:
    """Every part with how often it is needed; work without a part is left out."""
    counted = Counter(each.price.code for each in plan.items)
    first = {each.price.code: each for each in reversed(plan.items)}
    return [
        Line(first[code].price, count, first[code].action.declared.does)
        for code, count in sorted(counted.items())
        if first[code].price.material != 0
    ]


def labels(plan: Plan) -> list[tuple[str, str]]:
    """Every mark to put on: where, and its text."""
    return [(each.done.at, text) for each in plan.items for text in each.labels]


def schedule(plan: Plan) -> list[Slot]:
    """The panel schedule before and after; only circuits whose line changes."""
    session = plan.planner.session
    after = applied(session, plan.works, plan.planner.book.questions)
    slots = [
        Slot(
            session.reference(old),
            old.serves,
            _told(plan, session, place),
            _told(plan, after, place),
        )
        for place, old in enumerate(session.circuits)
    ]
    return [each for each in slots if each.before != each.after]


# Where the answer alone does not say what it is about.
_ABOUT = {"simultaneous_disconnect": "switched together with its partner: "}


def _told(plan: Plan, session: Session, place: int) -> str:
    circuit = session.circuits[place]
    book = plan.planner.book
    said = [
        _ABOUT.get(word, "") + spoken(word, circuit.answer(word), book)
        for word in ("breaker_amps", "breaker", "simultaneous_disconnect", "directory_entry")
        if circuit.answer(word) is not None
    ]
    return ", ".join(said)
