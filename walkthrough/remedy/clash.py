"""Why a rule cannot be cleared: which condition, or which other rule, bars each way of doing it."""

from __future__ import annotations

from walkthrough.judge.house import House
from walkthrough.remedy.actions import Action
from walkthrough.remedy.local import Ruled
from walkthrough.remedy.loosen import Broken
from walkthrough.remedy.options import Bench
from walkthrough.remedy.tree import kinds
from walkthrough.rulebook.conditions import leaves
from walkthrough.rulebook.rulebook import Rule
from walkthrough.survey.model import Circuit


def clashes(bench: Bench, key: Broken, rule: Rule) -> tuple[str, ...]:
    """What bars each action that could clear a rule: a condition, or where none does, a rule."""
    house = bench.house
    subject = house.subjects[key[:2]]
    above = house.above(subject)
    near = [above[of] for of in ("outlet", "circuit") if of in above]
    outlets = house.wiring.on(subject) if isinstance(subject, Circuit) else []
    by_condition: dict[str, dict[str, None]] = {}
    by_rule: dict[str, dict[str, None]] = {}
    for place in (*near, *outlets):
        for ruled in bench.refused.get(house.key(place), ()):
            mending = any(could(house, each, rule) for each in ruled.chosen)
            if mending and not ruled.quiet and ruled.rule is not rule:
                told = by_condition if ruled.says else by_rule
                told.setdefault(_why(ruled), {})["+".join(_codes(ruled))] = None
    said = [f"{', '.join(codes)}: {why}" for why, codes in (by_condition or by_rule).items()]
    circuit = above.get("circuit")
    loose = house.wiring.on(circuit) if isinstance(circuit, Circuit) else []
    names = [house.wiring.name(each) for each in loose if not house.wiring.path_is_known(each)]
    if names:
        said.append(
            f"the order of {', '.join(names)} is not known: only what is right for every order does"
        )
    if not said:
        said.append("no action in the list clears it here, or each that does breaks another rule")
    return tuple(said)


def could(house: House, action: Action, rule: Rule) -> bool:
    """Whether an action is one that clears a rule where nothing bars it."""
    # A rule that nothing fulfils is cleared by no longer applying.
    needs = leaves(rule.needs.node) or leaves(rule.when.node)
    sets, tables = action.declared.sets, house.tracer.tables
    gives = {
        *tables.device.get(str(sets.get("device")), ()),
        *tables.breaker.get(str(sets.get("breaker")), ()),
    }
    every = kinds(house)
    wanted = {kind for kind in every if any(word.startswith(f"{kind}_") for word in needs)}
    return bool(wanted & gives) if wanted else bool(action.words & set(needs))


def _codes(ruled: Ruled) -> list[str]:
    return [each.declared.price for each in ruled.chosen]


def _why(ruled: Ruled) -> str:
    if ruled.rule is None:
        return ruled.says
    return f"would break {', '.join(ruled.rule.declared.cite)}"
