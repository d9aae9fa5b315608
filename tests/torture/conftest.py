"""The practice ruleset and folders of the test's own, as for the screens."""

from __future__ import annotations

from tests.app.conftest import folders

__all__ = ["folders"]
