"""Ruleset files: what they build, and the one clear line that each slip gives."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from walkthrough.rulebook.audit import audit
from walkthrough.rulebook.idle import idle
from walkthrough.rulebook.load import load
from walkthrough.rulebook.problems import Unusable

BASE = """\
format = 1
id = "base"
title = "Base"
section_forms = ["#.#"]
[question.device]
of = "outlet"
ask = "Device?"
kind = "choice"
choices = { plain = "Plain", gfci = "GFCI" }
[question.dry]
of = "room"
ask = "Dry?"
kind = "yes-no"
[question.amps]
of = "circuit"
ask = "Amperes?"
kind = "number"
[topic]
gfci = "GFCI"
[term]
old = "device == 'plain'"
"""

WET = """
[question.wet]
of = "room"
ask = "Wet?"
kind = "choice"
choices = { dry = "Dry", damp = "Damp" }
case_default = { choice = "dry", unless = ["device"], within = { device = ["plain"] } }
"""
FEET = """
[question.feet]
of = "outlet"
ask = "Feet?"
kind = "number"
min = 0
max = 100
none = "None near"
case_default = [
  { number = inf, within = { amps = [15, 20] } },
  { number = 2, at_least = { amps = 30 } },
]
"""
RULE = """\
[rule."gfci.here"]
topic = "gfci"
of = "outlet"
cite = "1.1"
when = "not dry"
needs = "device == 'gfci'"
kind = "gap"
severity = "upgrade"
says = "No GFCI."
why = "Because."
done_by = "qualified person"
confidence = "memory"
source = "invented for this test"
"""

Write = Callable[..., None]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def files(**texts: str) -> None:
        for name, text in {"base": BASE, **texts}.items():
            (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")

    return files


def local(body: str = "", extends: str = "base") -> str:
    return f'format = 1\nid = "local"\ntitle = "Local"\nextends = "{extends}"\n{body}'


def warnings_of(tmp_path: Path) -> list[str]:
    return [str(each).removeprefix(f"{tmp_path}/") for each in audit(load("local", [tmp_path]))]


def problems(tmp_path: Path, ruleset: str = "local") -> list[str]:
    with pytest.raises(Unusable) as caught:
        load(ruleset, [tmp_path])
    return [str(each).removeprefix(f"{tmp_path}/") for each in caught.value.problems]


def test_a_file_states_only_its_differences(write: Write, tmp_path: Path) -> None:
    write(
        middle=local(RULE).replace('"local"', '"middle"'),
        local=local(
            'drop = ["gfci.here"]\n' + RULE.replace("gfci.here", "gfci.there"), extends="middle"
        ),
    )
    book = load("local", [tmp_path])
    assert list(book.rules) == ["gfci.there"]
    assert [source.path.stem for source in book.chain] == ["base", "middle", "local"]
    assert list(load("middle", [tmp_path]).rules) == ["gfci.here"]


def test_the_same_id_replaces_a_rule(write: Write, tmp_path: Path) -> None:
    write(
        middle=local(RULE).replace('"local"', '"middle"'),
        local=local(RULE.replace("1.1", "2.2"), extends="middle"),
    )
    assert load("local", [tmp_path]).rules["gfci.here"].declared.cite == ("2.2",)


TABLE = """
[table.amps_of]
cite = "1.1"
confidence = "confirmed"
rows = { a = 1, b = 2 }
sections = { b = "1.2" }
marks = { b = "memory" }
"""


def test_a_table_takes_the_rows_of_the_file_below(write: Write, tmp_path: Path) -> None:
    write(
        middle=local(TABLE).replace('"local"', '"middle"'),
        local=local('[table.amps_of]\ncite = "2.1"\nconfidence = "one-source"\n', "middle"),
    )
    table = load("local", [tmp_path]).tables["amps_of"]
    assert (table.cite, table.rows) == ("2.1", {"a": 1, "b": 2})
    assert (table.sections, table.marks) == ({"b": "1.2"}, {"b": "memory"})


def test_rows_that_are_gone_take_their_sections_along(write: Write, tmp_path: Path) -> None:
    body = '[table.amps_of]\nconfidence = "memory"\nrows = { a = 3 }\nmarks = { a = "disputed" }\n'
    write(middle=local(TABLE).replace('"local"', '"middle"'), local=local(body, "middle"))
    table = load("local", [tmp_path]).tables["amps_of"]
    assert (table.rows, table.sections, table.marks) == ({"a": 3}, {}, {"a": "disputed"})


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (
            '[table.amps_of]\nconfidence = "memory"\n',
            "local.toml:5:2: no rows, neither here nor in a file below",
        ),
        (
            '[table.amps_of]\nconfidence = "memory"\nrows = { aa = 1 }\nmarks = { ab = "memory" }\n',
            "local.toml:8:11: no row 'ab'; known are 'aa'",
        ),
    ],
)
def test_slips_of_a_table(write: Write, tmp_path: Path, body: str, expected: str) -> None:
    write(local=local(body))
    assert problems(tmp_path) == [expected]


def test_the_first_folder_wins(write: Write, tmp_path: Path) -> None:
    write(local=local(RULE))
    own = tmp_path / "own"
    own.mkdir()
    (own / "local.toml").write_text(local(RULE.replace("1.1", "9.9")), encoding="utf-8")
    assert load("local", [own, tmp_path]).rules["gfci.here"].declared.cite == ("9.9",)


def test_the_fingerprint_follows_every_file_of_the_chain(write: Write, tmp_path: Path) -> None:
    write(local=local(RULE))
    before = load("local", [tmp_path]).fingerprint
    assert load("local", [tmp_path]).fingerprint == before
    write(base=BASE + "# a remark\n", local=local(RULE))
    assert load("local", [tmp_path]).fingerprint != before


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            local(RULE.replace("not dry", "not drry")),
            "local.toml:9:13: unknown word 'drry'; did you mean 'dry'?",
        ),
        (
            local(RULE.replace("'gfci'\"", "'gfic'\"")),
            "local.toml:10:20: 'gfic' is not a choice of 'device'; did you mean 'gfci'?",
        ),
        (
            local(RULE.replace('of = "outlet"', "of = 3")),
            "local.toml:7:6: 'rule' 'gfci.here' 'of' is 3, which is not one of its words; "
            "known are 'circuit', 'dwelling', 'outlet', 'panel', 'room'",
        ),
        (
            local(RULE.replace('of = "outlet"', 'of = "outlett"')),
            "local.toml:7:7: 'rule' 'gfci.here' 'of' is 'outlett', which is not one of its words; "
            "did you mean 'outlet'?",
        ),
        (
            local(RULE.replace('cite = "1.1"\n', "")),
            "local.toml:5:2: the table 'rule' 'gfci.here' lacks 'cite'",
        ),
        (
            local(RULE.replace('cite = "1.1"', 'cite = " "')),
            "local.toml:8:1: a section is empty",
        ),
        (
            local(RULE.replace("needs =", "neds =")).replace("not dry", "dry"),
            "local.toml:5:2: the table 'rule' 'gfci.here' lacks 'needs'\n"
            "local.toml:10:1: the table 'rule' 'gfci.here' cannot have 'neds'; "
            "did you mean 'needs'?",
        ),
        (
            local(RULE.replace('topic = "gfci"', 'topic = "gfi"')),
            "local.toml:6:1: unknown topic 'gfi'; did you mean 'gfci'?",
        ),
        (
            local('drop = ["gfci.her"]\n', extends="base") + RULE,
            "local.toml:5:9: drops 'gfci.her', which is not there; there are none",
        ),
        (
            local(RULE, extends="bas"),
            "local.toml:4:1: extends 'bas', which is not there; did you mean 'base'?",
        ),
        (
            local(RULE, extends="local"),
            "local.toml:4:1: 'extends' goes in a circle: local -> local",
        ),
        (
            local(RULE + "broken = \n"),
            "local.toml:18:10: not valid TOML: invalid value",
        ),
        (
            local('[term]\nnew = "old and newer"\nnewer = "not new"\n'),
            "local.toml:6:1: defined in a circle: new -> newer -> new",
        ),
        (
            local(RULE.replace("No GFCI.", "No GFCI on {ampss}.")),
            "local.toml:13:1: unknown word '{ampss}' in says; did you mean 'amps'?",
        ),
        (
            local(RULE.replace('of = "outlet"', 'of = "circuit"')),
            "local.toml:9:13: 'dry' belongs to the room; a circuit rule cannot see it\n"
            "local.toml:10:10: 'device' belongs to the outlet; a circuit rule cannot see it",
        ),
        (
            local(
                '[term]\na0 = "dry"\n'
                + "".join(f'a{n} = "a{n - 1} and a{n - 1}"\n' for n in range(1, 12))
            ),
            "local.toml:16:8: 2047 parts once its terms are opened; at most 2000",
        ),
        (
            local('[gather.odd]\nof = "room"\nover = "circuit"\nany = "amps > 5"\n'),
            "local.toml:7:1: no circuit belongs to a room; expected 'outlet'",
        ),
        (
            local(
                RULE.replace("No GFCI.", "No GFCI on {device}.")
                .replace('of = "outlet"', 'of = "room"')
                .replace("device == 'gfci'", "dry")
            ),
            "local.toml:13:1: 'device' belongs to the outlet; a room rule cannot see it",
        ),
        (
            local("[term]\ndry = \"device == 'gfci'\"\n"),
            "local.toml:6:1: 'dry' is a question already",
        ),
        (
            "format = 2\n" + local(RULE).partition("\n")[2],
            "local.toml:1:1: format is 2; this program reads format 1",
        ),
        (
            local(RULE).replace('id = "local"', 'id = "lokal"'),
            "local.toml:2:1: id is 'lokal' but the file is named 'local.toml'",
        ),
    ],
)
def test_a_slip_gives_one_clear_line(
    write: Write, tmp_path: Path, text: str, expected: str
) -> None:
    write(local=text)
    assert "\n".join(problems(tmp_path)) == expected


def test_an_unknown_ruleset(write: Write, tmp_path: Path) -> None:
    write()
    assert problems(tmp_path, "bases") == ["ruleset: no 'bases'; did you mean 'base'?"]


def test_a_file_that_is_not_text(write: Write, tmp_path: Path) -> None:
    write()
    (tmp_path / "local.toml").write_bytes(b'format = 1\nid = "\xff"\n')
    assert problems(tmp_path) == ["local.toml:2:1: not UTF-8 text"]


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (RULE.replace("not dry", "dry and not dry"), "local.toml:9:1: 'gfci.here' can never apply"),
        (
            RULE.replace(
                "needs =",
                'exceptions = [{ cite = "1.2", when = "amps > 5 and amps < 4", '
                'confidence = "memory" }]\nneeds =',
            ),
            "local.toml:10:15: exception 1.2 can never open",
        ),
        (
            RULE.replace(
                "needs =",
                'disputed = [{ when = "dry", readings = ["a", "b"] }]\nneeds =',
            ),
            "local.toml:10:1: the dispute of 'gfci.here' can never arise",
        ),
        ('[term]\nidle = "dry"\n' + RULE, "local.toml:6:1: term 'idle' is never used"),
    ],
)
def test_what_is_said_in_vain_is_a_warning(
    write: Write, tmp_path: Path, body: str, expected: str
) -> None:
    write(local=local(body))
    assert warnings_of(tmp_path) == [expected]


@pytest.mark.slow
def test_the_shipped_rulesets_say_nothing_in_vain() -> None:
    assert [str(each) for name in ("nec-2020", "nec-2023") for each in audit(load(name))] == []


@pytest.mark.parametrize("step", [1, -1], ids=["forwards", "backwards"])
def test_a_long_row_of_terms_is_told_and_ends_in_no_traceback(
    write: Write, tmp_path: Path, step: int
) -> None:
    chain = [f'a{n} = "not a{n + 1}"' for n in range(1500)] + ['a1500 = "dry"']
    write(local=local("[term]\n" + "\n".join(chain[::step]) + "\n"))
    assert "at most 100" in problems(tmp_path)[0] or "in a row" in problems(tmp_path)[0]


def test_rules_that_contradict_are_told(write: Write, tmp_path: Path) -> None:
    """In a damp garage one rule wants the device that the other forbids: nobody can do both."""
    other = RULE.replace("gfci.here", "gfci.not-here").replace('"1.1"', '"1.2"')
    other = other.replace("device == 'gfci'", "device == 'plain'")
    write(local=local(RULE + other))
    assert warnings_of(tmp_path) == [
        "local.toml:10:1: 'gfci.here' and 'gfci.not-here' contradict each other (1.1 and 1.2)"
    ]
    apart = other.replace('"not dry"', '"dry"')
    write(local=local(RULE + apart))
    assert warnings_of(tmp_path) == []


def test_a_section_of_another_shape_and_an_exception_without_a_mark(
    write: Write, tmp_path: Path
) -> None:
    rule = RULE.replace('"1.1"', '"1-1"').replace(
        "needs =", "exceptions = [{ cite = '1.2', when = 'dry' }]\nneeds ="
    )
    write(local=local(rule.replace('when = "not dry"', 'when = "amps > 5"')))
    assert warnings_of(tmp_path) == [
        "local.toml:5:2: '1-1' has none of the section forms",
        "local.toml:10:15: exception 1.2 says no confidence",
    ]


def test_without_section_forms_a_misprint_would_go_unseen(write: Write, tmp_path: Path) -> None:
    write(local=local(RULE), base=BASE.replace('section_forms = ["#.#"]\n', ""))
    assert warnings_of(tmp_path) == [
        "local.toml:1:1: no section_forms: a misprinted section would not be noticed"
    ]


def test_what_nobody_reads_is_found_over_all_rulesets(write: Write, tmp_path: Path) -> None:
    idle_question = "[question.colour]\nof = 'outlet'\nask = 'Colour?'\nkind = 'yes-no'\n"
    write(local=local(RULE), other=local(RULE).replace('"local"', '"other"') + idle_question)
    books = [load(name, [tmp_path]) for name in ("local", "other")]
    told = [str(each).removeprefix(f"{tmp_path}/") for each in idle(books)]
    assert told == [
        "base.toml:14:2: question 'amps' is never read: no rule, calculation or record needs it",
        "other.toml:18:2: question 'colour' is never read: no rule, calculation or record needs it",
    ]


def test_choices_that_no_rule_tells_apart(write: Write, tmp_path: Path) -> None:
    more = BASE.replace('plain = "Plain"', 'plain = "Plain", afci = "AFCI", timer = "Timer"')
    write(
        local=local(RULE),
        base=more.replace("old = \"device == 'plain'\"", "").replace("[term]\n", ""),
    )
    told = [str(each) for each in idle([load("local", [tmp_path])])]
    assert "no rule makes use of 'plain', 'afci', 'timer' of 'device'" in told[0]
    kept = more.replace("choices = { plain", 'record_only = ["afci", "timer"]\nchoices = { plain')
    write(local=local(RULE), base=kept)
    told = [str(each) for each in idle([load("local", [tmp_path])])]
    assert not any("makes use of" in each for each in told)


def test_choices_that_go_with_no_other_are_choices_to_be_ticked(
    write: Write, tmp_path: Path
) -> None:
    one = BASE.replace("choices = { plain", 'alone = ["plian"]\nchoices = { plain')
    write(local=local(RULE), base=one)
    with pytest.raises(Unusable) as error:
        load("local", [tmp_path])
    told = str(error.value)
    assert "makes sense only for a tags question" in told
    assert "no choice 'plian'; did you mean 'plain'?" in told


YEARS = """
[question.built]
of = "room"
ask = "Year?"
kind = "number"
min = 1850
max = 2100
step = 1
"""
LENS = (
    YEARS
    + """
