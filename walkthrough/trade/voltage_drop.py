"""Voltage drop of a single-phase run, as calculated and as measured; advice, never a violation."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from walkthrough.trade.tables import NOTHING, Tables
from walkthrough.trade.working import Step, Value, Verdict, Working, told

Metal = Literal["copper", "aluminum"]
Method = Literal["table", "k"]
_KFT = Decimal(1000)
_HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class Wire:
    """The conductor: AWG size; `build` solid or stranded, "" for the usual one; degrees C."""

    size: str
    metal: Metal = "copper"
    build: str = ""
    temperature_c: Decimal | None = None
    method: Method = "table"


@dataclass(frozen=True, slots=True)
class Run:
    """Volts, amperes, and feet one way; `loop_ohm` where the resistance of the loop is known.

    `feeder_percent` is the drop ahead of the branch circuit; the readings are volts at the outlet
    without and with the load.
    """

    volts: Decimal
    amps: Decimal | None = None
    feet: Decimal | None = None
    wire: Wire | None = None
    loop_ohm: Decimal | None = None
    feeder_percent: Decimal | None = None
    unloaded_v: Decimal | None = None
    loaded_v: Decimal | None = None


def voltage_drop(run: Run, tables: Tables) -> Working:
    """The drop in volts and per cent, how far it may go by the advice, and a measured drop.

    Unity power factor and direct-current resistance, which is the same for the sizes of branch
    circuits. Raises NoRow.
    """
    steps: list[Step] = []
    result: dict[str, Value] = {}
    caveats: list[str] = []
    says: list[tuple[bool, str]] = []
    branch = tables.figure("voltage_drop_percent", "branch")
    whole = tables.figure("voltage_drop_percent", "whole")
    per_foot = ohm_per_foot(run.wire, tables, steps) if run.wire is not None else None
    loop = run.loop_ohm
    if loop is not None:
        steps.append(Step("resistance of the loop", "as told", loop, "ohm"))
    elif per_foot is not None and run.feet is not None:
        loop = 2 * run.feet * per_foot
        formula = f"2 x {told(run.feet)} ft x {told(per_foot * _KFT)} ohm / 1000 ft"
        steps.append(Step("resistance of the loop", formula, loop, "ohm"))
    percent = None
    if loop is not None and run.amps is not None:
        drop = run.amps * loop
        percent = drop / run.volts * _HUNDRED
        formula = f"{told(run.amps)} A x {told(loop)} ohm"
        steps.append(Step("voltage drop", formula, drop, "V"))
        formula = f"{told(drop)} V / {told(run.volts)} V"
        steps.append(Step("of the circuit's voltage", formula, percent, "%"))
        result |= {"drop_v": drop, "drop_percent": percent, "volts_at_load": run.volts - drop}
        result |= {"loop_ohm": loop}
        says.append(_set_against(percent, branch.value, "branch circuit"))
        advised = f"{told(branch.value)} % for a branch circuit"
        steps.append(Step("advised", advised, branch.value, "%", branch.ground))
        if run.feeder_percent is not None:
            total = percent + run.feeder_percent
            formula = f"{told(percent)} % + {told(run.feeder_percent)} % in the feeder"
            steps.append(Step("feeder and branch circuit", formula, total, "%"))
            advised = f"{told(whole.value)} % for both together"
            steps.append(Step("advised", advised, whole.value, "%", whole.ground))
            result["whole_percent"] = total
            says.append(_set_against(total, whole.value, "feeder and branch circuit"))
    for share in (branch, whole):
        allowed = run.volts * share.value / _HUNDRED
        if loop is not None:
            result[f"amps_at_{told(share.value)}_percent"] = allowed / loop
        if per_foot is not None and run.amps is not None:
            feet = allowed / (2 * run.amps * per_foot)
            result[f"longest_ft_at_{told(share.value)}_percent"] = feet
            size = _smallest(run, share.value, tables)
            result[f"smallest_size_at_{told(share.value)}_percent"] = size
    steps += _advised_steps(result)
    if run.unloaded_v is not None and run.loaded_v is not None:
        says += _measured(run, tables, steps, result, caveats)
    caveats.insert(0, _basis(run, tables))
    caveats.append("The advice of an informational note is no rule: nobody can be held to it.")
    verdict: Verdict = "calculated"
    if says:
        verdict = "within advice" if all(within for within, _ in says) else "advice"
    because = " ".join(text for _, text in says) or "See the figures."
    return Working(tuple(steps), result, verdict, because, tuple(caveats))


def build_of(wire: Wire, tables: Tables) -> str:
    """Solid or stranded: as told, else as usual for the size. Raises NoRow."""
    return wire.build or tables.word("usual_build", wire.size)


def ohm_per_foot(wire: Wire, tables: Tables, steps: list[Step]) -> Decimal:
    """Resistance of one foot of one conductor, with the steps to it. Raises NoRow."""
    if wire.method == "k":
        k = tables.figure("resistance_figures", f"k_{wire.metal}")
        mils = tables.figure("circular_mils", wire.size)
        formula = f"K {told(k.value)} / {told(mils.value)} circular mils x 1000 ft"
        per_kft = k.value / mils.value * _KFT
        steps.append(Step("resistance", formula, per_kft, "ohm/kft", k.ground + mils.ground))
        return per_kft / _KFT
    build = build_of(wire, tables)
    figure = tables.figure(f"ohm_per_kft_{wire.metal}_{build}", wire.size)
    base = tables.number("resistance_figures", "base_c")
    formula = f"{wire.size} AWG {wire.metal}, {build}, at {told(base)} C"
    steps.append(Step("resistance", formula, figure.value, "ohm/kft", figure.ground))
    if wire.temperature_c is None or wire.temperature_c == base:
        return figure.value / _KFT
    alpha = tables.figure("resistance_figures", f"alpha_{wire.metal}")
    warmer = figure.value * (1 + alpha.value * (wire.temperature_c - base))
    at = told(wire.temperature_c)
    formula = f"{told(figure.value)} x (1 + {told(alpha.value, 5)} x ({at} - {told(base)}))"
    steps.append(Step(f"at {at} C", formula, warmer, "ohm/kft", alpha.ground))
    return warmer / _KFT


def _set_against(percent: Decimal, advised: Decimal, what: str) -> tuple[bool, str]:
    within = percent <= advised
    word = "within" if within else "above"
    return within, f"{told(percent, 3)} % is {word} the {told(advised)} % advised for the {what}."


def _smallest(run: Run, percent: Decimal, tables: Tables) -> str | None:
    """The thinnest conductor of the same metal that keeps to the advice over this length."""
    if run.feet is None or run.amps is None or run.wire is None:
        return None
    allowed = run.volts * percent / _HUNDRED
    for size in tables.rows("circular_mils"):
        wire = Wire(size, run.wire.metal, "", run.wire.temperature_c, run.wire.method)
        if run.amps * 2 * run.feet * ohm_per_foot(wire, tables, []) <= allowed:
            return size
    return None


def _advised_steps(result: dict[str, Value]) -> Iterator[Step]:
    names = {"amps": ("most amperes", "A"), "longest": ("longest run one way", "ft")}
    for key, value in result.items():
        first, _, _ = key.partition("_")
        if first in names and isinstance(value, Decimal):
            label, unit = names[first]
            share = key.rsplit("_", 2)[1]
            yield Step(label, f"for a drop of {share} %", value, unit, NOTHING)


def _measured(
    run: Run, tables: Tables, steps: list[Step], result: dict[str, Value], caveats: list[str]
) -> list[tuple[bool, str]]:
    """The drop between two readings at the outlet, set against the one that was calculated."""
    assert run.unloaded_v is not None
    assert run.loaded_v is not None
    drop = run.unloaded_v - run.loaded_v
    percent = drop / run.unloaded_v * _HUNDRED
    formula = f"{told(run.unloaded_v)} V - {told(run.loaded_v)} V"
    steps.append(Step("measured drop", formula, drop, "V"))
    usual = tables.figure("loaded_drop_percent", "usual")
    other = tables.number("loaded_drop_percent", "other")
    formula = f"{told(drop)} V / {told(run.unloaded_v)} V; usual: {told(usual.value)} %"
    steps.append(Step("of the reading without load", formula, percent, "%", usual.ground))
    result |= {"measured_drop_v": drop, "measured_percent": percent}
    caveats.append(
        f"Makers of testers differ on what is usual: {told(usual.value)} % in one manual, up to "
        f"{told(other)} % in another. The measured drop takes in everything back to the source."
    )
    calculated = result.get("drop_v")
    if isinstance(calculated, Decimal):
        beyond = drop - calculated
        formula = f"{told(drop)} V measured - {told(calculated)} V calculated"
        steps.append(Step("beyond the calculated drop", formula, beyond, "V"))
        result["beyond_calculated_v"] = beyond
        if beyond > 0:
            caveats.append(
                "More is lost than the wire alone explains: feeder and service, a longer run, or "
                "poor joints."
            )
    within = percent <= usual.value
    word = "within" if within else "above"
    return [
        (within, f"Measured: {told(percent, 3)} %, {word} the usual {told(usual.value)} %."),
    ]


def _basis(run: Run, tables: Tables) -> str:
    if run.wire is None:
        return "Basis: the resistance of the loop as told."
    if run.wire.method == "k":
        return "Basis: K and circular mils; single phase, unity power factor, two conductors."
    temperature = run.wire.temperature_c
    if temperature is None:
        temperature = tables.number("resistance_figures", "base_c")
    build = build_of(run.wire, tables)
    assumed = "" if run.wire.build else " (taken as usual for the size)"
    return (
        f"Basis: {build} conductors{assumed} at {told(temperature)} C; single phase, unity power "
        "factor, two conductors."
    )
