"""Which subjects of two records are the same, and what is recorded differently of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from walkthrough.judge.house import House, SubjectKey
from walkthrough.judge.judge import Judgement, Verdict
from walkthrough.judge.recheck import behind, told_by
from walkthrough.rulebook.conditions import leaves
from walkthrough.survey.model import Outlet, Session, Subject

_BELONGS = {
    "outlet": ("room", "circuit"),
    "circuit": ("panel",),
    "room": ("unit", "name"),
    "panel": ("unit", "name"),
}
_MEANS = {"room": "room", "circuit": "circuit", "panel": "panel", "fed_from": "outlet"}
"""The kind of subject that a field names by its reference."""
TRIPS = "trip tests"


@dataclass(frozen=True)
class Alike:
    """The subjects that two records have in common, by their references.

    `old_of` and `new_of` give the name in the other record; `only_old` and `only_new` have none.
    """

    old_of: Mapping[SubjectKey, SubjectKey]
    new_of: Mapping[SubjectKey, SubjectKey]
    only_old: tuple[SubjectKey, ...]
    only_new: tuple[SubjectKey, ...]


@dataclass(frozen=True)
class Change:
    """Something recorded differently; the values are as the records hold them, None for nothing.

    `tested`: an instrument or a button showed what is recorded now.
    """

    of: str
    subject: str
    question: str
    was: object
    now: object
    tested: bool = False


def alike(old: House, new: House) -> Alike:
    """Match the subjects of two records: by the same reference, else by the one that it means."""
    new_of = {key: key for key in old.subjects if key in new.subjects}
    for key, subject in old.subjects.items():
        # A record that got units or panels calls the same things by longer names.
        names = [
            name for name in old.session.names(subject) if name != subject.id or name == key[1]
        ]
        meant = [new.session.meant(subject.of, name) for name in names]
        found = next((new.key(each) for each in meant if each is not None), None)
        if key not in new_of and found is not None and found not in new_of.values():
            new_of[key] = found
    old_of = {there: here for here, there in new_of.items()}
    return Alike(
        old_of,
        new_of,
        tuple(key for key in old.subjects if key not in new_of),
        tuple(key for key in new.subjects if key not in old_of),
    )


def moved(old: House, new: House, same: Alike) -> Iterator[Change]:
    """Subjects that belong elsewhere now, or are called otherwise."""
    for here, there in same.new_of.items():
        was, now = old.subjects[here], new.subjects[there]
        for word in _BELONGS.get(was.of, ()):
            yield from _differs(old, new, same, there, word, was, now)


def _differs(
    old: House, new: House, same: Alike, key: SubjectKey, word: str, was: Subject, now: Subject
) -> Iterator[Change]:
    """A field that says something else now; a longer name for the same thing does not."""
    before, after = getattr(was, word), getattr(now, word)
    kind = _MEANS.get(word, "")
    there, here = old.session.meant(kind, before), new.session.meant(kind, after)
    if there is not None and here is not None:
        if same.new_of.get(old.key(there)) == new.key(here):
            return
    elif before == after:
        return
    yield Change(*key, word, before, after)


def changes_behind(
    old: Judgement, new: Judgement, same: Alike, was: Verdict | None, now: Verdict | None
) -> tuple[Change, ...]:
    """What is recorded differently among what decided a verdict then, or decides it now."""
    found: dict[tuple[SubjectKey, str], None] = {}
    regraded = was is not None and now is not None and was.decision.kind != now.decision.kind
    for judgement, verdict in ((old, was), (new, now)):
        for subject, word in _behind(judgement.house, verdict, regraded) if verdict else ():
            key = judgement.house.key(subject)
            found[same.new_of.get(key, key) if judgement is old else key, word] = None
    changes = [each for key, word in found for each in _answer(old, new, same, key, word)]
    verdict = now or was
    if verdict is not None:
        keys = dict.fromkeys([(verdict.of, verdict.subject), *(key for key, _ in found)])
        changes += [each for key in keys for each in _feed(old, new, same, key)]
    return tuple(changes)


def _behind(house: House, verdict: Verdict, regraded: bool) -> Iterator[tuple[Subject, str]]:
    """The answers that decided a verdict, and where it weighs otherwise those that decided that."""
    yield from behind(house, verdict)
    condition = verdict.decision.rule.defect_when
    if regraded and condition is not None:
        subject = house.subjects[verdict.of, verdict.subject]
        for word in leaves(condition.node):
            yield from told_by(house, subject, word)


def _answer(
    old: Judgement, new: Judgement, same: Alike, key: SubjectKey, word: str
) -> Iterator[Change]:
    before, after = _both(old, new, same, key)
    was = before.answer(word) if before is not None else None
    now = after.answer(word) if after is not None else None
    if was != now:
        tested = after is not None and word in after.readings
        yield Change(*key, word, was, now, tested)


def _feed(old: Judgement, new: Judgement, same: Alike, key: SubjectKey) -> Iterator[Change]:
    """How an outlet hangs on the circuit, and what trip tests showed of it."""
    before, after = _both(old, new, same, key)
    if not isinstance(before, Outlet) or not isinstance(after, Outlet):
        return
    for word in ("circuit", "fed_from", "side"):
        yield from _differs(old.house, new.house, same, key, word, before, after)
    # A test names an outlet or a circuit, an outlet first: those stand last in the record.
    called = {
        name: there for (of, name), (_, there) in same.new_of.items() if of in ("circuit", "outlet")
    }
    shown = _trips(old.session, same.old_of[key][1], called)
    shows = _trips(new.session, key[1], {})
    if shown != shows:
        yield Change(*key, TRIPS, "; ".join(shown) or None, "; ".join(shows) or None, bool(shows))


def _both(
    old: Judgement, new: Judgement, same: Alike, key: SubjectKey
) -> tuple[Subject | None, Subject | None]:
    here = same.old_of.get(key, key)
    return old.house.subjects.get(here), new.house.subjects.get(key)


def _trips(session: Session, name: str, called: Mapping[str, str]) -> list[str]:
    """What was switched off, by the name that it has now, and whether the outlet died by it."""
    return [
        f"{trip.action} at {called.get(trip.at, trip.at)}: "
        f"{'dead' if name in trip.went_dead else 'live'}"
        for trip in session.trips
        if name in trip.went_dead or name in trip.stayed_live
    ]
