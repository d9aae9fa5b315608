"""Command lines put together by chance: good words in wrong places, and hostile ones."""

from __future__ import annotations

import random
import re

from tests.torture.hostile import TEXTS
from tests.torture.watched import Tried, called, wrongs
from tests.torture.yard import Yard

_CALCULATIONS = {
    "box-fill": "--wire --ground --clamps --device --volume --box --protective",
    "ampacity": "--size --insulation --cables --breaker --ambient",
    "circuit-load": "--circuit --receptacle --plug --fastened --continuous",
    "voltage-drop": "--size --amps --length --unloaded-volts --loaded-volts",
    "trip-time": "--current --seconds --milliseconds --no-trip --tripped-at",
    "trip-round": "--device --outlet --test --devices --outlets --tests",
    "spacing": "--wall --receptacle --counter --island --outlets --outlet --basin --around --deck "
    "--hallway --garage --outdoors --front --file --area --peninsula --equipment --distance",
    "readings": "--lights --hot-neutral --neutral-ground --two-wire --trip-ma --trip-ms --load-amps",
}
_VALUES = [
    "14:2",
    "14:6,12:2",
    "12:-1",
    "999999999:1",
    "14:999999999999",
    "1x12",
    "18",
    "1e9",
    "1e-9",
    "0",
    "-5",
    "nan",
    "inf",
    "12ft",
    "8ft6in",
    "12ft,door,3ft",
    "0ft",
    "1e99ft",
    "99999999999ft",
    "1/0",
    "0/0",
    "1/0ft",
    "4ft;4ft",
    "correct",
    "none",
    "NM-B",
    "20",
    "4x2",
    "0x0",
    "1500W",
    "120V",
    "485ms",
    "20s",
    "5mA",
    "K-1",
    "K-1:K-1/K-2",
    "breaker:/K-1",
    "5ftx9ft",
    "0ftx0ft",
    "٣ft",
    "²ft",
    "Infinity",
    "1_000",
    "0x10",
    "3x2x3-1/2",
    "yes",
    "no",
    "10%",
]


def line(yard: Yard, chance: random.Random, data: bytes | None = None) -> Tried:
    """One command line."""
    arguments = _words(yard, chance)
    if data is not None:
        arguments = data.decode(errors="surrogateescape").replace("\0", "").split("\n")
    # The app itself needs a terminal, `rules check` and `coverage` of all take minutes.
    is_left_out = (
        arguments[:1] in ([], ["walk"])
        or arguments in (["rules", "check"], ["rules", "cases"])
        or arguments[:2] == ["rules", "coverage"]
        or not re.match("rules|calc|replay|plan", arguments[0])
    )
    if is_left_out:
        arguments = ["rules", "show", *arguments[2:]]
    out = None
    if "--out" in arguments[:-1]:
        out = yard.path("out.txt")
        arguments[arguments.index("--out") + 1] = str(out)
    tried = Tried("command line", "\n".join(arguments).encode(errors="surrogateescape"))
    told = called(*arguments)
    tried.told.append(told)
    tried.wrong += wrongs(told, yard.folder, may_fail=True, out=out)
    if out is not None:
        out.unlink(missing_ok=True)
    return tried


def _words(yard: Yard, chance: random.Random) -> list[str]:
    hostile = [each.replace("\0", "") for each in TEXTS]
    files = [str(each) for each in sorted(yard.folder.rglob("*.toml"))]
    files += [str(yard.folder), str(yard.path("absent.toml")), "/dev/null", "bad\udcff.toml"]
    names = ["practice", "third", "nec-2020", "nec-2099", "", ".toml", "../third", "2020", *files]

    def anything() -> str:
        return chance.choice((chance.choice(hostile), chance.choice(_VALUES), chance.choice(files)))

    record = str(yard.path(chance.choice(("record.toml", "units.toml", "absent.toml"))))
    match chance.randrange(6):
        case 0 | 1:
            name, options = chance.choice(list(_CALCULATIONS.items()))
            words = ["calc", name]
            for option in chance.choices(options.split(), k=chance.randrange(1, 6)):
                words.append(option)
                if chance.random() < 0.9:
                    words.append(chance.choice((*_VALUES, *_VALUES, *hostile)))
            if chance.random() < 0.5:
                words += ["--ruleset", chance.choice(names)]
        case 2:
            asked = chance.choice(("show", "words", "compare", "cases"))
            # A whole edition is not compared: that takes long, hostile or not.
            of = [each for each in names if asked != "compare" or each != "nec-2020"]
            words = ["rules", asked, *chance.choices(of, k=2)]
        case 3:
            words = ["plan", record]
        case _:
            words = ["replay", record]
    further = [
        "--ruleset",
        "--as-built",
        "--adoption-lag",
        "--series",
        "--format",
        "--for",
        "--firm",
        "--prices",
        "--out",
        "--fail-on",
        "--scope",
        "--prefer",
        "--budget",
        "--json",
        "--topic",
        "--file",
        "--help",
        "--version",
        "--",
        "-x",
        "--rulset",
    ]
    plain = "text json csv html md client landlord electrician now all 500".split()  # noqa: SIM905
    for _ in range(chance.choice((0, 1, 2, 4))):
        words.append(chance.choice(further))
        if chance.random() < 0.8:
            words.append(chance.choice((chance.choice(plain), chance.choice(names), anything())))
    if chance.random() < 0.2:
        words.insert(chance.randrange(len(words) + 1), anything())
    return words
