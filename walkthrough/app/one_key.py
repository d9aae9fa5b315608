"""Which key stands for which answer, and whether it is an answer by itself."""

from __future__ import annotations

import string

from walkthrough.app.prompt import Choice, Prompt

NONE_KEY = "n"
# Without "o": after "n" it is the rest of a typed "no".
_LETTERS = string.ascii_lowercase.replace("o", "")
_ONE_KEYS = string.digits[1:] + _LETTERS
MOST_KEYS = len(_ONE_KEYS)
"""As many answers can have a key of their own."""
_PICK_KEYS = _LETTERS.replace(NONE_KEY, "")


def keyed(prompt: Prompt) -> dict[str, Choice]:
    """The one key of each choice, in the order shown."""
    if prompt.kind in ("choice", "tags"):
        own = {each.key for each in prompt.choices}
        free = (key for key in _ONE_KEYS if key not in own)
        with_keys = ((each.key or next(free, ""), each) for each in prompt.choices)
        return {key: each for key, each in with_keys if key}
    if prompt.kind == "yes-no":
        return {"y": Choice("yes", "Yes"), "n": Choice("no", "No")}
    if prompt.kind == "number":
        unit = f" {prompt.unit}" if prompt.unit else ""
        shown = {
            key: Choice(f"{pick:g}", f"{pick:g}{unit}")
            for key, pick in zip(_PICK_KEYS, prompt.picks, strict=False)
        }
        return shown | ({NONE_KEY: Choice("none", prompt.none)} if prompt.none else {})
    return {}


def answers_at_once(prompt: Prompt, key: str) -> bool:
    """Whether the key of an answer is taken without Enter.

    A letter begins a word, and a word is one answer: letters wait for Enter. Only y and n do not,
    and the ways on, which answer no question.
    """
    if prompt.kind == "yes-no" or prompt.is_way:
        return True
    return prompt.kind == "choice" and key.isdigit()
