"""The shape of the house: imports run one way, and headless commands stay headless."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "walkthrough"
ORDER = ["rulebook", "survey", "trade", "judge", "remedy", "report", "cli", "app"]
MODULES = sorted(PACKAGE.rglob("*.py"))


def part_of(module: str) -> str:
    name = module.split(".")[1] if "." in module else ""
    return "cli" if name.startswith(("cli", "__main__")) else name


def imported(text: str) -> list[str]:
    """What may be modules among the imports; relative ones begin with a dot."""
    found: list[str] = []
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.ImportFrom):
            module = "." * node.level + (node.module or "")
            found += [module, *(f"{module}.{alias.name}" for alias in node.names)]
        elif isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_run_one_way(path: Path) -> None:
    own = part_of("walkthrough." + ".".join(path.relative_to(PACKAGE).with_suffix("").parts))
    if own == "cli":
        # The command line stands on top; it may start the app, but only when asked to.
        return
    below = ORDER.index(own) if own in ORDER else -1
    for module in imported(path.read_text(encoding="utf-8")):
        if module.startswith("walkthrough.") and part_of(module) in ORDER:
            assert ORDER.index(part_of(module)) <= below, f"{path} imports {module}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_name_the_whole_module(path: Path) -> None:
    relative = [each for each in imported(path.read_text(encoding="utf-8")) if each[0] == "."]
    assert relative == []


def test_every_way_to_import_is_seen() -> None:
    assert "walkthrough.report" in imported("from walkthrough import report")
    assert "walkthrough.report" in imported("import walkthrough.report")
    assert ".." in imported("from .. import report")
    assert ".as_text" in imported("from .as_text import as_text")


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_each_module_says_what_it_is_for(path: Path) -> None:
    if path.read_text(encoding="utf-8").strip():
        assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    "command",
    [
        ["rules", "list"],
        ["rules", "words", "dwelling"],
        ["replay", str(PACKAGE.parent / "sessions" / "larkspur-house.toml")],
        ["calc", "box-fill", "--wire", "14:2", "--volume", "18"],
        ["calc", "trip-time", "--current", "6", "--json"],
    ],
)
def test_headless_commands_never_import_textual(command: list[str]) -> None:
    program = (
        "import sys; from walkthrough.cli import main; code = main(sys.argv[1:]); "
        "assert 'textual' not in sys.modules; sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", program, *command], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_the_first_screen_waits_for_neither_judge_nor_rulesets() -> None:
    program = (
        "import sys; from unittest.mock import patch; from walkthrough.cli import main; "
        "import walkthrough.app.main; "
        "run = patch('walkthrough.app.main.WalkthroughApp.run', lambda self: None); "
        "run.start(); main([]); print([each for each in sys.modules if each.startswith("
        "('walkthrough.judge', 'walkthrough.rulebook.load', 'pydantic'))])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert done.stdout == "[]\n", done.stderr
