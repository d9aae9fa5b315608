"""What report and screen say alike about a plan: a sum, a time, another way, a cheaper part."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from walkthrough.remedy.assume import Assumption
from walkthrough.remedy.items import Item, asked, known_cents
from walkthrough.remedy.plan import Alternative, Part, Plan, Preference
from walkthrough.remedy.planner import Left
from walkthrough.remedy.reasons import Cheaper, worded
from walkthrough.remedy.sums import Difference
from walkthrough.report.plan_lists import money
from walkthrough.report.text import counted
from walkthrough.rulebook.explain import spoken

NO_OFFER = (
    "A calculation from what is recorded and from a list of prices; no offer and no permit. The "
    "authority having jurisdiction decides; local amendments apply."
)
UNPRICED = (
    "What has no price is taken only where nothing with a price does, and work that needs an "
    "offer, such as new wire, only where no such part does either. With prices for them another "
    "way may come out cheaper."
)


def cost(items: Sequence[Item]) -> str:
    """The sum, with what has to be asked for named beside it."""
    found = money(items)
    if isinstance(found, float):
        return f"{found:.2f}"
    return f"{known_cents(items) / 100:.2f} + ask" if known_cents(items) else "ask"


def asked_for(plan: Plan) -> str:
    """What has no price."""
    return f"To be asked for: {', '.join(sorted(set(asked(plan.items))))}."


def order(plan: Plan) -> str:
    """In which order the circuits are best worked on."""
    names = ", ".join(part.name for part in plan.in_order)
    return f"Order of the work, what clears the gravest first: {names}."


def test_first(plan: Plan) -> str:
    """Where TEST comes before all work, and what it can save; "" where every device was tried."""
    waiting = [each for each in plan.items if each.tests_first]
    if not waiting:
        return ""
    places = ", ".join(dict.fromkeys(at for each in waiting for at in each.tests_first))
    return (
        f"First of all press TEST at {places}: nobody tried it, and it costs nothing. Where it "
        f"trips and RESET restores, {cost(waiting)} of the total falls away: {_placed(waiting)}."
    )


def judged_again(plan: Plan) -> str:
    """What is left after the work."""
    many = len({(each.key[:2], each.says) for each in plan.unsolved})
    are = "is" if many == 1 else "are"
    told = f"{counted(many, 'deficiency', 'deficiencies')} of the scope {are} left"
    left = told if many else "nothing of the scope is left"
    return f"Done on a copy of the record and judged again: {left}."


def how_exact(plan: Plan) -> str:
    """Whether there can be a cheaper plan."""
    if plan.proven:
        return (
            "No cheaper plan from this list of actions and prices does that: the search is exact."
        )
    return "The search was given up for some circuits: cheaper may exist there."


def not_solved(left: Iterable[Left]) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """What no work clears, each once with all its places, and what bars these alike."""
    by_clash: dict[tuple[str, ...], list[Left]] = {}
    for each in left:
        by_clash.setdefault(each.clash, []).append(each)
    for clash, found in by_clash.items():
        yield worded(found), clash


def disputed(plan: Plan) -> Iterator[str]:
    """What only the authority can settle."""
    judges = plan.planner.judges
    for verdict in judges.disputed:
        yield f"{verdict.subject}: {judges.says(verdict)}"


def time(of_minutes: float) -> str:
    """A time of work."""
    hours, rest = divmod(round(of_minutes), 60)
    return f"{hours} h {rest} min"


def serves(plan: Plan, part: Part) -> str:
    """What the circuits of a part serve."""
    circuits = (plan.planner.session.circuit(name) for name in part.names)
    return " / ".join(each.serves for each in circuits if each is not None)


def does(item: Item) -> str:
    """What is done, and which outlets go on LOAD and LINE."""
    return f"{item.action.declared.does}{_sides(item)}."


def besides(item: Item) -> Iterator[str]:
    """What is done with it at that place."""
    for each in item.besides:
        if each.does:
            yield f"{each.does[0].upper()}{each.does[1:]}."


def reasons(item: Item) -> Iterator[str]:
    """What an item clears, and apart from it what it is there for beside the other work."""
    yield from (f"clears {each}" for each in item.reason.clears)
    yield from (f"not found, but not shown to be in order: {each}" for each in item.reason.unshown)
    if item.reason.brings:
        yield f"goes with the other work, else {'; '.join(item.reason.brings)}"
    yield from (f"comes before {each}" for each in item.reason.opens)


def difference(found: Difference) -> str:
    """How much more it is; what has no price on one side only is named, never reckoned."""
    said = f"{found.cents / 100:+,.2f}"
    if found.more:
        said += f" in what has a price, and {_counted(found.more)} to be asked for"
    if found.less:
        said += f"{'; ' if found.more else ' in what has a price, '}without {_counted(found.less)}"
        said += ", which is to be asked for"
    return said


def preference(each: Preference) -> str:
    """A wish with what it costs more in the whole house."""
    where = f"not possible at {', '.join(each.barred)}" if each.barred else ""
    if each.more is None:
        return f"{each.name}, {each.title}: {where}"
    barred = f"; {where}" if where else ""
    return f"{each.name} {difference(each.more)}: {each.title}{barred}"


def not_possible(way: Alternative) -> Iterator[str]:
    """That a way is none, and what bars it; what the plan clears otherwise is not told again."""
    yield f"{way.title}: not possible"
    yield from way.bars


def nothing_to_do(plan: Plan) -> str:
    """What is said in the place of a plan where there is none to make; "" where there is one."""
    if plan.items or plan.unsolved:
        return ""
    scope = plan.planner.actions.scopes[plan.planner.scope]
    session = plan.planner.record
    if not session.outlets and not session.circuits:
        return "Nothing is recorded yet: there is no circuit and no outlet to plan for."
    looked = f"of {counted(len(session.circuits), 'circuit')} and "
    looked += counted(len(session.outlets), "outlet")
    found = f"Nothing to do in this scope ({scope.title}): nothing {looked} was found against it."
    return f"{found} {undecided(plan)}".rstrip()


def undecided(plan: Plan) -> str:
    """What could not be decided and is not planned for; "" where all is known."""
    waits = plan.planner.judges.undecided
    if not waits:
        return ""
    places = ", ".join(dict.fromkeys(each.subject for each in waits))
    points = "1 point is" if len(waits) == 1 else f"{len(waits)} points are"
    return f"Not planned for: {points} undecided, as something was not told: {places}."


def sums(item: Item) -> str:
    """Part, time and what they come to."""
    price = item.price
    if price.cents is None:
        return "ask"
    return f"{price.material or 0:.2f} + {price.minutes or 0:g} min = {price.cents / 100:.2f}"


def opened(plan: Plan, part: Part) -> str:
    """What a look at the wiring order could save; "" where it is known."""
    if part.opened is None:
        return ""
    opening = plan.planner.actions.opening
    cents = plan.planner.prices.of(opening.price).cents
    price = "ask" if cents is None else f"{cents / 100:.2f}"
    behind = ", ".join(part.opened.behind) or "nothing else"
    told = "The wiring order is not wholly known: this plan is right for every order."
    if cost(part.opened_items) == cost(part.items):
        return f"{told} One outlet that feeds all the others would come to the same."
    return (
        f"{told} If {part.opened.first} turns out to feed {behind}, it comes to "
        f"{cost(part.opened_items)} instead; for the look ({opening.price}) {price} comes on top."
    )


def another_way(part: Part, way: Alternative) -> str:
    """What a way that is possible comes to, and what it has in the place of what."""
    mine, theirs = _told(part.items), _told(way.items)
    fresh = [each for each in way.items if _key(each) not in mine]
    gone = [each for each in part.items if _key(each) not in theirs]
    more = difference(way.sum.less(part.sum))
    if not fresh and not gone:
        return f"{way.title}: the same parts, wired otherwise: {_wired(part, way)}"
    if not fresh:
        return f"{way.title}: {cost(way.items)} ({more}): without {_named(gone)}"
    instead = f" instead of {_named(gone)}" if gone else " besides"
    return f"{way.title}: {cost(way.items)} ({more}): {_named(fresh)}{instead}"


def cheaper_part(each: Cheaper) -> str:
    """A cheaper part, and what it breaks."""
    return (
        f"{each.price.code} {(each.price.cents or 0) / 100:.2f} at {each.at} instead of "
        f"{each.instead_of}: {each.why}"
    )


def assumed(plan: Plan) -> Iterator[str]:
    """What was assumed of each place that was not reached."""
    found: dict[str, list[str]] = {}
    for each in plan.planner.assumptions:
        found.setdefault(each.outlet, []).append(" ".join(put(plan, each)))
    for outlet, told in found.items():
        yield f"{outlet} was not reached; as at the others of its circuit: {'; '.join(told)}"


def put(plan: Plan, each: Assumption) -> tuple[str, str]:
    """What is assumed, as it would be asked and answered."""
    book = plan.planner.book
    return book.questions[each.word].ask, spoken(each.word, each.value, book)


def _wired(part: Part, way: Alternative) -> str:
    """The devices of another way whose wires lie otherwise."""
    mine = {_key(each): _sides(each) for each in part.items}
    return ", ".join(
        f"{each.done.at}{_sides(each)}" for each in way.items if _sides(each) != mine[_key(each)]
    )


def _sides(item: Item) -> str:
    sides = f"; LOAD: {', '.join(item.load)}" if item.load else ""
    return sides + (f"; LINE: {', '.join(item.line)}" if item.line else "")


def _counted(codes: Sequence[str]) -> str:
    counts = Counter(codes)
    return ", ".join(code if n == 1 else f"{n} x {code}" for code, n in counts.items())


def _placed(items: Sequence[Item]) -> str:
    return ", ".join(f"{each.price.code} at {each.done.at}" for each in items)


def _named(items: Sequence[Item]) -> str:
    return f"{_placed(items)} ({cost(items)})"


def _told(items: Sequence[Item]) -> set[tuple[str, str]]:
    return {_key(each) for each in items}


def _key(item: Item) -> tuple[str, str]:
    return item.done.at, item.action.id
