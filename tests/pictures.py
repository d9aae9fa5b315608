"""Takes the README's pictures from the running app: run after a change of the screens."""

from __future__ import annotations

import asyncio
import datetime
import re
import tempfile
from pathlib import Path

from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.survey import store

ROOT = Path(__file__).resolve().parents[1]
RECORD = ROOT / "sessions" / "larkspur-house.toml"
FOLDER = ROOT / ".pictures"
SIZE = (100, 30)
DAY = datetime.date(2026, 11, 10)


async def take() -> None:
    """The question of an outlet with what follows from it, and the list of deficiencies."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "larkspur-house.toml"
        session = store.load(RECORD)
        outlet = session.outlet("K-5")
        assert outlet is not None
        # One answer is left open, so that the picture shows a question.
        outlet.readings.pop("tester")
        store.save(session, path)
        record = Record.open(path, today=DAY)
        async with WalkthroughApp(record, today=DAY).run_test(size=SIZE) as pilot:
            inspector = Inspector(pilot)
            await inspector.settle()
            _keep(pilot.app.export_screenshot(title="walkthrough"), "question")
            await inspector.press("f5")
            _keep(pilot.app.export_screenshot(title="walkthrough"), "deficiencies")
            await inspector.press("escape", "f3")
            _keep(pilot.app.export_screenshot(title="walkthrough"), "circuits")
        record.close()


def _keep(picture: str, name: str) -> None:
    # Without fonts from elsewhere: a reader's own fixed-width font does.
    local = re.sub(r"@font-face\s*\{[^}]*\}", "", picture)
    local = "\n".join(line.rstrip() for line in local.splitlines()) + "\n"
    FOLDER.mkdir(exist_ok=True)
    (FOLDER / f"{name}.svg").write_text(local, encoding="utf-8")


if __name__ == "__main__":
    asyncio.run(take())
