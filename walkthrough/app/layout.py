"""Lays a prompt out in lines: the question, its answers each with a key, and what was typed."""

from __future__ import annotations

import functools
import math
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from walkthrough.app.keys import Entry
from walkthrough.app.one_key import NONE_KEY, keyed
from walkthrough.app.prompt import AS_BEFORE, Choice, Prompt
from walkthrough.report.text import clean

PICK_ROWS = 7
TYPED_ROWS = 4
_BAR = " | "
_ROOM_FOR_HELP = 0.78
"""The part of the rows up to which a prompt may grow by showing its help whole."""


@dataclass(frozen=True)
class Span:
    """A piece of text and the role it plays: plain, ask, key, chosen, faint or wrong.

    `press` is the key that a click on it stands for, `choice` the one of many that it takes.
    """

    text: str
    role: str = "plain"
    press: str = ""
    choice: str = ""


Line = tuple[Span, ...]


def lay_out(entry: Entry, width: int, rows: int, full_help: bool = False) -> list[Line]:
    """All lines of a prompt, as wide as `width`; choices take columns where rows are scarce."""
    prompt = entry.prompt
    if full_help:
        lines = _whole(entry, width, rows, list(_full_help(prompt, width, prompt.decides)))
        # The answers must stay in view; which rules wait for them can be left out for that.
        if len(lines) <= rows:
            return lines
        return _whole(entry, width, rows, list(_full_help(prompt, width, ())))
    help = clean(prompt.help)
    if len(help) > width:
        # It is cut only where it would press upon what stands beside or below.
        lines = _whole(entry, width, rows, [(Span(each, "faint"),) for each in _wrap(help, width)])
        if len(lines) <= rows * _ROOM_FOR_HELP:
            return lines
        help = f"{_short(help, width - 5)} [F1]"
    return _whole(entry, width, rows, [(Span(help, "faint"),)] if help else [])


def _whole(entry: Entry, width: int, rows: int, help: list[Line]) -> list[Line]:
    prompt = entry.prompt
    lines: list[Line] = [(Span(each, "ask"),) for each in _wrap(clean(prompt.ask), width)]
    lines += help
    answers = list(_typed(entry, width))
    below = [*answers, *_hints(entry, width)]
    free = max(3, rows - len(lines) - len(below))
    lines += _choices(entry, width, free)
    return lines + below


def _full_help(prompt: Prompt, width: int, decides: Sequence[str]) -> Iterator[Line]:
    for each in _wrap(clean(prompt.help) or "There is no more to say here.", width):
        yield (Span(each, "faint"),)
    question = prompt.question
    if question is not None and (question.min is not None or question.max is not None):
        low = f"from {question.min:g} " if question.min is not None else ""
        high = f"to {question.max:g} " if question.max is not None else ""
        yield (Span(f"Range: {low}{high}{question.unit}", "faint"),)
    if decides:
        for each in _wrap(f"Waited for by: {', '.join(decides)}", width):
            yield (Span(each, "faint"),)


