"""Where the files of actions and prices are: a user's own before the shipped ones."""

from __future__ import annotations

from pathlib import Path

from walkthrough.rulebook.files import ruleset_folders
from walkthrough.rulebook.problems import Problem, Unusable

FOLDER = "remedy"


def remedy_file(name: str) -> Path:
    """The first file of that name; raises Unusable where there is none."""
    for folder in ruleset_folders():
        path = folder / FOLDER / name
        if path.is_file():
            return path
    raise Unusable([Problem(name, 0, 0, f"is in no folder '{FOLDER}' beside the rulesets")])
