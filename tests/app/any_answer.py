"""Keys that answer whatever is asked, taken by chance; all of them could come from a person."""

from __future__ import annotations

import datetime
import random
from collections.abc import Callable

from walkthrough.app import menu
from walkthrough.app.keys import Entry, Reply
from walkthrough.app.new_prompts import NEW
from walkthrough.app.one_key import answers_at_once, keyed
from walkthrough.app.prompt import Prompt

ENTER, TAB, BACK = "\r", "\t", "\x7f"
NAMES = {ENTER: "enter", TAB: "tab", BACK: "backspace"}
WORDS = ("left", "by the door", "east wall", 'the "old" one', "Küche", "C:\\attic", "[2]", "x")
ONWARD = {
    "next": 8,
    menu.ALIKE: 3,
    menu.ALIKE_TESTED: 2,
    NEW + "outlet": 1,
    NEW + "circuit": 2,
    NEW + "room": 2,
}
"""How often each way is gone, in proportion; ways to other screens are not."""


def replied(prompt: Prompt, keys: str) -> Reply | None:
    """What keys mean to a prompt; None where they are no answer."""
    entry = Entry(prompt)
    for key in keys:
        reply = entry.press(NAMES.get(key, key), None if key in NAMES else key)
        if not isinstance(reply, bool):
            return reply
    return None


def keys_for(prompt: Prompt, chance: random.Random) -> str:
    """One of the ways to answer; not all of them are taken."""
    if prompt.id.startswith(menu.MENU):
        return _onward(prompt, chance)
    if prompt.can_skip and chance.random() < 0.06:
        return "?"
    if prompt.default is not None and chance.random() < 0.4:
        return ENTER
    return _BY_KIND[prompt.kind](prompt, chance)


def _onward(prompt: Prompt, chance: random.Random) -> str:
    ways = {choice.value: key for key, choice in keyed(prompt).items()}
    open_ways = [way for way in ways if way in ONWARD or way.startswith(menu.GO)]
    weights = [ONWARD.get(way, 3) for way in open_ways]
    return ways[chance.choices(open_ways, weights)[0]]


def _by_key(prompt: Prompt, chance: random.Random) -> str:
    key = chance.choice(list(keyed(prompt)))
    return key if answers_at_once(prompt, key) else key + ENTER


def _tags(prompt: Prompt, chance: random.Random) -> str:
    keys = list(keyed(prompt))
    return "".join(chance.sample(keys, min(len(keys), chance.choice((1, 1, 2))))) + ENTER


def _number(prompt: Prompt, chance: random.Random) -> str:
    shown = list(keyed(prompt))
    if shown and chance.random() < 0.6:
        return chance.choice(shown) + ENTER
    question = prompt.question
    low = int(question.min or 0) if question is not None else 1
    high = int(question.max or low + 50) if question is not None else 3
    return f"{chance.randint(low, min(high, low + 200))}{ENTER}"


def _text(_: Prompt, chance: random.Random) -> str:
    return f"{chance.choice(WORDS)} {chance.randint(1, 999)}{ENTER}"


def _date(_: Prompt, chance: random.Random) -> str:
    return f"{datetime.date(2020, 1, 1) + datetime.timedelta(chance.randrange(2000))}{ENTER}"


def _pick(prompt: Prompt, chance: random.Random) -> str:
    few = prompt.choices[:6]
    return (chance.choice(few).value if few else "") + ENTER


_BY_KIND: dict[str, Callable[[Prompt, random.Random], str]] = {
    "choice": _by_key,
    "yes-no": _by_key,
    "tags": _tags,
    "number": _number,
    "text": _text,
    "date": _date,
    "pick": _pick,
}
