"""Reads the expressions of the rulesets into conditions, and lets nothing else through."""

from __future__ import annotations

import ast
import datetime
from collections.abc import Mapping

from walkthrough.rulebook.conditions import (
    And,
    Answer,
    Compare,
    Fixed,
    Has,
    InRow,
    Literal,
    LookUp,
    Node,
    Not,
    OneOf,
    Operand,
    Or,
    Plain,
    Said,
    Term,
)
from walkthrough.rulebook.problems import nearest
from walkthrough.rulebook.words import Table, Vocabulary, Word

MAX_LENGTH = 2000
MAX_DEPTH = 40
MAX_PARTS = 400


class ExpressionError(ValueError):
    """A slip in an expression; `offset` counts characters from its start."""

    def __init__(self, offset: int, message: str) -> None:
        super().__init__(message)
        self.offset = offset
        self.message = message


_SIGNS: dict[type[ast.cmpop], str] = {
    ast.Eq: "==",
    ast.NotEq: "!=",
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
}
_FLIPPED = {"==": "==", "!=": "!=", "<": ">", "<=": ">=", ">": "<", ">=": "<="}
_WORDS_FOR_TRUTH = {"yes": True, "true": True, "no": False, "false": False}


def parse(text: str, words: Vocabulary) -> Node:
    """Read one expression; raises ExpressionError with the place and the nearest valid word.

    `words` tells what may be named: nothing else can be reached from an expression.
    """
    if len(text) > MAX_LENGTH:
        raise ExpressionError(0, f"expression longer than {MAX_LENGTH} characters")
    if "#" in text:
        raise ExpressionError(text.index("#"), "no comments inside an expression")
    flat = text.replace("\n", " ").replace("\r", " ").replace("\t", " ")
    lead = len(flat) - len(flat.lstrip())
    if not flat.strip():
        raise ExpressionError(0, "empty expression; expected a condition")
    try:
        tree = ast.parse(flat[lead:], mode="eval")
    except SyntaxError as error:
        # Python gives no place where the text ends too early.
        offset = lead + error.offset - 1 if error.offset else len(text)
        raise ExpressionError(min(offset, len(text)), "this is not an expression") from None
    except (ValueError, RecursionError, MemoryError):
        raise ExpressionError(0, "this is not an expression that can be read") from None
    # A name of one letter makes three parts at most, so a short text need not be counted.
    if len(flat) > MAX_PARTS // 4 and sum(1 for _ in ast.walk(tree)) > MAX_PARTS:
        raise ExpressionError(0, f"expression with more than {MAX_PARTS} parts; use terms")
    reader = _Reader(flat[lead:], lead, words)
    reader.refuse_look_alikes(tree)
    return reader.condition(tree.body, 0)