[as_built.outlet]
years = [{ of = "room", take = "built" }]
"""
)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ('own_years = ["nope"]\n' + RULE, "local.toml:5:14: no term 'nope'; known are 'old'"),
        (RULE + '[term]\nno_power_to_test = "not gfci_protected"\n',
         "'gfci_protected' is no question"),
        (RULE + LENS.replace("step = 1", ""),
         "'built' tells a year: its question needs min, max and step = 1"),
        (RULE + LENS.replace('"built" }', '"builtt" }'), "'builtt' is no number question; did you mean 'built'?"),
        (RULE + LENS.replace('of = "room", take', 'of = "circuit", take'), "'built' is not asked of a circuit"),
        (RULE + LENS + 'made = { dry = { yes = "no" } }\n', "'dry' is no choice question; "),
        (RULE + LENS + 'made = { device = { plan = "gfci" } }\n', "no choice 'plan' of 'device'; did you mean 'plain'?"),
        (RULE + YEARS + '[as_built.panel]\nyears = [{ of = "room", take = "built" }]\n',
         "a panel does not belong to a room; "),
        (RULE + '[room_template.k]\nwords = ["kitchen"]\nanswers = { dri = true }\n',
         "'dri' is not asked of a room; did you mean 'dry'?"),
        (RULE + '[gather.g]\nof = "room"\nover = "outlet"\nall = "dry"\nat_least = 2\n',
         "'at_least' counts for 'any' only"),
        ("in_force_from = 2020-01-01\nin_force_to = 2019-01-01\n" + RULE,
         "'in_force_to' is before 'in_force_from'"),
        (RULE + WET.replace('"dry"', '"drie"', 1), "no choice 'drie'; "),
        (RULE + WET.replace('["device"]', '["devise"]'), "'devise' is no question; did you mean 'device'?"),
        (RULE + WET.replace('["plain"]', '["plane"]'), "no choice 'plane' of 'device'; did you mean 'plain'?"),
        (RULE + WET.replace("{ device", "{ devise"), "'devise' is no question with choices or a number; did you mean 'device'?"),
        (RULE + FEET.replace("number = inf", "number = 101"), "101 is not between the min and the max of 'feet'"),
        (RULE + FEET.replace('none = "None near"', ""), "'feet' has no answer that means none"),
        (RULE + FEET.replace("amps = [15, 20]", 'amps = ["15 A"]'), "'amps' is a number, and '15 A' is none"),
        (RULE + FEET.replace("{ amps = 30 }", "{ ampss = 30 }"), "'ampss' is no number question; did you mean 'amps'?"),
        (RULE + WET.replace('choice = "dry"', "number = 1"), "'wet' asks for no number"),
        ('section_forms = ["****a*b*c*d"]\n' + RULE, "a section form has at most 3 '*'"),
        (RULE.replace("source =", 'deadlines = [{ programme = "town", hours = 1, days = 1, confidence = "memory" }]\nsource ='),
         "needs exactly one of 'hours' and 'days'"),
        (RULE.replace("source =", 'grade = { word = "Severe" }\nsource ='), "lacks 'confidence'"),
    ],
)  # fmt: skip
def test_slips_in_what_programmes_and_years_need(
    write: Write, tmp_path: Path, body: str, expected: str
) -> None:
    write(local=local(body))
    told = problems(tmp_path)
    assert any(expected in each for each in told), told
    assert all(each.startswith("local.toml:") for each in told)


def test_every_rule_of_the_files_below_can_be_dropped_at_once(write: Write, tmp_path: Path) -> None:
    write(
        middle=local(RULE).replace('"local"', '"middle"'),
        local=local('drop = ["*"]\n' + RULE.replace("gfci.here", "gfci.own"), extends="middle"),
    )
    book = load("local", [tmp_path])
    assert list(book.rules) == ["gfci.own"]
    assert "device" in book.questions


def test_slips_of_every_kind_are_told_at_once(write: Write, tmp_path: Path) -> None:
    """A slip in the shape, in a question, in an expression and in a topic; each told once."""
    body = (
        '[question.bad_kind]\nof = "room"\nask = "?"\nkind = "yes/no"\n'
        '[question.no_choices]\nof = "room"\nask = "?"\nkind = "choice"\n'
        '[gather.odd]\nof = "room"\nover = "circuit"\nany = "amps > 5"\n'
        '[term]\nlooks_odd = "bad_kind or wething"\nalso = "bad_kind and odd"\n'
        + RULE.replace('topic = "gfci"', 'topic = "gfic"')
    )
    write(local=local(body))
    told = problems(tmp_path)
    found = [
        sum(part in each for each in told)
        for part in (
            "'yes/no', which is not one of its words",
            "a choice question needs choices",
            "no circuit belongs to a room",
            "unknown word 'wething'",
            "unknown topic 'gfic'",
            "unknown word 'bad_kind'",
        )
    ]
    assert found == [1, 1, 1, 0, 1, 0]
    body = body.replace("bad_kind or wething", "wething")
    write(local=local(body))
    assert sum("unknown word 'wething'" in each for each in problems(tmp_path)) == 1


def test_a_rule_restated_keeps_what_is_to_be_put_where_as_long_as_its_cure_is_the_same(
    write: Write, tmp_path: Path
) -> None:
    said = RULE.replace("done_by", 'cure = ["gfci"]\nremedy = "a GFCI here"\ndone_by')
    again = RULE.replace("done_by", 'cure = ["gfci"]\ndone_by')
    write(
        middle=local(said).replace('"local"', '"middle"'),
        local=local(again, extends="middle"),
        other=local(again.replace('"gfci"]', '"label"]'), extends="middle").replace(
            '"local"', '"other"'
        ),
    )
    assert load("local", [tmp_path]).rules["gfci.here"].declared.remedy == "a GFCI here"
    assert load("other", [tmp_path]).rules["gfci.here"].declared.remedy == ""


DANGER = """
[danger]
live = { rank = 1, says = "live parts", first_when = "wet" }
mark = { rank = 2, says = "not marked" }

