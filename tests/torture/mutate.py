"""Makes hostile inputs out of good ones: of their tree, of their lines, of their bytes."""

from __future__ import annotations

import copy
import random
import tomllib
from collections.abc import Callable, Iterator
from typing import Any, TypeAlias

import tomli_w

from tests.torture.hostile import (
    EXPRESSIONS,
    FORMATS,
    FREE,
    HOLD_EXPRESSIONS,
    MARKERS,
    NUMBERS,
    OTHERS,
    RAW,
    TEXTS,
)

Key: TypeAlias = str | int
Tree: TypeAlias = dict[str, Any]


def mutated(text: str, chance: random.Random) -> bytes:
    """A hostile version of a good file; at times the file as it is."""
    way = chance.random()
    if way < 0.02:
        return text.encode()
    if way < 0.2:
        return of_words(text, chance)
    if way < 0.6:
        return of_tree(text, chance)
    if way < 0.8:
        return of_lines(text, chance).encode()
    return of_bytes(text.encode(), chance)


def of_tree(text: str, chance: random.Random) -> bytes:
    """Keys and values put elsewhere, dropped, doubled, renamed, and of other kinds."""
    tree = tomllib.loads(text)
    for _ in range(chance.choice((1, 1, 1, 2, 3, 6))):
        _turn(tree, chance)
    try:
        return tomli_w.dumps(tree).encode()
    except (ValueError, RecursionError):
        # Not every number can be written down; the lines can hold it.
        return of_lines(text, chance).encode()


def of_words(text: str, chance: random.Random) -> bytes:
    """Hostile words where anybody may write what they like: such a file is mostly accepted."""
    tree = tomllib.loads(text)
    free = [each for each in _places(tree) if each[1] in FREE or not isinstance(each[1], str)]
    free = [(holder, key) for holder, key in free if isinstance(holder[key], str)]
    for holder, key in chance.sample(free, min(len(free), chance.choice((1, 2, 5)))):
        holder[key] = chance.choice(TEXTS)
    return tomli_w.dumps(tree).encode()


def of_lines(text: str, chance: random.Random) -> str:
    """Lines dropped, doubled, exchanged; a value replaced by what no writer would write."""
    lines = text.splitlines(keepends=True)
    for _ in range(chance.choice((1, 1, 2, 5))):
        at = chance.randrange(len(lines))
        other = chance.randrange(len(lines))
        match chance.randrange(7):
            case 0:
                del lines[at : at + chance.choice((1, 1, 3, 10))]
            case 1:
                lines[at:at] = lines[other : other + chance.choice((1, 4, 20))]
            case 2:
                lines[at], lines[other] = lines[other], lines[at]
            case 3:
                theirs = lines[other : other + 3]
                ours, middle, end = MARKERS
                lines[at : at + 3] = [ours, *lines[at : at + 3], middle, *theirs, end]
            case 4:
                lines[0:0] = [f"format = {chance.choice(FORMATS)}\n"]
                lines = [each for n, each in enumerate(lines) if n == 0 or "format =" not in each]
            case _:
                key, sign, _ = lines[at].partition("=")
                if sign:
                    lines[at] = f"{key}= {chance.choice(RAW)}\n"
        lines = lines or ["\n"]
    return "".join(lines)


def of_bytes(data: bytes, chance: random.Random) -> bytes:
    """The file as a bad copy, another program or another encoding leaves it."""
    at, other = (chance.randrange(len(data)) for _ in range(2))
    match chance.randrange(11):
        case 0:
            return data[:at]
        case 1:
            turned = bytearray(data)
            for _ in range(chance.choice((1, 1, 8, 64))):
                turned[chance.randrange(len(turned))] ^= 1 << chance.randrange(8)
            return bytes(turned)
        case 2:
            return data.replace(b"\n", b"\r\n")
        case 3:
            return b"\xef\xbb\xbf" + data
        case 4:
            return data.decode(errors="replace").encode("utf-16")
        case 5:
            return (
                data[:at]
                + chance.choice((b"\x00", b"\xed\xa0\x80", b"\xff", b"\xc0\x80"))
                + data[at:]
            )
        case 6:
            return data + data
        case 7:
            return data[: min(at, other)] + data[max(at, other) :]
        case 8:
            return data.replace(b"\n", b"\r")
        case 9:
            return data[:at] + chance.randbytes(chance.choice((1, 4, 200))) + data[at:]
        case _:
            return data[:at] + b"\n" * 1000 + b"[" * chance.choice((2, 400)) + data[at:]


