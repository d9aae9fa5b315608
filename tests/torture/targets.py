"""What the program is asked to do with each hostile input, and what must then be so."""

from __future__ import annotations

import random
import shutil
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from tests.torture.lines import line
from tests.torture.mutate import mutated
from tests.torture.watched import Told, Tried, called, wrongs
from tests.torture.yard import Yard
from walkthrough.rulebook.problems import Unusable
from walkthrough.survey import store
from walkthrough.survey.canonical import as_toml

Command = list[str]


Target = Callable[[Yard, random.Random, bytes | None], Tried]


def _ask(
    tried: Tried, yard: Yard, command: Command, may_fail: bool = False, out: Path | None = None
) -> Told:
    told = called(*command)
    tried.told.append(told)
    tried.wrong += wrongs(told, yard.folder, may_fail, out)
    return told


def _read(data: bytes) -> dict[str, Any]:
    """What the standard library makes of an accepted file: a second opinion on what is in it."""
    return tomllib.loads(data.decode("utf-8-sig").replace("\r\n", "\n"))


def ruleset(yard: Yard, chance: random.Random, data: bytes | None = None) -> Tried:
    """A ruleset of a chain: its leaf, its middle, its base, or a shipped one."""
    name = chance.choices(
        (
            "practice-base",
            "practice",
            "third",
            "wisconsin-2017",
            "indiana-2009",
            "nec-2023",
            "dwelling",
        ),
        (30, 29, 40, 0.3, 0.3, 0.2, 0.2),
    )[0]
    if data is not None:
        name = "third"
    tried = Tried("ruleset", mutated(yard.texts[name], chance) if data is None else data)
    path = yard.rulesets / f"{name}.toml"
    path.write_bytes(tried.data)
    leaf = "third" if name in ("practice", "practice-base") else name
    is_small = name in ("practice-base", "practice", "third")
    shown = _ask(tried, yard, ["rules", "show", str(path)])
    if shown.code == 0:
        # To look for what is said in vain takes seconds where an edition is whole.
        checked = _ask(tried, yard, ["rules", "check", str(path)]) if is_small else None
        tried.wrong += _unlisted(tried.data, shown, checked)
    further: list[tuple[Command, bool]] = [
        (["rules", "words", leaf], False),
        (["rules", "compare", "practice", leaf], False),
        (["rules", "compare", leaf, "third", str(yard.path("record.toml"))], False),
        (["rules", "show", leaf, "gfci.sink"], False),
        (["rules", "cases", "--ruleset", leaf, "--file", str(yard.path("cases.toml"))], True),
        (["replay", str(yard.path("record.toml")), "--ruleset", leaf], False),
        (["replay", str(yard.path("record.toml")), "--ruleset", leaf, "--format", "json"], False),
        (["replay", str(yard.path("units.toml")), "--format", "html", "--for", "client"], False),
    ]
    if not is_small:
        # Nor are whole editions compared: that takes long, hostile or not.
        further = [each for each in further if "compare" not in each[0]]
    for command, may_fail in chance.sample(further, 1):
        _ask(tried, yard, command, may_fail)
    return tried


def _unlisted(data: bytes, shown: Told, checked: Told | None) -> Iterator[str]:
    raw = _read(data)
    for name, rule in raw.get("rule", {}).items():
        told = "".join(each if each.isprintable() else "\ufffd" for each in name)
        if told not in shown.out:
            yield f"rule {name!r} is not listed; topic {rule.get('topic')!r}"
    count = f"{len(raw.get('question', {}))} questions"
    if checked is not None and "extends" not in raw and count not in checked.out:
        yield f"expected {count}: {checked.out[:200]}"


def record(yard: Yard, chance: random.Random, data: bytes | None = None) -> Tried:
    """A record: small, with units, or of the demonstration house."""
    name = chance.choices(("record", "units", "house"), (65, 25, 10))[0]
    if data is not None:
        name = "record"
    tried = Tried("record", mutated(yard.texts[name], chance) if data is None else data)
    path = yard.path(f"{name}.toml")
    path.write_bytes(tried.data)
    here, out = str(path), yard.path("out.txt")
    ways: list[tuple[Command, float]] = [
        (["replay", here], 6),
        (["replay", here, "--format", "json"], 3),
        (["replay", here, "--format", "csv"], 2),
        (["replay", here, "--format", "html"], 2),
        (["replay", here, "--format", "html", "--for", "landlord"], 1),
        (["replay", here, "--format", "md", "--for", "electrician"], 1),
        (["replay", here, "--ruleset", "third", "--fail-on", "note"], 2),
        (["replay", here, "--ruleset", "nec-2020"], 0.4),
        (["replay", here, "--as-built", "--adoption-lag", "2"], 0.2),
        (["plan", here, "--ruleset", "nec-2020"], 0.4),
        (["rules", "compare", "practice", "third", here], 1),
        (["replay", here, "--out", str(out)], 1),
    ]
    command = chance.choices([each for each, _ in ways], [each for _, each in ways])[0]
    if name == "house" and "practice" in command:
        command = ["plan", here]
    asked_out = out if "--out" in command else None
    _ask(tried, yard, command, "--fail-on" in command, asked_out)
    if asked_out:
        out.unlink(missing_ok=True)
    tried.wrong += _saved_otherwise(tried.data, path)
    return tried


# What stands in a record without saying anything is not written again.
_USUAL: tuple[Any, ...] = (
    "",
    [],
    {},
    False,
    "through",
    "unknown",
    "survey",
    "to check",
    True,
    "dwelling",
)