[danger_of]
gfci = "mark"
"""


def test_dangers_are_named_right_and_may_come_from_the_topic(write: Write, tmp_path: Path) -> None:
    good = DANGER.replace('"wet"', '"not dry"')
    write(local=local(good + RULE))
    rule = load("local", [tmp_path]).rules["gfci.here"]
    assert rule.danger is not None
    assert rule.danger.word == "mark"
    bad = RULE.replace("done_by", 'danger = "life"\nremedy = "{devise} here"\ndone_by')
    write(local=local(DANGER.replace('gfci = "mark"', 'gfzi = "marc"') + bad))
    told = problems(tmp_path)
    assert any("unknown word 'wet'" in each for each in told)
    assert any("no topic 'gfzi'; did you mean 'gfci'?" in each for each in told)
    assert any("no danger 'marc'; did you mean 'mark'?" in each for each in told)
    assert any("unknown danger 'life'; did you mean 'live'?" in each for each in told)
    assert any("unknown word '{devise}' in remedy; did you mean 'device'?" in each for each in told)


def test_a_cure_without_plain_words_is_told(write: Write, tmp_path: Path) -> None:
    words = '[cure]\ngfci = "a GFCI here"\n'
    write(local=local(words + RULE.replace("done_by", 'cure = ["gfzi"]\ndone_by')))
    (told,) = [each for each in warnings_of(tmp_path) if "cure" in each]
    assert "cure 'gfzi' has no plain words, and the rule no remedy; did you mean 'gfci'?" in told
    write(local=local(words + RULE.replace("done_by", 'cure = ["gfci"]\ndone_by')))
    assert not [each for each in warnings_of(tmp_path) if "cure" in each]


def test_an_empty_text_for_a_cure_is_refused(write: Write, tmp_path: Path) -> None:
    for text in ("", "  "):
        write(local=local(f'[cure]\ngfci = "{text}"\n'))
        (told,) = problems(tmp_path)
        assert told.startswith("local.toml:6:")


CAVEAT = """
[cure]
gfci = "a GFCI here"