def spoiled(text: str, chance: random.Random) -> str:
    """A word with a slip of the pen, or something hostile in its place."""
    if chance.random() < 0.5 or not text:
        return chance.choice(TEXTS)
    at = chance.randrange(len(text))
    return text[:at] + chance.choice(("", text[at] * 2, chance.choice(TEXTS))) + text[at + 1 :]


def hostile_value(chance: random.Random) -> Any:
    """A value of any kind, mostly of a wrong one."""
    return chance.choice(
        (
            lambda: chance.choice(TEXTS),
            lambda: chance.choice(NUMBERS),
            lambda: chance.choice(OTHERS),
            lambda: [chance.choice(TEXTS), chance.choice(NUMBERS)],
            list,
            dict,
            lambda: {chance.choice(TEXTS): chance.choice(TEXTS)},
            lambda: _nested(chance.choice((2, 40, 200)), chance),
            lambda: [chance.choice(TEXTS)] * 2000,
        )
    )()


def _nested(levels: int, chance: random.Random) -> Any:
    value: Any = chance.choice(TEXTS)
    for _ in range(levels):
        value = {"a": value} if chance.random() < 0.5 else [value]
    return value


def _places(part: Any) -> Iterator[tuple[Any, Key]]:
    """Every value of a tree, as what holds it and its key there."""
    keys: list[Key] = list(part) if isinstance(part, dict) else list(range(len(part)))
    for key in keys:
        yield part, key
        if isinstance(part[key], dict | list):
            yield from _places(part[key])


def _turn(tree: Tree, chance: random.Random) -> None:
    places = list(_places(tree))
    if not places:
        return
    holder, key = chance.choice(places)
    turns: tuple[Callable[[Any, Key, list[tuple[Any, Key]], random.Random], None], ...] = (
        _drop,
        _double,
        _rename,
        _replace,
        _replace,
        _refer,
        _refer,
        _exchange,
    )
    chance.choice(turns)(holder, key, places, chance)


def _drop(holder: Any, key: Key, _: list[tuple[Any, Key]], __: random.Random) -> None:
    del holder[key]


def _double(holder: Any, key: Key, _: list[tuple[Any, Key]], chance: random.Random) -> None:
    again = copy.deepcopy(holder[key])
    if isinstance(holder, list):
        holder.insert(chance.randrange(len(holder) + 1), again)
    else:
        holder[f"{key}{chance.choice(('2', '_', 'x'))}"] = again


def _rename(holder: Any, key: Key, _: list[tuple[Any, Key]], chance: random.Random) -> None:
    if isinstance(holder, dict):
        holder[spoiled(str(key), chance)] = holder.pop(key)


def _replace(holder: Any, key: Key, _: list[tuple[Any, Key]], chance: random.Random) -> None:
    if key in HOLD_EXPRESSIONS and chance.random() < 0.7:
        holder[key] = chance.choice(EXPRESSIONS)
    elif isinstance(holder[key], str) and chance.random() < 0.6:
        holder[key] = spoiled(holder[key], chance)
    else:
        holder[key] = hostile_value(chance)


def _refer(holder: Any, key: Key, places: list[tuple[Any, Key]], chance: random.Random) -> None:
    """Another text of the file: so references lead to themselves, in circles, and to nothing."""
    texts = [of[at] for of, at in places if isinstance(of[at], str)]
    if texts:
        holder[key] = chance.choice(texts)


def _exchange(holder: Any, key: Key, places: list[tuple[Any, Key]], chance: random.Random) -> None:
    other, there = chance.choice(places)
    try:
        ours, theirs = copy.deepcopy(holder[key]), copy.deepcopy(other[there])
        holder[key], other[there] = theirs, ours
    except (KeyError, IndexError):
        return