class _Reader:
    """Turns Python's syntax tree into ours, checking types on the way."""

    def __init__(self, text: str, lead: int, words: Vocabulary) -> None:
        self._text = text
        self._lead = lead
        self._words = words

    def refuse_look_alikes(self, tree: ast.AST) -> None:
        """Python reads some letters as the plain ones they look like; here a word is as written."""
        if self._text.isascii():
            return
        for node in ast.walk(tree):
            if isinstance(node, ast.Name) and ast.get_source_segment(self._text, node) != node.id:
                raise self._error(
                    node, f"letters that only look like '{node.id}'; write it plainly"
                )

    def condition(self, node: ast.expr, depth: int) -> Node:
        if depth > MAX_DEPTH:
            raise self._error(node, f"nested deeper than {MAX_DEPTH} levels; use terms")
        match node:
            case ast.BoolOp(op=ast.And(), values=values):
                return And(tuple(self.condition(value, depth + 1) for value in values))
            case ast.BoolOp(op=ast.Or(), values=values):
                return Or(tuple(self.condition(value, depth + 1) for value in values))
            case ast.UnaryOp(op=ast.Not(), operand=operand):
                return Not(self.condition(operand, depth + 1))
            case ast.Name(id=name):
                return self._named_condition(node, name)
            case ast.Constant(value=bool(value)):
                return Fixed(value)
            case ast.Compare(left=left, ops=signs, comparators=others):
                chain = [left, *others]
                pairs = [
                    self._comparison(node, chain[i], sign, chain[i + 1])
                    for i, sign in enumerate(signs)
                ]
                return pairs[0] if len(pairs) == 1 else And(tuple(pairs))
            case _:
                raise self._error(node, f"{_name_of(node)} cannot stand here; expected a condition")

    def _named_condition(self, node: ast.Name, name: str) -> Node:
        if name in _WORDS_FOR_TRUTH:
            return Fixed(_WORDS_FOR_TRUTH[name])
        if name in self._words.terms:
            return Term(name, self._words.terms[name])
        word = self._word(node, name)
        if word.kind != "yes-no":
            hint = f"'{next(iter(word.choices))}'" if word.choices else "a value"
            raise self._error(
                node, f"'{name}' is a {word.kind} word; compare it, for example with {hint}"
            )
        return Said(name)

    def _comparison(
        self, whole: ast.Compare, left: ast.expr, sign: ast.cmpop, right: ast.expr
    ) -> Node:
        if isinstance(sign, (ast.In, ast.NotIn)):
            inside = self._membership(left, right)
            return Not(inside) if isinstance(sign, ast.NotIn) else inside
        written = _SIGNS.get(type(sign))
        if written is None:
            raise self._error(whole, "'is' is not known here; write ==")
        if isinstance(left, ast.Constant) or _is_negative(left):
            left, right, written = right, left, _FLIPPED[written]
        first, kind = self._operand(left, None)
        second, other = self._operand(right, kind)
        if kind.kind != other.kind:
            raise self._error(right, f"a {kind.kind} cannot be compared with a {other.kind}")
        if kind.kind in ("yes-no", "tags"):
            hint = "name it alone" if kind.kind == "yes-no" else "write 'tag' in word"
            raise self._error(left, f"a {kind.kind} word is not compared; {hint}")
        if kind.kind in ("choice", "text") and written not in ("==", "!="):
            raise self._error(whole, f"a {kind.kind} has no order; use == or !=")
        if written == "!=":
            return Not(Compare("==", first, second))
        return Compare(written, first, second)

    def _membership(self, left: ast.expr, right: ast.expr) -> Node:
        if isinstance(left, ast.Constant):
            if not isinstance(right, ast.Name):
                raise self._error(right, "expected a word of kind tags after 'in'")
            word = self._word(right, right.id)
            if word.kind != "tags":
                raise self._error(right, f"'{right.id}' is a {word.kind} word, not tags")
            return Has(str(self._literal(left, word).value), right.id)
        if not isinstance(left, ast.Name):
            raise self._error(left, "expected a word before 'in'")
        word = self._word(left, left.id)
        if word.kind in ("tags", "yes-no"):
            raise self._error(left, f"a {word.kind} word cannot stand before 'in'")
        match right:
            case ast.List(elts=elements) | ast.Tuple(elts=elements):
                return OneOf(left.id, tuple(self._literal(each, word).value for each in elements))
            case ast.Name(id=name):
                table = self._table(right, name)
                keys = tuple(key for key, _ in self._rows(right, table, word))
                return OneOf(left.id, keys, table=name)
            case ast.Subscript():
                row = self._look_up(right)
                if not all(isinstance(value, tuple) for _, value in row.rows):
                    raise self._error(right, f"rows of '{row.table}' are single values, not lists")
                return InRow(left.id, row)
            case _:
                raise self._error(right, "expected a list, a table or a row of a table after 'in'")

    def _operand(self, node: ast.expr, wanted: Word | None) -> tuple[Operand, Word]:
        match node:
            case ast.Name(id=name) if name not in _WORDS_FOR_TRUTH:
                return Answer(name), self._word(node, name)
            case ast.Subscript():
                row = self._look_up(node)
                values = [value for _, value in row.rows]
                if any(isinstance(value, tuple) for value in values):
                    raise self._error(node, f"a row of '{row.table}' is a list; use 'in'")
                kind = "number" if all(_is_number(value) for value in values) else "text"
                return row, Word(name=row.table, kind=kind)
            case _ if wanted is not None:
                return self._literal(node, wanted), wanted
            case _:
                raise self._error(node, f"{_name_of(node)} cannot be compared; expected a word")

    def _literal(self, node: ast.expr, word: Word) -> Literal:
        value: object = None
        if isinstance(node, ast.Constant):
            value = node.value
        elif isinstance(node, ast.UnaryOp) and _is_negative(node):
            value = ast.literal_eval(node)
        else:
            raise self._error(node, f"{_name_of(node)} cannot stand here; expected a value")
        if word.kind == "number":
            if isinstance(value, (int, float)) and not isinstance(value, bool):
                return Literal(value)
            raise self._error(node, f"'{word.name}' is a number; found {value!r}")
        if not isinstance(value, str):
            raise self._error(node, f"'{word.name}' is a {word.kind}; found {value!r}")
        if word.kind == "date":
            try:
                return Literal(datetime.date.fromisoformat(value))
            except ValueError:
                raise self._error(node, f"'{value}' is not a date; write 'YYYY-MM-DD'") from None
        if word.kind in ("choice", "tags") and value not in word.choices:
            hint = nearest(value, word.choices)
            raise self._error(node, f"'{value}' is not a choice of '{word.name}'; {hint}")
        return Literal(value)

    def _look_up(self, node: ast.Subscript) -> LookUp:
        if not isinstance(node.value, ast.Name) or not isinstance(node.slice, ast.Name):
            raise self._error(node, "write a row as TABLE[word]")
        table = self._table(node.value, node.value.id)
        word = self._word(node.slice, node.slice.id)
        if word.kind in ("tags", "yes-no", "date"):
            raise self._error(node.slice, f"a {word.kind} word cannot choose a row")
        return LookUp(table.name, self._rows(node, table, word), Answer(word.name))

    def _rows(
        self, node: ast.expr, table: Table, word: Word
    ) -> tuple[tuple[Plain, Plain | tuple[Plain, ...]], ...]:
        rows: list[tuple[Plain, Plain | tuple[Plain, ...]]] = []
        for key, value in table.rows.items():
            cell: Plain | tuple[Plain, ...] = (
                tuple(each for each in value) if isinstance(value, list) else value
            )
            if word.kind == "number":
                try:
                    rows.append((float(key), cell))
                except ValueError:
                    raise self._error(
                        node, f"row '{key}' of '{table.name}' is no number, as '{word.name}' is"
                    ) from None
            elif word.kind == "choice" and key not in word.choices:
                hint = nearest(key, word.choices)
                raise self._error(
                    node, f"row '{key}' of '{table.name}' is not a choice of '{word.name}'; {hint}"
                )
            else:
                rows.append((key, cell))
        return tuple(rows)

    def _word(self, node: ast.expr, name: str) -> Word:
        if name in self._words.words:
            return self._words.words[name]
        if name in self._words.terms or name in self._words.tables:
            what = "term" if name in self._words.terms else "table"
            raise self._error(node, f"'{name}' is a {what}; it cannot be used in this way")
        raise self._error(node, f"unknown word '{name}'; {nearest(name, self._words.names())}")

    def _table(self, node: ast.expr, name: str) -> Table:
        if name in self._words.tables:
            return self._words.tables[name]
        raise self._error(node, f"unknown table '{name}'; {nearest(name, self._words.tables)}")

    def _error(self, node: ast.expr, message: str) -> ExpressionError:
        before = self._text.encode()[: node.col_offset].decode(errors="ignore")
        return ExpressionError(self._lead + len(before), message)


def _is_negative(node: ast.expr) -> bool:
    return (
        isinstance(node, ast.UnaryOp)
        and isinstance(node.op, ast.USub)
        and isinstance(node.operand, ast.Constant)
        and isinstance(node.operand.value, (int, float))
    )


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _name_of(node: ast.expr) -> str:
    names: Mapping[type[ast.expr], str] = {
        ast.Call: "a call",
        ast.Attribute: "a dotted name",
        ast.BinOp: "arithmetic",
        ast.Lambda: "a function",
        ast.IfExp: "if/else",
        ast.Subscript: "a row of a table",
        ast.Constant: "a bare value",
        ast.List: "a list",
        ast.Name: "a word",
    }
    return names.get(type(node), "this")