[caveat.plain]
cures = ["gfci"]
except_topics = ["gfci"]
when = "device == 'plain'"
unless = "dry"
says = "the device is plain"
confidence = "memory"
source = "invented for this test"
"""


def test_what_a_caveat_names_has_to_be_there(write: Write, tmp_path: Path) -> None:
    write(local=local(CAVEAT))
    assert load("local", [tmp_path]).caveats["plain"].declared.says == "the device is plain"
    bad = CAVEAT.replace('cures = ["gfci"]', 'cures = ["gfzi"]').replace("'plain'", "'plane'")
    bad = bad.replace('except_topics = ["gfci"]', 'except_topics = ["gfca"]')
    write(local=local(bad.replace('"dry"', '"drie"')))
    told = problems(tmp_path)
    assert any("local.toml:10:10: no cure 'gfzi'; did you mean 'gfci'?" in each for each in told)
    assert any("no topic 'gfca'; did you mean 'gfci'?" in each for each in told)
    assert any("'plane' is not a choice of 'device'" in each for each in told)
    assert any("unknown word 'drie'" in each for each in told)
    write(local=local(CAVEAT.replace('confidence = "memory"\n', "")))
    assert any("confidence" in each for each in problems(tmp_path))


def test_a_figure_that_a_reader_is_told_says_how_well_it_is_known(
    write: Write, tmp_path: Path
) -> None:
    awg = '[explained]\nawg = { written = ["AWG"], says = "14 AWG is for 15 A"%s }\n'
    write(local=local(awg % ""))
    assert any("'awg' holds a figure" in each for each in warnings_of(tmp_path))
    write(local=local(awg % ', confidence = "memory", source = "from memory"'))
    assert not any("holds a figure" in each for each in warnings_of(tmp_path))
    write(local=local('[cure]\ngfci = "a GFCI within 6 ft"\n'))
    assert any("cure 'gfci' holds a figure" in each for each in warnings_of(tmp_path))
