"""Thirty invented rules twice: as a ruleset, and as one plain Python function of two values.

They stand for nothing in any code; what counts is that both say the same.
"""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

from walkthrough.rulebook.load import load
from walkthrough.rulebook.rulebook import Rulebook

_PLACES = ("bathroom", "kitchen", "laundry", "garage", "outdoors", "basement", "bedroom", "hallway")
_CHOICES = {
    "point": ("receptacle", "lighting", "appliance"),
    "device": ("plain", "two_slot", "gfci", "twist"),
    "wetness": ("dry", "damp", "wet"),
    "tester": ("correct", "open_ground", "reversed", "dead"),
    "work": ("untouched", "new", "replaced"),
}
_NUMBERS = {"volts": (12, 240), "amps": (10, 60), "feet_to_sink": (0, 30), "feet_to_tub": (0, 30)}
_YES_NO = (
    "guarded",
    "arc_guarded",
    "shuttered",
    "weather_mark",
    "hood",
    "dedicated",
    "reachable",
    "opened",
    "crowded",
    "plate",
)

_TERMS = {
    "ordinary": "point == 'receptacle' and volts <= 150",
    "near_water": "feet_to_sink <= 6 or feet_to_tub <= 6",
    "touched": "work in ['new', 'replaced']",
}
_RULES: tuple[tuple[str, str, str], ...] = (
    # when, exception, needs
    ("ordinary and 'bathroom' in place", "", "guarded"),
    ("ordinary and 'garage' in place", "dedicated and not reachable", "guarded"),
    ("ordinary and 'outdoors' in place", "", "guarded"),
    ("ordinary and 'basement' in place", "dedicated", "guarded"),
    ("ordinary and 'kitchen' in place and near_water", "", "guarded"),
    ("ordinary and 'laundry' in place", "", "guarded"),
    ("ordinary and near_water", "'kitchen' in place", "guarded"),
    ("point == 'appliance' and 'kitchen' in place", "amps > 50", "guarded"),
    ("ordinary and 'bedroom' in place and touched", "", "arc_guarded"),
    ("ordinary and 'hallway' in place and touched", "", "arc_guarded"),
    ("ordinary and 'kitchen' in place and touched", "dedicated", "arc_guarded"),
    ("point == 'lighting' and 'bedroom' in place and touched", "", "arc_guarded"),
    ("ordinary and amps <= 20", "not reachable", "shuttered"),
    ("ordinary and wetness == 'wet'", "", "weather_mark"),
    ("ordinary and wetness == 'damp'", "", "weather_mark"),
    ("ordinary and wetness == 'wet' and touched", "", "hood"),
    ("point == 'receptacle' and tester == 'open_ground'", "device == 'two_slot'", "no"),
    ("point == 'receptacle' and tester == 'reversed'", "", "no"),
    ("point == 'receptacle' and tester == 'dead'", "", "no"),
    ("device == 'two_slot' and touched", "guarded", "no"),
    ("device == 'gfci'", "", "reachable"),
    ("opened and crowded", "", "no"),
    ("point in ['receptacle', 'lighting']", "", "plate"),
    ("amps > 20 and device == 'plain'", "dedicated", "no"),
    ("device == 'twist' and volts <= 150", "dedicated", "no"),
    ("feet_to_tub <= 3", "point == 'lighting' and wetness != 'dry'", "no"),
    ("volts > 150 and 'outdoors' in place", "not reachable", "guarded"),
    ("volts > 150 and near_water", "amps > 50", "guarded"),
    ("'garage' in place and point == 'lighting' and opened", "", "plate"),
    ("'bathroom' in place and amps < 20 and touched", "not ordinary", "no"),
)


