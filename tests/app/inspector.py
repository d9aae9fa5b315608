"""An inspector at the keyboard: reads the screen, and types what the notebook says."""

from __future__ import annotations

import asyncio
import datetime
import re
from collections.abc import Iterable, Mapping

from textual import events
from textual.pilot import Pilot
from textual.widgets import Footer

from walkthrough.app.fields import FIELD
from walkthrough.app.keys import Entry
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.menu import MENU, carried_prompt
from walkthrough.app.not_tested import OTHER_REASON, TESTED
from walkthrough.app.one_key import answers_at_once, keyed
from walkthrough.app.prompt import Prompt
from walkthrough.app.record import Record
from walkthrough.app.screens.findings import JUDGING
from walkthrough.app.screens.walk import WalkScreen
from walkthrough.app.widgets.question_box import QuestionBox
from walkthrough.survey.model import AnswerValue, Circuit, Outlet, Room, Session, Subject

NAMED = {" ": "space", "-": "minus", "/": "slash", ",": "comma", ".": "full_stop"}
CHARACTERS = {name: character for character, name in NAMED.items()} | {"question_mark": "?"}


class Inspector:
    """Presses keys on an app; `log` keeps them in the order they were pressed."""

    def __init__(self, pilot: Pilot[None], notebook: Session | None = None) -> None:
        self.pilot = pilot
        self.notebook = notebook
        self.log: list[str] = []
        self.entered: dict[str, str] = {}
        """Outlets of the notebook that were entered with the id that was offered."""

    @property
    def app(self) -> WalkthroughApp:
        assert isinstance(self.pilot.app, WalkthroughApp)
        return self.pilot.app

    @property
    def sees(self) -> str:
        """All that is on the screen, as text."""
        strips = self.app.screen._compositor.render_strips()
        return "\n".join(strip.text.rstrip() for strip in strips)

    @property
    def reads(self) -> str:
        """The same as one line."""
        return " ".join(self.sees.split())

    @property
    def walking(self) -> WalkScreen:
        """The screen of the walk, which is in view."""
        assert isinstance(self.app.screen, WalkScreen)
        return self.app.screen

    @property
    def prompt(self) -> Prompt:
        return self.app.screen.query_one(QuestionBox).prompt

    @property
    def record(self) -> Record:
        assert self.app.record is not None
        return self.app.record

    @property
    def at(self) -> Subject:
        return self.walking.walk.focus

    async def press(self, *keys: str) -> None:
        """Press keys by their names."""
        self.send(*keys)
        await self.settle()

    def send(self, *keys: str) -> None:
        """Type ahead: what follows from the keys is not waited for."""
        self.log += keys
        driver = self.app._driver
        assert driver is not None
        # As a terminal sends them: one after the other, without waiting for what is painted.
        for key in keys:
            event = events.Key(key, _character(key))
            event.set_sender(self.app)
            driver.send_message(event)

    async def settle(self) -> None:
        """Wait until every key was taken, and what follows from it is painted."""
        quiet = 0
        for _ in range(20_000):
            if self.app.is_busy or self._is_half_there():
                quiet = 0
                await asyncio.sleep(0)
                continue
            await self.pilot._wait_for_screen()
            quiet += 1
            # A key is on its way to the app, and what it led to on its way to the screen.
            if quiet > 6 and JUDGING not in self.sees:
                break
        else:
            raise AssertionError(f"it never comes to rest:\n{self.sees}")
        self.app.screen._on_timer_update()

    def _is_half_there(self) -> bool:
        # A footer is filled a while after its screen is there.
        return any(not each.children for each in self.app.screen.query(Footer)) or any(
            each.is_held and each.display for each in self.app.screen.query(QuestionBox)
        )

    async def types(self, text: str, then: str = "enter") -> None:
        """Type a text, and Enter."""
        await self.press(*(NAMED.get(each, each) for each in text), *([then] if then else []))

    async def chooses(self, label: str) -> None:
        """Press the key that stands beside an answer on the screen, and Enter where it waits."""
        await self.press(*self._ended(self.key_of(label)))

    def _ended(self, key: str) -> list[str]:
        waits = self.prompt.kind in ("choice", "number") and not answers_at_once(self.prompt, key)
        return [key, "enter"] if waits else [key]

    def key_of(self, label: str) -> str:
        # A long answer may be wrapped, so its beginning is enough.
        for length in (22, 18):
            begins = re.escape(label[:length].rstrip())
            found = re.search(rf"(?:^|\s)(\w)  (?:\[[ x]\] )?{begins}", self.sees, re.MULTILINE)
            if found:
                break
        assert found, f"no key for '{label}' on the screen:\n{self.sees}"
        return found[1]

    async def begins(self, title: str, edition: str) -> None:
        """Start a walk by one edition only, on the day offered."""
        await self.chooses("Start a new walk")
        await self.types(title)
        choice = re.search(rf"(\S)  {re.escape(edition)}", self.sees)
        assert choice
        await self.press(choice[1], "enter", "enter")

    async def answers(self, value: AnswerValue | None) -> None:
        """Answer the present question with a value of the notebook; None cannot be told."""
        prompt = self.prompt
        labels = {choice.value: choice.label for choice in prompt.choices}
        if value is None:
            await self.press("question_mark")
        elif prompt.kind == "yes-no":
            await self.press("y" if value else "n")
        elif prompt.kind == "choice":
            await self.chooses(labels[str(value)])
        elif prompt.kind == "tags":
            assert isinstance(value, list)
            ticked = prompt.default if isinstance(prompt.default, list) else []
            for tag in labels:
                if (tag in value) != (tag in ticked):
                    await self.chooses(labels[tag])
            await self.press("enter")
        elif value == float("inf"):
            await self.press("n", "enter")
        elif value == prompt.default:
            await self.press("enter")
        elif prompt.kind == "pick":
            await self.types(_fewest_letters(prompt, str(value)))
        elif isinstance(value, datetime.date):
            await self.types(value.isoformat())
        elif not isinstance(value, int | float):
            await self.types(str(value))
        else:
            picks = {choice.value: key for key, choice in keyed(prompt).items()}
            told = f"{value:g}"
            await self.types(picks.get(told, told))

    async def works_through(self, subject: Subject, stop_at: str = "") -> None:
        """Answer from the notebook all that is asked about the subject in hand.

        With `stop_at` the questions end where that one is put.
        """
        for _ in range(120):
            prompt = self.prompt
            if prompt.id.startswith(MENU) or (stop_at and prompt.id == stop_at):
                return
            value = noted(subject, prompt, self.entered)
            await self.answers(value)
            assert self.record.saved
        raise AssertionError(f"no end of questions:\n{self.sees}")

    async def adds_circuits(self, ids: Iterable[str]) -> None:
        """Enter circuits one after the other, beginning at the choice of what comes next."""
        assert self.notebook is not None
        for id in ids:
            await self.chooses("Next circuit of this panel")
            await self.types(id)
            circuit = self.notebook.circuit(id)
            assert circuit is not None
            await self.works_through(circuit)

    async def adds_room(self, id: str) -> Room:
        """Enter a room, beginning at its name."""
        assert self.notebook is not None
        room = self.notebook.room(id)
        assert room is not None
        await self.chooses("Another name: type it")
        await self.types(room.name)
        await self.works_through(room)
        return room

    async def adds_outlet(self, id: str, stop_at: str = "") -> None:
        """Enter an outlet, beginning at the choice of what comes next."""
        outlet = self.noted(id)
        if f": {id}" in self.sees:
            await self.chooses("Next outlet in")
        else:
            await self.chooses("Next outlet, with an id")
            await self.types(id)
        await self.works_through(outlet, stop_at)

    async def adds_outlet_like(self, id: str) -> None:
        """Enter an outlet as one does who types little: like the last one of its kind.

        Beginning at the choice of what comes next; it takes the id that is offered, and only what
        differs is told. What does not differ is one key, with what the tester shows.
        """
        outlet = self.noted(id)
        outlets = self.record.session.outlets
        kind = outlet.answer("point")
        alike = [each for each in outlets if each.answer("point") == kind and not each.limits]
        if not alike:
            await self.chooses("Next outlet in")
            self.entered[id] = self.at.id
            await self.works_through(outlet)
            return
        differing = self._differing(alike[-1], outlet)
        if f" like {alike[-1].id}," not in self.sees:
            await self.chooses("Like another outlet")
            await self.types(_fewest_letters(self.prompt, alike[-1].id))
        elif differing and "one thing differs" in self.sees and not outlet.limits:
            await self.chooses("The same again, but one")
            self.entered[id] = self.at.id
            await self._tells(differing[0], outlet)
        elif outlet.readings == alike[-1].readings and "tested it just now" in self.sees:
            await self.chooses("The same again, and I tested")
        else:
            await self.chooses("The same again: ")
        self.entered[id] = self.at.id
        if self.prompt.id == FIELD + "circuit":
            await self.answers(outlet.circuit)
        if outlet.limits:
            await self.press("ctrl+l")
        await self.works_through(outlet)
        here = self.at
        assert isinstance(here, Outlet)
        for prompt in self._differing(here, outlet):
            if prompt not in self._differing(here, outlet):
                # On another circuit, what was copied from one of the old circuit is gone.
                continue
            await self.chooses("Something is different here")
            await self._tells(prompt, outlet)
            await self.works_through(outlet)

    def _differing(self, here: Outlet, outlet: Outlet) -> list[str]:
        """What was told here and is otherwise in the notebook, in the order of the questions."""
        found = [FIELD + "circuit"] if here.circuit != outlet.circuit else []
        order = list(self.record.questions)
        for word in sorted(here.answers, key=order.index):
            told = self._noted_or_presumed(outlet, word)
            if told is not None and here.answer(word) != told:
                found.append(word)
        return found

    def _noted_or_presumed(self, outlet: Outlet, word: str) -> AnswerValue | None:
        """What the notebook does not say is as the question presumes."""
        presumed = self.record.questions[word].presume
        return presumed if outlet.answer(word) is None else outlet.answer(word)

    async def _tells(self, prompt: str, outlet: Outlet) -> None:
        """Choose in the list of what was copied, and answer that anew."""
        is_circuit = prompt == FIELD + "circuit"
        told = outlet.circuit if is_circuit else self._noted_or_presumed(outlet, prompt)
        await self.press(self._key_to(f"tell:{prompt}"))
        await self.answers(told)

    def _key_to(self, value: str) -> str:
        return next(key for key, choice in keyed(self.prompt).items() if choice.value == value)

    async def tells_feed(self, id: str) -> None:
        """Tell from where the outlet in hand is fed, and how that is known."""
        outlet, here = self.noted(id), self.at
        assert isinstance(here, Outlet)
        fed_from = self.entered.get(outlet.fed_from, outlet.fed_from)
        told = (fed_from, outlet.side, outlet.order_known_by)
        if told == (here.fed_from, here.side, here.order_known_by):
            return
        if not here.carried:
            return
        await self.chooses("Something is different here")
        await self.press(self._key_to(f"tell:{FIELD}fed_from"))
        await self.works_through(outlet)

    def noted(self, id: str) -> Outlet:
        """An outlet of the notebook."""
        outlet = self.notebook.outlet(id) if self.notebook is not None else None
        assert outlet is not None
        return outlet

    async def changes(self, word: str, value: AnswerValue) -> None:
        """Change one answer of the subject in hand, told or presumed, and go on from there."""
        listed = carried_prompt(self.record, self.at).choices if self.at.carried else ()
        if any(each.value == f"tell:{word}" for each in listed):
            await self.chooses("Something is different here")
            await self.press(self._key_to(f"tell:{word}"))
            await self.answers(value)
            return
        await self.press("f2")
        await self.types(self.record.book.questions[word].ask)
        # A long question is wrapped.
        assert self.prompt.ask[:40] in " ".join(self.sees.split())
        await self.answers(value)

    async def finishes_what_is_open(self) -> None:
        """Answer what became a question after its subject was left."""
        assert self.notebook is not None
        while True:
            await self.chooses("What is still open elsewhere")
            if "nothing else is open" in self.sees:
                return
            await self.works_through(self._in_notebook(self.at))

    def _in_notebook(self, subject: Subject) -> Subject:
        assert self.notebook is not None
        back = {id: noted for noted, id in self.entered.items()} if subject.of == "outlet" else {}
        key = (subject.of, back.get(subject.id, subject.id))
        return next(each for each in self.notebook.subjects() if (each.of, each.id) == key)


