"""What a branch circuit may feed: receptacle ratings, plugged-in loads, loads fastened in place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from walkthrough.trade.tables import NOTHING, Tables
from walkthrough.trade.working import Step, Value, Verdict, Working, told

_HUNDRED = Decimal(100)
_GRAVEST: tuple[Verdict, ...] = ("fail", "ask the AHJ", "cannot assess", "warning", "pass")


@dataclass(frozen=True, slots=True)
class Branch:
    """A branch circuit and what is on it; amperes.

    `individual` feeds one piece of equipment and nothing else, `single` is one receptacle alone on
    its yoke. `plug_a` are single things with a plug; `fixed_a` is everything fastened in place but
    luminaires; `mixed` says that the circuit feeds lighting or plugged-in things besides.
    """

    circuit_a: Decimal
    receptacle_a: Decimal | None = None
    individual: bool = False
    single: bool = False
    plug_a: tuple[Decimal, ...] = ()
    fixed_a: Decimal = Decimal(0)
    mixed: bool | None = None
    continuous_a: Decimal = Decimal(0)
    other_a: Decimal = Decimal(0)
    volts: Decimal = Decimal(120)
    watts: tuple[Decimal, ...] = ()
    """Loads that were told in watts, to show how they became amperes."""


@dataclass(frozen=True, slots=True)
class _Found:
    verdict: Verdict
    says: str
    step: Step
    load_a: Decimal | None = None
    limit_a: Decimal | None = None

    def for_result(self, circuit_a: Decimal) -> Value:
        told_of: dict[str, Value] = {"check": self.step.label, "verdict": self.verdict}
        if self.load_a is not None:
            percent = self.load_a / circuit_a * _HUNDRED
            told_of |= {"load_a": self.load_a, "percent_of_circuit": percent}
            told_of |= {"limit_a": self.limit_a}
        return told_of


def circuit_load(branch: Branch, tables: Tables) -> Working:
    """Everything on a branch circuit against its limits; each check is a step. Raises NoRow."""
    found = [
        *_rating(branch, tables),
        *_receptacle(branch, tables),
        *_plugged(branch, tables),
        *_fixed(branch, tables),
        *_continuous(branch, tables),
    ]
    amps = told(branch.circuit_a)
    result: dict[str, Value] = {
        "circuit_a": branch.circuit_a,
        "checks": tuple(each.for_result(branch.circuit_a) for each in found),
        "permitted_receptacles_a": tuple(_permitted(branch, tables)),
    }
    if tables.has("circuit_smallest_awg", amps):
        size = tables.word("circuit_smallest_awg", amps)
        result["smallest_copper_awg"] = size
    for name, share in (("plug", "most_plug_a"), ("fixed", "most_fixed_a")):
        if tables.has("load_percent", f"{name}_{amps}"):
            percent = tables.number("load_percent", f"{name}_{amps}")
            result[share] = branch.circuit_a * percent / _HUNDRED
    verdict: Verdict = min(
        (each.verdict for each in found), key=_GRAVEST.index, default="calculated"
    )
    because = " ".join(each.says for each in found if each.verdict == verdict)
    caveats: tuple[str, ...] = ()
    if verdict == "warning":
        caveats = ("A load that a user can take away is no fault of the wiring.",)
    volts = branch.volts
    watts = (
        Step("load", f"{told(each)} W / {told(volts)} V", each / volts, "A")
        for each in branch.watts
    )
    steps = (*watts, *(each.step for each in found))
    return Working(steps, result, verdict, because or "See the figures.", caveats)


def _several(branch: Branch) -> bool:
    return not (branch.individual and branch.single)


def _permitted(branch: Branch, tables: Tables) -> Iterator[Decimal]:
    """The ratings that receptacles of a circuit with several may have."""
    row = told(branch.circuit_a)
    column = 0
    while tables.has("receptacle_ratings", row):
        try:
            yield tables.number("receptacle_ratings", row, column)
        except IndexError:
            return
        column += 1


def _rating(branch: Branch, tables: Tables) -> Iterator[_Found]:
    """A circuit with several outlets has one of few ratings."""
    if branch.individual:
        return
    amps = told(branch.circuit_a)
    rows = tables.rows("circuit_ratings")
    ground = tables.ground("circuit_ratings", rows[0]) if rows else NOTHING
    formula = f"{amps} A; recognized for several outlets: {', '.join(rows)} A"
    step = Step("rating of the circuit", formula, ground=ground)
    fits = amps in rows
    word = "a" if fits else "no"
    yield _Found("pass" if fits else "fail", f"{amps} A is {word} recognized rating.", step)


def _receptacle(branch: Branch, tables: Tables) -> Iterator[_Found]:
    if branch.receptacle_a is None:
        return
    amps, rating = told(branch.circuit_a), told(branch.receptacle_a)
    label = "rating of the receptacle"
    if tables.has("no_receptacle_circuit_a", amps):
        ground = tables.ground("no_receptacle_circuit_a", amps)
        step = Step(label, f"none on a {amps} A circuit", ground=ground)
        if _several(branch) or tables.has("no_receptacle_alone_circuit_a", amps):
            yield _Found("fail", f"A {amps} A circuit feeds no receptacle outlet.", step)
        else:
            yield _Found(
                "ask the AHJ",
                "One reading: the ban on receptacles is for circuits with several outlets. "
                f"Another: no receptacle belongs on a {amps} A circuit.",
                step,
            )
        return
    if not _several(branch):
        yield _alone(branch, tables)
        return
    permitted = list(_permitted(branch, tables))
    rows = tables.rows("receptacle_ratings")
    ground = tables.ground("receptacle_ratings", amps if amps in rows else rows[-1])
    if not permitted:
        fits = (
            branch.circuit_a > max(map(Decimal, rows)) and branch.receptacle_a >= branch.circuit_a
        )
        formula = f"{rating} A on {amps} A; not below the circuit's rating above {rows[-1]} A"
    else:
        fits = branch.receptacle_a in permitted
        listed = " or ".join(told(each) for each in permitted)
        formula = f"{rating} A on {amps} A; permitted: {listed} A"
    step = Step(label, formula, ground=ground)
    word = "" if fits else "not "
    yield _Found(
        "pass" if fits else "fail",
        f"A {rating} A receptacle is {word}permitted on a {amps} A circuit.",
        step,
    )


def _alone(branch: Branch, tables: Tables) -> _Found:
    """A single receptacle on an individual circuit; more than the circuit's rating is disputed."""
    assert branch.receptacle_a is not None
    amps, rating = told(branch.circuit_a), told(branch.receptacle_a)
    ground = tables.ground("single_receptacle", "at_least_percent")
    share = tables.number("single_receptacle", "at_least_percent")
    least = branch.circuit_a * share / _HUNDRED
    formula = f"{rating} A, alone on an individual circuit: {told(least)} A at least"
    step = Step("rating of the receptacle", formula, ground=ground)
    if branch.receptacle_a < least:
        return _Found("fail", f"{rating} A is less than the circuit's {amps} A.", step)
    if branch.receptacle_a > branch.circuit_a and branch.receptacle_a not in [
        *_permitted(branch, tables)
    ]:
        return _Found(
            "ask the AHJ",
            f"One reading: {rating} A is not less than {amps} A, so it passes. Another: a "
            "receptacle goes on a circuit of the current that it is rated for.",
            step,
        )
    return _Found("pass", f"{rating} A is not less than the circuit's {amps} A.", step)