def _saved_otherwise(data: bytes, path: Path) -> Iterator[str]:
    """An accepted record is saved with all that stood in it, and then to the same bytes."""
    try:
        session = store.load(path)
        text = as_toml(session)
    except Unusable:
        return
    again = store.parse(text, path)
    if as_toml(again) != text:
        yield "saved a second time it has other bytes"
    if again != session:
        yield "loaded again it is another record"
    raw = _read(data)
    if "unit" not in raw:
        yield from _lost(raw, tomllib.loads(text), "")


def _lost(before: Any, after: Any, where: str) -> Iterator[str]:
    if isinstance(before, dict):
        for key, value in before.items():
            there = isinstance(after, dict) and key in after
            if there:
                yield from _lost(value, after[key], f"{where}.{key}")
            elif _says_something(value):
                yield f"not saved: {where}.{key} = {value!r:.100}"
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for number, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from _lost(one, other, f"{where}[{number}]")
    elif (before, type(before)) != (after, type(after)):
        yield f"saved otherwise: {where} = {before!r:.100} as {after!r:.100}"


def _says_something(value: Any) -> bool:
    if isinstance(value, dict):
        return any(_says_something(each) for each in value.values())
    return not any(value == each and type(value) is type(each) for each in _USUAL)


def cases(yard: Yard, chance: random.Random, data: bytes | None = None) -> Tried:
    """A case file of one's own."""
    tried = Tried("cases", mutated(yard.texts["cases"], chance) if data is None else data)
    path = yard.path("cases.toml")
    path.write_bytes(tried.data)
    as_json = ["--json"] if chance.random() < 0.3 else []
    told = _ask(tried, yard, ["rules", "cases", "--file", str(path), *as_json], may_fail=True)
    if told.code in (0, 1) and not as_json:
        count = f" of {len(_read(tried.data)['case'])} cases"
        if count not in told.out:
            tried.wrong.append(f"expected '{count}': {told.out[-200:]}")
    return tried


def prices(yard: Yard, chance: random.Random, data: bytes | None = None) -> Tried:
    """A price list of one's own."""
    tried = Tried("prices", mutated(yard.texts["prices"], chance) if data is None else data)
    path, house = yard.path("prices.toml"), str(yard.path("house.toml"))
    path.write_bytes(tried.data)
    ways: list[Command] = [
        ["plan", house, "--prices", str(path), "--scope", "all"],
        ["plan", house, "--prices", str(path), "--format", "json", "--budget", "500"],
        ["replay", house, "--format", "md", "--for", "landlord", "--prices", str(path)],
    ]
    _ask(tried, yard, chance.choices(ways, (2, 2, 1))[0])
    return tried


def firm(yard: Yard, chance: random.Random, data: bytes | None = None) -> Tried:
    """The file of a firm, in the head of a report."""
    tried = Tried("firm", mutated(yard.texts["firm"], chance) if data is None else data)
    path = yard.path("firm.toml")
    path.write_bytes(tried.data)
    way = chance.choice(("html", "md"))
    command = ["replay", str(yard.path("record.toml")), "--format", way, "--firm", str(path)]
    _ask(tried, yard, command)
    return tried


def places(yard: Yard, chance: random.Random, data: bytes | None = None) -> Tried:
    """A file of walls and counters."""
    tried = Tried("places", mutated(yard.texts["places"], chance) if data is None else data)
    path = yard.path("places.toml")
    path.write_bytes(tried.data)
    as_json = ["--json"] if chance.random() < 0.3 else []
    _ask(tried, yard, ["calc", "spacing", "--file", str(path), "--ruleset", "nec-2020", *as_json])
    return tried


TARGETS: dict[str, tuple[Target, int]] = {
    "ruleset": (ruleset, 28),
    "record": (record, 30),
    "cases": (cases, 18),
    "prices": (prices, 3),
    "firm": (firm, 7),
    "places": (places, 2),
}
"""Each kind with its share of a hundred; the rest are command lines."""


def tried_on(yard: Yard, number: int, seed: int) -> Tried:
    """Try input `number` of a run, and see that it left every file as it was."""
    chance = random.Random(f"{seed}/{number}")
    shares = {name: share for name, (_, share) in TARGETS.items()}
    shares["command line"] = 100 - sum(shares.values())
    kind = chance.choices(list(shares), list(shares.values()))[0]
    target = line if kind == "command line" else TARGETS[kind][0]
    return unharmed(target, yard, chance)


def unharmed(target: Target, yard: Yard, chance: random.Random, data: bytes | None = None) -> Tried:
    """Run a target; afterwards all files must be as they were, but for the one it wrote."""
    before = yard.snapshot()
    tried = target(yard, chance, data)
    after = yard.snapshot()
    for name in sorted(before.keys() | after.keys()):
        one, other = before.get(name), after.get(name)
        if one == other:
            continue
        is_input = other is not None and other[2] == tried.data and name.endswith(".toml")
        if not is_input:
            tried.wrong.append(f"{name} was changed")
    _restore(yard, before)
    return tried


def _restore(yard: Yard, before: dict[str, tuple[int, int, bytes]]) -> None:
    for path in sorted(yard.folder.rglob("*"), reverse=True):
        name = str(path.relative_to(yard.folder))
        if path.is_dir() and path != yard.rulesets:
            shutil.rmtree(path)
        elif path.is_file() and name not in before:
            path.unlink()
        elif path.is_file() and path.read_bytes() != before[name][2]:
            path.write_bytes(before[name][2])
    for name, (_, _, data) in before.items():
        if not (yard.folder / name).exists():
            (yard.folder / name).write_bytes(data)