def _choices(entry: Entry, width: int, rows: int) -> list[Line]:
    if entry.prompt.kind == "pick":
        return list(_pick(entry, width, rows))
    shown = keyed(entry.prompt)
    if not shown:
        return []
    best: tuple[int, list[list[Line]], int] | None = None
    for columns in (1, 2, 3):
        cells = [_cell(entry, key, choice, width // columns) for key, choice in shown.items()]
        stacks = _stacks(cells, columns)
        high = max(len(stack) for stack in stacks)
        if best is None or high < best[0]:
            best = (high, stacks, columns)
        if high <= rows:
            break
    assert best is not None
    return list(_beside(best[1], width // best[2]))


def _stacks(cells: list[list[Line]], columns: int) -> list[list[Line]]:
    """The cells in columns that are about equally high."""
    high = -(-sum(len(cell) for cell in cells) // columns)
    stacks: list[list[Line]] = [[]]
    for cell in cells:
        if stacks[-1] and len(stacks[-1]) + len(cell) > high and len(stacks) < columns:
            stacks.append([])
        stacks[-1] += cell
    return stacks


def _cell(entry: Entry, key: str, choice: Choice, width: int) -> list[Line]:
    prompt = entry.prompt
    ticked = choice.value in entry.ticked
    offered = prompt.default is not None and _is_default(prompt, choice)
    box = ("[x] " if ticked else "[ ] ") if prompt.kind == "tags" else ""
    mark = f"  <- {prompt.default_from}" if offered and prompt.kind != "tags" else ""
    indent = 4 + len(box)
    wrapped = _wrap(clean(choice.label) + mark, max(width - indent - 1, 12))
    role = "chosen" if ticked or (offered and prompt.kind != "tags") else "plain"
    head: Line = (Span(f" {key}  ", "key", key), Span(box + wrapped[0], role, key))
    return [head, *((Span(" " * indent, press=key), Span(each, role, key)) for each in wrapped[1:])]


def _is_default(prompt: Prompt, choice: Choice) -> bool:
    default = prompt.default
    if isinstance(default, bool):
        return choice.value == ("yes" if default else "no")
    if isinstance(default, int | float):
        return choice.value == ("none" if default == math.inf else f"{default:g}")
    return default == choice.value


def _beside(stacks: Sequence[Sequence[Line]], width: int) -> Iterator[Line]:
    for row in range(max(len(stack) for stack in stacks)):
        spans: list[Span] = []
        for number, stack in enumerate(stacks):
            line = stack[row] if row < len(stack) else ()
            spans += line
            if number < len(stacks) - 1:
                spans.append(Span(" " * (width - sum(len(each.text) for each in line))))
        yield tuple(spans)


def _pick(entry: Entry, width: int, rows: int) -> Iterator[Line]:
    matches, at = entry.matches, entry.highlighted
    here = matches.index(at) if at is not None else 0
    rows = min(rows, PICK_ROWS)
    if not matches and entry.prompt.choices:
        # What there is stays in view, but Enter takes none of it.
        told = entry.prompt.if_missing or "Backspace takes it back"
        told = f"nothing here has that in its name or words; {told}"
        yield (Span(f"! {_short(told, width - 2)}", "wrong"),)
        matches, rows = list(entry.prompt.choices), max(rows - 1, 1)
    ids = min(max((len(each.value) for each in matches), default=0) + 1, 24)
    first = max(0, min(here - rows // 2, len(matches) - rows))
    for choice in matches[first : first + rows]:
        is_here = choice is at
        mark = ""
        if choice.value == entry.prompt.default and entry.prompt.default_from:
            mark = f"  <- {entry.prompt.default_from}"
        text = _short(f"{choice.value:<{ids}} {clean(choice.label)}", width - len(mark) - 3)
        role = "chosen" if is_here else "plain"
        pointer = Span(" > " if is_here else "   ", "key", choice=choice.value)
        yield (pointer, Span(text + mark, role, choice=choice.value))
    if len(matches) > rows:
        yield (Span(f"   {len(matches)} in all; type to narrow down", "faint"),)


def _short(text: str, width: int) -> str:
    return text if len(text) <= width else f"{text[: width - 3].rstrip()}..."


def _typed(entry: Entry, width: int) -> Iterator[Line]:
    kind = entry.prompt.kind
    if kind in ("text", "number", "date", "pick") or entry.in_making:
        unit = f" {entry.prompt.unit}" if kind == "number" and entry.prompt.unit else ""
        unit = f"  {entry.understood}" if entry.understood else unit
        # The end of a long text stays in sight, because that is where one types.
        *above, last = _pieces(clean(entry.in_making), max(width - len(unit) - 4, 8))[-TYPED_ROWS:]
        for number, each in enumerate(above):
            yield (Span("  " if number else "> ", "key"), Span(each))
        yield (Span("  " if above else "> ", "key"), Span(last), Span("_"), Span(unit, "faint"))
    if entry.wrong:
        for number, each in enumerate(_wrap(clean(entry.wrong), width - 2)):
            yield (Span(f"{'  ' if number else '! '}{each}", "wrong"),)


def _pieces(text: str, width: int) -> list[str]:
    """A text broken into lines; every space stays, as it was typed."""
    return textwrap.wrap(text, width, drop_whitespace=False) or [""]


def _hints(entry: Entry, width: int) -> Iterator[Line]:
    """What the keys do that belong to no choice."""
    prompt = entry.prompt
    parts: list[tuple[str, str]] = []
    if prompt.kind == "tags":
        parts.append(("keys tick, Enter accepts", "enter"))
    elif entry.typed:
        parts.append(("Enter accepts", "enter"))
    elif prompt.default is not None and prompt.kind != "pick":
        is_marked = any(_is_default(prompt, each) for each in keyed(prompt).values())
        told = f"{clean(_default_in_words(prompt))} ({prompt.default_from})"
        parts.append(("Enter: as marked" if is_marked else f"Enter: {told}", "enter"))
    elif prompt.kind in ("number", "text", "date", "pick"):
        parts.append(("Enter accepts", "enter"))
    if prompt.or_words and not entry.typed:
        parts.append((prompt.or_words, ""))
    if prompt.default_from == AS_BEFORE:
        parts.append(("Tab: all as before", "tab"))
    if prompt.kind == "number" and prompt.none and not entry.typed:
        parts.append((f"{NONE_KEY}: none", NONE_KEY))
    if prompt.can_skip:
        parts.append(("?: cannot tell", "?"))
    parts.append(("Backspace: back", "backspace"))
    yield from _in_a_row(parts, width)


def _in_a_row(parts: Sequence[tuple[str, str]], width: int) -> Iterator[Line]:
    """Hints with a bar between them, broken between hints and, where one is too long, within."""
    row: list[Span] = []
    used = 0
    for text, press in parts:
        if row and used + len(_BAR) + len(text) > width:
            yield tuple(row)
            row, used = [], 0
        if row:
            row.append(Span(_BAR, "faint"))
            used += len(_BAR)
        *above, last = _wrap(text, width)
        for each in above:
            yield (Span(each, "faint", press),)
        row.append(Span(last, "faint", press))
        used += len(last)
    yield tuple(row)


def span_at(lines: Sequence[Line], column: int, row: int) -> Span | None:
    """The piece of text at a place; None where there is none."""
    if not 0 <= row < len(lines):
        return None
    for each in lines[row]:
        column -= len(each.text)
        if column < 0:
            return each
    return None


def _default_in_words(prompt: Prompt) -> str:
    default = prompt.default
    if default == math.inf:
        return prompt.none
    if isinstance(default, int | float):
        return f"{default:g} {prompt.unit}".strip()
    return str(default)


@functools.lru_cache(2048)
def _wrap(text: str, width: int) -> tuple[str, ...]:
    # Most of what is put at an outlet was put at the last one.
    return tuple(textwrap.wrap(text, max(width, 12))) or ("",)