def _plugged(branch: Branch, tables: Tables) -> Iterator[_Found]:
    amps = told(branch.circuit_a)
    for load in branch.plug_a:
        label = "most for one load with a plug"
        row = f"{amps}/{told(branch.receptacle_a)}" if branch.receptacle_a is not None else ""
        if tables.has("plug_load_a", row) and _several(branch):
            limit = tables.figure("plug_load_a", row)
            most, ground = limit.value, limit.ground
            formula = f"{told(branch.receptacle_a or most)} A receptacle on a {amps} A circuit"
        elif tables.has("load_percent", f"plug_{amps}"):
            share = tables.figure("load_percent", f"plug_{amps}")
            most, ground = branch.circuit_a * share.value / _HUNDRED, share.ground
            formula = f"{told(share.value)} % of {amps} A"
        else:
            step = Step(label, f"no limit known for a {amps} A circuit")
            yield _Found("cannot assess", f"No limit is known for a {amps} A circuit.", step)
            continue
        percent = load / branch.circuit_a * _HUNDRED
        step = Step(label, formula, most, "A", ground)
        word = "within" if load <= most else "above"
        yield _Found(
            "pass" if load <= most else "warning",
            f"One load of {told(load)} A ({told(percent, 1)} % of {amps} A) is {word} the "
            f"{told(most)} A allowed.",
            step,
            load,
            most,
        )


def _fixed(branch: Branch, tables: Tables) -> Iterator[_Found]:
    """Equipment fastened in place may take a share of a circuit that feeds other things too."""
    if not branch.fixed_a:
        return
    amps = told(branch.circuit_a)
    label = "most for loads fastened in place"
    row = f"fixed_{amps}"
    if not tables.has("load_percent", row):
        step = Step(label, f"no share is set for a {amps} A circuit")
        fits = branch.fixed_a <= branch.circuit_a
        yield _Found("pass" if fits else "fail", "Against the rating of the circuit alone.", step)
        return
    share = tables.figure("load_percent", row)
    most = branch.circuit_a * share.value / _HUNDRED
    formula = f"{told(share.value)} % of {amps} A where it feeds other things too"
    step = Step(label, formula, most, "A", share.ground)
    if branch.mixed is None and branch.circuit_a >= branch.fixed_a > most:
        yield _Found(
            "cannot assess",
            f"{told(branch.fixed_a)} A in place is above {told(most)} A: allowed only where the "
            "circuit feeds neither lighting nor things with a plug, which was not told.",
            step,
        )
        return
    fits = branch.fixed_a <= (branch.circuit_a if branch.mixed is False else most)
    word = "within" if fits else "above"
    limit = told(branch.circuit_a if branch.mixed is False else most)
    says = f"{told(branch.fixed_a)} A fastened in place is {word} the {limit} A allowed."
    yield _Found("pass" if fits else "fail", says, step, branch.fixed_a, Decimal(limit))


def _continuous(branch: Branch, tables: Tables) -> Iterator[_Found]:
    load = branch.continuous_a + branch.other_a
    if not load:
        return
    percent = tables.figure("continuous_load", "percent")
    needed = branch.continuous_a * percent.value / _HUNDRED + branch.other_a
    formula = f"{told(percent.value)} % x {told(branch.continuous_a)} A + {told(branch.other_a)} A"
    step = Step("continuous and other load", formula, needed, "A", percent.ground)
    fits = needed <= branch.circuit_a
    word = "within" if fits else "above"
    says = f"{told(needed)} A is {word} the circuit's {told(branch.circuit_a)} A."
    yield _Found("pass" if fits else "fail", says, step, needed, branch.circuit_a)
