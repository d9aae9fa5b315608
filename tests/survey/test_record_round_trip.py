"""A record is the same after it was saved and loaded, and so is its file."""

from __future__ import annotations

import re
import tempfile
import tomllib
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from walkthrough.survey.canonical import as_toml
from walkthrough.survey.model import (
    Circuit,
    Dwelling,
    Finding,
    JudgedBy,
    Limit,
    Outlet,
    Panel,
    Room,
    Session,
    SurveyLimit,
    Trip,
    Visit,
)
from walkthrough.survey.store import load, save

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
names = st.text("abcK19-_./ é'\"", min_size=1, max_size=6).map(str.strip).filter(bool)
values = st.one_of(
    st.booleans(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    texts,
    st.dates(),
    st.lists(texts, max_size=3),
)


@st.composite
def asked(draw: st.DrawFn) -> dict[str, Any]:
    """What any subject may hold; no question is answered in two places."""
    answers = draw(st.dictionaries(texts, values, max_size=4))
    readings = draw(st.dictionaries(texts, values, max_size=2))
    unsure = draw(st.lists(texts, max_size=2, unique=True))
    return {
        "answers": answers,
        "readings": {k: v for k, v in readings.items() if k not in answers},
        "cannot_tell": [k for k in unsure if k not in answers and k not in readings],
        "note": draw(texts),
        "photos": draw(st.lists(texts, max_size=2)),
    }


@st.composite
def sessions(draw: st.DrawFn) -> Session:
    """Any record that holds together."""
    some_ids = st.lists(names.filter(lambda name: "/" not in name and name != "panel"), unique=True)
    panel_ids = draw(some_ids.filter(bool))
    circuits = [
        Circuit(id=id, panel=panel, serves=draw(texts), **draw(asked()))
        for panel in panel_ids[:2]
        for id in draw(some_ids)
    ]
    session = Session(
        title=draw(texts),
        judged_by=JudgedBy(ruleset=draw(texts), fingerprint=draw(texts)),
        visits=draw(st.lists(st.builds(Visit, date=st.dates(), by=texts), max_size=2)),
        dwelling=Dwelling(**draw(asked())),
        panels=[Panel(id=id, name=draw(texts), **draw(asked())) for id in panel_ids],
        circuits=circuits,
        rooms=[Room(id=id, name=draw(texts), **draw(asked())) for id in draw(some_ids)],
        limits=draw(st.lists(st.builds(SurveyLimit, subject=texts, reason=texts), max_size=2)),
        findings=draw(st.lists(st.builds(Finding, **dict.fromkeys(_FINDING, texts)), max_size=2)),
    )
    if session.rooms and circuits:
        _add_outlets(draw, session, draw(some_ids))
    return session


_FINDING = ("subject", "of", "rule", "topic", "kind", "severity", "says", "confidence")


def _add_outlets(draw: st.DrawFn, session: Session, ids: list[str]) -> None:
    for number, id in enumerate(ids):
        session.outlets.append(
            Outlet(
                id=id,
                room=draw(st.sampled_from(session.rooms)).id,
                circuit=session.reference(draw(st.sampled_from(session.circuits))),
                at=draw(texts),
                # Only from outlets before it, so that nothing feeds itself.
                fed_from=draw(st.sampled_from(["", "panel", *ids[:number]])),
                side=draw(st.sampled_from(["through", "load", "line"])),
                order_known_by=draw(st.sampled_from(["opened", "told", "unknown"])),
                limits=draw(st.lists(st.builds(Limit, what=texts, reason=texts), max_size=2)),
                **draw(asked()),
            )
        )
    for id in ids[:2]:
        session.trips.append(
            Trip(at=id, action="test button", went_dead=ids[:1], stayed_live=ids[1:], note="x")
        )


def test_the_worked_example_is_read_as_meant(record_file: Path, small_session: Session) -> None:
    assert load(record_file) == small_session


def test_the_worked_example_is_written_as_shown(
    tmp_path: Path, small_record: str, small_session: Session
) -> None:
    path = tmp_path / "new.toml"
    save(small_session, path)
    assert path.read_bytes() == one_item_a_line(small_record).encode()


def one_item_a_line(record: str) -> str:
    """The text as the TOML writer sets its lists."""

    def spread(match: re.Match[str]) -> str:
        items = "".join(f"    {item},\n" for item in match[2].split(", "))
        return f"{match[1]}[\n{items}]"

    return re.sub(r'(?m)^(\w+ = )\[(".*")\]$', spread, record)


def test_empty_fields_are_left_out() -> None:
    session = Session(title="Empty", judged_by=JudgedBy(ruleset="nec-2020"))
    expected = 'format = 1\ntitle = "Empty"\n\n[judged_by]\nruleset = "nec-2020"\n'
    assert as_toml(session) == expected


def test_an_empty_list_of_tags_is_an_answer_and_stays(tmp_path: Path) -> None:
    session = Session(title="Empty", judged_by=JudgedBy(ruleset="nec-2020"))
    session.dwelling.answers["serves"] = []
    save(session, tmp_path / "record.toml")
    assert load(tmp_path / "record.toml").dwelling.answers == {"serves": []}


def test_whatever_changes_in_a_part_is_written(small_session: Session) -> None:
    def is_as_new() -> bool:
        # Of a copy nothing was written before.
        return as_toml(small_session) == as_toml(small_session.model_copy(deep=True))

    outlet = small_session.outlets[0]
    # True, 1 and 1.0 are equal to Python, and each is written otherwise.
    for value in (True, 1, 1.0, "1", ["a"]):
        outlet.answers["told"] = value
        assert as_toml(small_session, outlet) == as_toml(small_session)
        assert is_as_new()
    told = outlet.answers["told"]
    assert isinstance(told, list)
    told.append("b")
    assert is_as_new()
    outlet.limits.append(Limit(what="not tested", reason="no power"))
    assert is_as_new()
    outlet.limits[-1].reason = "no key"
    assert is_as_new()


@given(st.lists(st.integers(0, 9999), max_size=30))
@settings(max_examples=60, deadline=None)
def test_an_answer_is_written_where_its_subject_stands_now(numbers: list[int]) -> None:
    """Subjects come and go and whole lists are exchanged; then one answer is written by itself."""
    session = Session(title="House", judged_by=JudgedBy(ruleset="nec-2020"))
    as_toml(session)
    for number in numbers:
        outlets = session.outlets
        match number % 4:
            case 0:
                outlets.insert(
                    number % (len(outlets) + 1), Outlet(id=f"{number}", room="k", circuit="C")
                )
                as_toml(session)
            case 1 if outlets:
                del outlets[number % len(outlets)]
                as_toml(session)
            case 2:
                session = session.model_copy(update={"outlets": [*reversed(outlets)]})
                as_toml(session)
            case 3 if outlets:
                outlet = outlets[number % len(outlets)]
                outlet.answers["amps"] = number
                assert as_toml(session, outlet) == as_toml(session.model_copy(deep=True))


def test_answers_given_in_another_order_make_the_same_file(small_session: Session) -> None:
    before = as_toml(small_session)
    outlet = small_session.outlets[0]
    outlet.answers = dict(reversed(outlet.answers.items()))
    assert as_toml(small_session) == before


def test_line_ends_and_byte_order_mark_of_other_editors_do_no_harm(
    record_file: Path, small_record: str, small_session: Session
) -> None:
    record_file.write_bytes(b"\xef\xbb\xbf" + small_record.replace("\n", "\r\n").encode())
    assert load(record_file) == small_session


@settings(max_examples=60, deadline=None)
@given(session=sessions())
def test_any_record_comes_back_the_same(session: Session) -> None:
    with tempfile.TemporaryDirectory() as folder:
        first, second = Path(folder, "first.toml"), Path(folder, "second.toml")
        save(session, first)
        again = load(first)
        save(again, second)
        assert again == session
        assert second.read_bytes() == first.read_bytes()
        assert tomllib.loads(first.read_text(encoding="utf-8"))["title"] == session.title