def _fewest_letters(prompt: Prompt, value: str) -> str:
    """As much of a name as must be typed until the list stands on it."""
    for length in range(len(value)):
        entry = Entry(prompt)
        entry.paste(value[:length])
        if entry.highlighted is not None and entry.highlighted.value == value:
            return value[:length]
    return value


def _character(key: str) -> str | None:
    return CHARACTERS.get(key, key if len(key) == 1 else None)


def noted(
    subject: Subject, prompt: Prompt, entered: Mapping[str, str] | None = None
) -> AnswerValue | None:
    """What the notebook says to a prompt about a subject; None where it says nothing.

    `entered` tells the ids of outlets that were entered under another one.
    """
    if not prompt.id.startswith(FIELD):
        return subject.answer(prompt.id)
    name = prompt.id.removeprefix(FIELD)
    if isinstance(subject, Outlet) and name in ("state", "reason", "in_words"):
        if not subject.limits:
            return TESTED
        limit = subject.limits[0]
        if name == "state":
            return limit.what
        # What has no key of its own is typed.
        listed = limit.reason in {choice.value for choice in prompt.choices}
        return limit.reason if listed or name == "in_words" else OTHER_REASON
    value = getattr(subject, name)
    if name in ("shares_neutral_with", "fed_from") and isinstance(subject, Circuit | Outlet):
        # What comes later in the walk cannot be named yet.
        offered = {choice.value for choice in prompt.choices}
        value = (entered or {}).get(value, value) if name == "fed_from" else value
        return value if value in offered else None
    return str(value) or None