def by_hand(situation: dict[str, Any]) -> list[str]:
    """The outcome of each of the rules, as a programmer would write it down at once."""
    place, point, device = situation["place"], situation["point"], situation["device"]
    wetness, tester, work = situation["wetness"], situation["tester"], situation["work"]
    volts, amps = situation["volts"], situation["amps"]
    sink, tub = situation["feet_to_sink"], situation["feet_to_tub"]
    guarded, arc, shuttered = (
        situation["guarded"],
        situation["arc_guarded"],
        situation["shuttered"],
    )
    mark, hood, dedicated = situation["weather_mark"], situation["hood"], situation["dedicated"]
    reachable, opened = situation["reachable"], situation["opened"]
    crowded, plate = situation["crowded"], situation["plate"]
    ordinary = point == "receptacle" and volts <= 150
    near_water = sink <= 6 or tub <= 6
    touched = work in ("new", "replaced")
    out, met, bad, excepted = "not applicable", "met", "deficient", "excepted"
    guard = met if guarded else bad
    against_arcs = met if arc else bad
    covered = met if plate else bad
    return [
        guard if ordinary and "bathroom" in place else out,
        (excepted if dedicated and not reachable else guard)
        if ordinary and "garage" in place
        else out,
        guard if ordinary and "outdoors" in place else out,
        (excepted if dedicated else guard) if ordinary and "basement" in place else out,
        guard if ordinary and "kitchen" in place and near_water else out,
        guard if ordinary and "laundry" in place else out,
        (excepted if "kitchen" in place else guard) if ordinary and near_water else out,
        (excepted if amps > 50 else guard) if point == "appliance" and "kitchen" in place else out,
        against_arcs if ordinary and "bedroom" in place and touched else out,
        against_arcs if ordinary and "hallway" in place and touched else out,
        (excepted if dedicated else against_arcs)
        if ordinary and "kitchen" in place and touched
        else out,
        against_arcs if point == "lighting" and "bedroom" in place and touched else out,
        (excepted if not reachable else met if shuttered else bad)
        if ordinary and amps <= 20
        else out,
        (met if mark else bad) if ordinary and wetness == "wet" else out,
        (met if mark else bad) if ordinary and wetness == "damp" else out,
        (met if hood else bad) if ordinary and wetness == "wet" and touched else out,
        (excepted if device == "two_slot" else bad)
        if point == "receptacle" and tester == "open_ground"
        else out,
        bad if point == "receptacle" and tester == "reversed" else out,
        bad if point == "receptacle" and tester == "dead" else out,
        (excepted if guarded else bad) if device == "two_slot" and touched else out,
        (met if reachable else bad) if device == "gfci" else out,
        bad if opened and crowded else out,
        covered if point in ("receptacle", "lighting") else out,
        (excepted if dedicated else bad) if amps > 20 and device == "plain" else out,
        (excepted if dedicated else bad) if device == "twist" and volts <= 150 else out,
        (excepted if point == "lighting" and wetness != "dry" else bad) if tub <= 3 else out,
        (excepted if not reachable else guard) if volts > 150 and "outdoors" in place else out,
        (excepted if amps > 50 else guard) if volts > 150 and near_water else out,
        covered if "garage" in place and point == "lighting" and opened else out,
        (excepted if not ordinary else bad)
        if "bathroom" in place and amps < 20 and touched
        else out,
    ]


def rulebook(folder: Path) -> Rulebook:
    """The same rules as a ruleset, loaded from a file in that folder."""
    path = folder / "thirty-rules.toml"
    path.write_text("\n".join([_HEAD, *_questions(), _terms(), *_rules()]), encoding="utf-8")
    return load(str(path))


def situations(count: int, seed: int = 1) -> list[dict[str, Any]]:
    """Outlets of which everything is known."""
    chance = random.Random(seed)
    return [
        {
            "place": chance.sample(_PLACES, chance.choice((1, 1, 2))),
            **{word: chance.choice(choices) for word, choices in _CHOICES.items()},
            **{word: chance.randint(low, high) for word, (low, high) in _NUMBERS.items()},
            **{word: chance.random() < 0.5 for word in _YES_NO},
        }
        for _ in range(count)
    ]


_HEAD = 'format = 1\nid = "thirty-rules"\ntitle = "Thirty invented rules"\n[topic]\nany = "Any"\n'


def _questions() -> list[str]:
    told = [_question("place", "tags", f"choices = {_inline(_PLACES)}")]
    told += [
        _question(word, "choice", f"choices = {_inline(choices)}")
        for word, choices in _CHOICES.items()
    ]
    told += [
        _question(word, "number", f"min = {low}\nmax = {high}")
        for word, (low, high) in _NUMBERS.items()
    ]
    return told + [_question(word, "yes-no", "") for word in _YES_NO]


def _question(word: str, kind: str, more: str) -> str:
    return f'[question.{word}]\nof = "outlet"\nask = "{word}?"\nkind = "{kind}"\n{more}\n'


def _inline(choices: tuple[str, ...]) -> str:
    return "{ " + ", ".join(f'{each} = "{each}"' for each in choices) + " }"


def _terms() -> str:
    return "[term]\n" + "\n".join(f'{name} = "{text}"' for name, text in _TERMS.items()) + "\n"


def _rules() -> list[str]:
    return [
        f'[rule."any.{number}"]\ntopic = "any"\nof = "outlet"\ncite = "{number}"\nwhen = "{when}"\n'
        + (f'exceptions = [{{ cite = "{number} E", when = "{exception}" }}]\n' if exception else "")
        + f'needs = "{needs}"\nkind = "gap"\nseverity = "upgrade"\nsays = "Rule {number}."\n'
        'why = "Invented."\ncure = ["any"]\ndone_by = "anyone"\nconfidence = "memory"\n'
        'source = "invented for measuring"\n'
        for number, (when, exception, needs) in enumerate(_RULES, 1)
    ]
