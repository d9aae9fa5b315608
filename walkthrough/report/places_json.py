"""What stands where, as plain data: circuits as trees, devices with their reach, and rooms."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

from walkthrough.judge.judge import SEVERITIES, Judgement
from walkthrough.judge.under import Judged
from walkthrough.report.text import joined
from walkthrough.rulebook.explain import spoken
from walkthrough.survey.model import Circuit, Finding, Outlet, Room, Session, Subject
from walkthrough.trade.drawing import Drawn, drawn
from walkthrough.trade.protection import TEST_OF, Giver, Tracer


def protection(judged: Judged) -> list[dict[str, Any]]:
    """The kinds of protection of the rulesets: what they may ask for, and what devices give.

    `topic` is the key in `requires` and `has`, "" for what no ruleset asks for; `kind` that in
    `protected_by` and `covers`, "" for what is not traced along the wiring, such as a mark.
    """
    kinds: dict[tuple[str, str], str] = {}
    for one in judged.all or ([judged.whole] if judged.whole else []):
        for demand in one.book.demands.values():
            word = one.book.vocabulary.words[demand.has]
            kinds.setdefault((demand.topic, word.protection), one.book.topics[demand.topic])
    told = {kind for _, kind in kinds}
    given = judged.whole.house.tracer.tables.kinds if judged.whole else ()
    kinds.update({("", kind): "" for kind in given if kind not in told})
    return [
        {"topic": topic, "kind": kind, "title": title} for (topic, kind), title in kinds.items()
    ]


def circuits(judgement: Judgement) -> list[dict[str, Any]]:
    """Every circuit with its breaker, and its outlets as they hang on one another."""
    wiring, book = judgement.house.wiring, judgement.book
    tables = judgement.house.tracer.tables
    return [
        {
            "id": name,
            "panel": circuit.panel,
            "serves": circuit.serves,
            "told": [
                spoken(word, circuit.answer(word), book)
                for word in ("breaker_amps", "breaker", "conductor")
                if circuit.answer(word) is not None
            ],
            "gives": sorted(tables.breaker.get(str(circuit.answer("breaker")), ())),
            "shares_neutral_with": [
                wiring.name(each) for each in wiring.sharing_neutral(circuit) if each is not circuit
            ],
            "wiring": [_hung(judgement, each) for each in drawn(wiring, circuit)],
        }
        for name, circuit in judgement.session.references(judgement.session.circuits).items()
    ]


def _hung(judgement: Judgement, line: Drawn) -> dict[str, Any]:
    """One outlet of a tree: `hangs_on` is what it is drawn under, `fed_from` what was recorded."""
    outlet = line.outlet
    device = outlet.answer("device")
    return {
        "outlet": line.name,
        "branches": line.branches,
        "at": outlet.at,
        "hangs_on": line.hangs_on,
        "fed_from": outlet.fed_from,
        "side": outlet.side,
        "known_by": outlet.order_known_by,
        "device": "" if device is None else spoken("device", device, judgement.book),
        "gives": sorted(judgement.house.tracer.tables.device.get(str(device), ())),
    }


def devices(judgement: Judgement) -> list[dict[str, Any]]:
    """Every device and breaker with a TEST button: what its last TEST showed, what it covers."""
    tracer, session = judgement.house.tracer, judgement.session
    looked: list[tuple[Outlet | Circuit, str, str, Any]] = [
        *((each, *TEST_OF[each.of], tracer.tables.device) for each in session.outlets),
        *((each, *TEST_OF[each.of], tracer.tables.breaker) for each in session.circuits),
    ]
    covers = _covers(tracer)
    return [
        {
            "at": session.reference(subject),
            "of": subject.of,
            "place": _stands(session, subject),
            "device": spoken(word, subject.answer(word), judgement.book),
            "test_result": spoken(test, subject.answer(test), judgement.book),
            "gives": sorted(gives[str(subject.answer(word))]),
            "covers": covers.get(Giver(subject.of, tracer.wiring.name(subject)), _nothing(tracer)),
        }
        for subject, word, test, gives in looked
        if gives.get(str(subject.answer(word)))
    ]


def _covers(tracer: Tracer) -> dict[Giver, dict[str, list[str]]]:
    """Device or breaker -> kind -> the outlets to which it is credited, in record order."""
    covered: dict[Giver, dict[str, list[str]]] = {}
    for name, outlet in tracer.wiring.outlets.items():
        for kind in tracer.tables.kinds:
            for by in tracer.protection(outlet, kind).givers:
                covered.setdefault(by, _nothing(tracer))[kind].append(name)
    return covered


def _nothing(tracer: Tracer) -> dict[str, list[str]]:
    return {kind: [] for kind in tracer.tables.kinds}


def _stands(session: Session, subject: Outlet | Circuit) -> str:
    name = session.reference(subject)
    if isinstance(subject, Circuit):
        return f"breaker of {name}, {subject.serves}"
    return stands(session, subject)


def stands(session: Session, subject: Subject) -> str:
    """A subject and, of an outlet, where one finds it."""
    name = session.reference(subject)
    if not isinstance(subject, Outlet):
        return name
    room = session.room(subject.room)
    return joined((name, room.name if room else subject.room, subject.at))


def rooms(judged: Judged) -> list[dict[str, Any]]:
    """Every room with its outlets, and how many findings of each severity are in it.

    What belongs to a room is what was found at it or at an outlet in it, counted once.
    """
    session = judged.session
    named = session.references(session.rooms)
    inside = _inside(session)
    return [
        {
            "id": name,
            "name": room.name,
            "unit": session.unit_of(room),
            "outlets": inside[id(room)],
            "by_severity": by_severity(
                each.severity
                for each in judged.once
                if (each.of, each.subject) == (room.of, name)
                or (each.of == Outlet.of and each.subject in inside[id(room)])
            ),
        }
        for name, room in named.items()
    ]


def besides_rooms(judged: Judged) -> list[dict[str, Any]]:
    """What was found in no room, by the kind of what it was found at: together with the rooms, all.

    `subjects` are those at which something was found, in the order of the findings.
    """
    inside = {name for names in _inside(judged.session).values() for name in names}
    found: dict[str, list[Finding]] = {}
    for each in judged.once:
        if each.of != Room.of and (each.of != Outlet.of or each.subject not in inside):
            found.setdefault(each.of, []).append(each)
    return [
        {
            "of": of,
            "subjects": list(dict.fromkeys(each.subject for each in here)),
            "by_severity": by_severity(each.severity for each in here),
        }
        for of, here in found.items()
    ]


def _inside(session: Session) -> dict[int, list[str]]:
    """The outlets in each room, which is known by its identity."""
    inside: dict[int, list[str]] = {id(each): [] for each in session.rooms}
    for name, outlet in session.references(session.outlets).items():
        room = session.room(outlet.room)
        if room is not None:
            inside[id(room)].append(name)
    return inside


def by_severity(severities: Iterable[str]) -> dict[str, int]:
    """How many there are of each severity."""
    counted = Counter(severities)
    return {each: counted[each] for each in SEVERITIES}


def found_under(judged: Judged, under: str) -> dict[str, Any]:
    """The findings of one ruleset of several: by severity, by topic, and those only it makes."""
    found = [each for each in judged.findings if under in each.under]
    return {
        "by_severity": by_severity(each.finding.severity for each in found),
        "by_topic": dict(sorted(Counter(each.finding.topic for each in found).items())),
        "only_here": sum(set(each.under) == {under} for each in found),
    }
