"""Finds where in a TOML text a key stands, so that an error can name its line and column."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

import tomli

if TYPE_CHECKING:
    from tree_sitter import Node

Path = tuple[str | int, ...]
Point = tuple[int, int]


def locate(text: str, path: Path) -> Point:
    """Line and column (from 1) of the key at `path`; the nearest enclosing key if it is absent."""
    return _nearest(_places(text)[0], path)


def locate_value(text: str, path: Path, offset: int = 0) -> Point:
    """Line and column of the value at `path`; `offset` counts characters inside a string value."""
    keys, values = _places(text)
    if path not in values:
        return _nearest(keys, path)
    start, source = values[path]
    opening = next((len(q) for q in ('"""', "'''", '"', "'") if source.startswith(q)), 0)
    if opening == 3:
        opening += len(source[3:]) - len(source[3:].lstrip("\r\n"))
    before = source[: opening + offset]
    lines = before.count("\n")
    if lines == 0:
        return start[0], start[1] + len(before)
    return start[0] + lines, len(before) - before.rfind("\n")


def decode_error_point(error: tomli.TOMLDecodeError) -> Point:
    """Line and column that the TOML reader gives only inside its message."""
    words = str(error).rpartition("(at line ")[2].rstrip(")").split(", column ")
    if len(words) == 2 and all(word.isdigit() for word in words):
        return int(words[0]), int(words[1])
    return 0, 0


def _nearest(keys: dict[Path, Point], path: Path) -> Point:
    while path:
        if path in keys:
            return keys[path]
        path = path[:-1]
    return 1, 1


def _places(text: str) -> tuple[dict[Path, Point], dict[Path, tuple[Point, str]]]:
    try:
        return _index(text)
    except RecursionError:
        # A key of thousands of parts: the message then goes without its exact place.
        return {}, {}


@functools.lru_cache(maxsize=4)
def _index(text: str) -> tuple[dict[Path, Point], dict[Path, tuple[Point, str]]]:
    # Imported here: only a message about a slip needs a parser that keeps positions.
    import tree_sitter_toml
    from tree_sitter import Language, Parser

    source = text.encode()
    tree = Parser(Language(tree_sitter_toml.language())).parse(source)
    keys: dict[Path, Point] = {}
    values: dict[Path, tuple[Point, str]] = {}
    counts: dict[Path, int] = {}

    def point(node: Node) -> Point:
        row, column = node.start_point
        line_start = source.rfind(b"\n", 0, node.start_byte) + 1
        characters = len(source[line_start : line_start + column].decode(errors="replace"))
        return row + 1, characters + 1

    def content(node: Node) -> str:
        return source[node.start_byte : node.end_byte].decode(errors="replace")

    def key_parts(node: Node) -> tuple[str, ...]:
        if node.type == "dotted_key":
            return tuple(part for child in node.named_children for part in key_parts(child))
        bare = content(node)
        return (bare[1:-1] if node.type == "quoted_key" else bare,)

    def header(base: tuple[str, ...]) -> Path:
        path: Path = ()
        for part in base:
            path = (*path, part)
            if path in counts:
                path = (*path, counts[path] - 1)
        return path

    def note(path: Path, node: Node) -> None:
        keys.setdefault(path, point(node))

    def walk_value(path: Path, node: Node) -> None:
        values.setdefault(path, (point(node), content(node)))
        if node.type == "inline_table":
            for child in node.named_children:
                walk_pair(path, child)
        elif node.type == "array":
            elements = [c for c in node.named_children if c.type != "comment"]
            for number, child in enumerate(elements):
                note((*path, number), child)
                walk_value((*path, number), child)

    def walk_pair(prefix: Path, node: Node) -> None:
        if node.type != "pair" or len(node.named_children) < 2:
            return
        key, value = node.named_children[0], node.named_children[1]
        path = prefix
        for part in key_parts(key):
            path = (*path, part)
            note(path, key)
        walk_value(path, value)

    for node in tree.root_node.named_children:
        if node.type == "pair":
            walk_pair((), node)
        elif node.type in ("table", "table_array_element") and node.named_children:
            parts = key_parts(node.named_children[0])
            if node.type == "table_array_element":
                outer = (*header(parts[:-1]), parts[-1])
                counts[outer] = counts.get(outer, 0) + 1
            path = header(parts)
            for depth in range(1, len(path) + 1):
                note(path[:depth], node.named_children[0])
            for child in node.named_children[1:]:
                walk_pair(path, child)
    return keys, values
