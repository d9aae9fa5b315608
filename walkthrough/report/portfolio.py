"""Many records on one page: what is told of each, worst first, and the sums over all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

from walkthrough.judge.judge import KINDS, SEVERITIES
from walkthrough.judge.under import Judged
from walkthrough.remedy.items import asked, known_cents
from walkthrough.remedy.plan import Plan
from walkthrough.report.as_json import counts, ruleset_data
from walkthrough.report.cautions import CAUTIONS, MARKS, NOT_A_CERTIFICATE
from walkthrough.report.plan_lists import ASK, money, span
from walkthrough.rulebook.declarations import Deadline
from walkthrough.rulebook.problems import Problem
from walkthrough.survey.model import Finding

Data = dict[str, Any]
Due = tuple[int, str, str]
Mark = tuple[str, str]
"""How sure a time is, and where to verify it."""
"""A time for the correction: in hours, the programme that sets it, and in words."""
COUNTED = ("outlets", "ask_the_ahj", "undecided", "open_subjects")


@dataclass(frozen=True)
class Unread:
    """A file that could not be used, and why."""

    file: str
    problems: tuple[Problem, ...]

    @property
    def told(self) -> Iterator[str]:
        """Each problem; the record is named also where the slip is in a ruleset of it."""
        for each in self.problems:
            yield str(each) if each.path == self.file else f"{self.file}: {each}"


def of_record(judged: Judged, file: str, plan: Plan | None = None, report: str = "") -> Data:
    """What the overview tells of one record: numbers, and no finding in words.

    `file` is the record as it was named; `report` is the link to its own report, "" for none.
    """
    session = judged.session
    undecided = [
        *((each.of, each.subject) for one in judged.all for each in one.undecided),
        *(subject for subject, _ in (judged.as_built.year_open if judged.as_built else ())),
    ]
    days = [each.date for each in session.visits]
    return {
        "file": file,
        "session": session.title,
        "reinspects": session.reinspects,
        "visited": max(days).isoformat() if days else None,
        "under": [each.under for each in judged.all],
        "rulesets": [ruleset_data(each) for each in judged.all],
        "notices": list(dict.fromkeys(each for one in judged.all for each in one.book.notices)),
        "report": report or None,
        "outlets": len(session.outlets),
        "counts": counts(judged),
        "deadlines": _deadlines(judged),
        "ask_the_ahj": sum(len(each.disputed) for each in judged.all),
        "undecided": len(undecided),
        "open_subjects": len(set(undecided)),
        "units": _units(judged),
        "cost": _cost(plan) if plan is not None else None,
    }


def _deadlines(judged: Judged) -> list[Data]:
    """For each programme and time: at how many findings it holds or may hold; nearest first."""
    found: Counter[Due] = Counter()
    marks: dict[Due, set[Mark]] = {}
    counted: set[tuple[Due, tuple[str, str, str]]] = set()
    for told in judged.findings:
        judgement = told.judged[0]
        here = judgement.deadlines(judgement.verdict(told.finding))
        # A finding counts once for a time, also where a rule or several rulesets name it twice.
        about = (told.finding.of, told.finding.subject, told.finding.rule)
        new = {(_due(each), about) for each in here} - counted
        counted |= new
        found.update(due for due, _ in new)
        for each in here:
            marks.setdefault(_due(each), set()).add((each.confidence, judgement.book.verify_in))
    return _listed(found, marks)


def _due(due: Deadline) -> Due:
    return due.length_hours, due.programme, due.told


def _listed(found: Mapping[Due, int], marks: Mapping[Due, Iterable[Mark]]) -> list[Data]:
    return [
        {
            "programme": due[1],
            "within": due[2],
            "hours": due[0],
            "findings": found[due],
            "confidences": [each for each in MARKS if each in {sure for sure, _ in marks[due]}],
            "verify_in": sorted({verify_in for _, verify_in in marks[due]}),
        }
        for due in sorted(found)
    ]


def _units(judged: Judged) -> list[Data]:
    """The findings of each unit of a building, and of what belongs to none."""
    session = judged.session
    if not session.units:
        return []
    whole = judged.whole
    subjects = whole.house.subjects if whole is not None else {}
    of: dict[str, list[Finding]] = {unit.id: [] for unit in session.units}
    common: list[Finding] = []
    for finding in judged.once:
        subject = subjects.get((finding.of, finding.subject))
        unit = session.unit_of(subject) if subject is not None else ""
        of.get(unit, common).append(finding)
    return [
        *(
            {"id": unit.id, "name": session.home(unit), **_by(of[unit.id])}
            for unit in session.units
        ),
        {"id": "", "name": "", **_by(common)},
    ]


def _by(found: Sequence[Finding]) -> Data:
    return {
        "deficiencies": len(found),
        "by_severity": {each: sum(f.severity == each for f in found) for each in SEVERITIES},
    }


def _cost(plan: Plan) -> Data:
    prices, (low, high) = plan.planner.prices, span(plan.items)
    return {
        "scope": plan.planner.scope,
        "ruleset": plan.planner.book.id,
        "prices": {"title": prices.title, "date": prices.date.isoformat()},
        "currency": prices.currency,
        "total": money(plan.items),
        "low": low,
        "high": high,
        "known": known_cents(plan.items) / 100,
        "asks": sorted(set(asked(plan.items))),
        "proven": plan.proven,
        "unsolved": len(plan.unsolved),
    }


def overview(found: Iterable[Data | Unread]) -> Data:
    """All that was judged, worst first, as JSON-ready data; keys are only ever added.

    A record that another one of them re-inspects is an earlier state of the same dwelling: it is
    named and not counted.
    """
    judged: list[Data] = []
    unread: list[Unread] = []
    for each in found:
        if isinstance(each, Unread):
            unread.append(each)
        else:
            judged.append(each)
    later = _reinspected_by(judged)
    now = sorted((each for each in judged if each["file"] not in later), key=_worst_first)
    return {
        "records": [
            {name: value for name, value in each.items() if name not in ("rulesets", "notices")}
            for each in now
        ],
        "totals": _totals(now),
        "earlier": [
            {"file": file, "session": title, "reinspected_in": later[file]}
            for file, title in ((each["file"], each["session"]) for each in judged)
            if file in later
        ],
        "unusable": [{"file": each.file, "problems": list(each.told)} for each in unread],
        "rulesets": _distinct(rules for each in now for rules in each["rulesets"]),
        "notices": list(dict.fromkeys(notice for each in now for notice in each["notices"])),
        "cautions": [NOT_A_CERTIFICATE, *CAUTIONS],
    }


def _worst_first(each: Data) -> tuple[int, ...]:
    """The most of the gravest, then of the next; among equals the nearest time, then the order."""
    nearest = each["deadlines"][0]["hours"] if each["deadlines"] else -1
    counted = each["counts"]["by_severity"]
    return (*(-counted[severity] for severity in SEVERITIES), *((nearest < 0), nearest))


def _reinspected_by(judged: Sequence[Data]) -> dict[str, str]:
    """File -> the file that re-inspects it; files that name each other in a circle stay apart."""
    at = {Path(each["file"]).resolve(): each["file"] for each in judged}
    later: dict[str, str] = {}
    for each in judged:
        before = each["reinspects"]
        # The name is that of a file beside it, and leads nowhere else.
        if before and Path(before).name == before:
            file = at.get(Path(each["file"]).resolve().with_name(before))
            if file is not None:
                later.setdefault(file, each["file"])
    return {file: by for file, by in later.items() if not _comes_back(file, later)}


def _comes_back(file: str, later: Mapping[str, str]) -> bool:
    seen: set[str] = set()
    while file in later and file not in seen:
        seen.add(file)
        file = later[file]
    return file in seen


def _distinct(every: Iterable[Data]) -> list[Data]:
    return list({tuple(each.values()): each for each in every}.values())


def _totals(now: Sequence[Data]) -> Data:
    due: Counter[Due] = Counter()
    marks: dict[Due, set[Mark]] = {}
    for each in now:
        for one in each["deadlines"]:
            key = (one["hours"], one["programme"], one["within"])
            due[key] += one["findings"]
            marks.setdefault(key, set()).update(product(one["confidences"], one["verify_in"]))
    costs = [each["cost"] for each in now if each["cost"] is not None]
    return {
        "records": len(now),
        **{name: sum(each[name] for each in now) for name in COUNTED},
        "counts": {
            **{
                name: sum(each["counts"][name] for each in now)
                for name in ("deficiencies", "not_tested")
            },
            **{
                by: {word: sum(each["counts"][by][word] for each in now) for word in words}
                for by, words in (("by_severity", SEVERITIES), ("by_kind", KINDS))
            },
        },
        "deadlines": _listed(due, marks),
        "cost": _sum(costs, len(now)) if costs else None,
    }


def _sum(costs: Sequence[Data], records: int) -> Data:
    """The cost of all that was planned; one price that is not known leaves the sum to be asked."""
    return {
        **{name: costs[0][name] for name in ("scope", "prices", "currency")},
        "planned": len(costs),
        "not_planned": records - len(costs),
        **{name: _added(each[name] for each in costs) for name in ("total", "low", "high")},
        "known": _added(each["known"] for each in costs),
        "asks": sorted({part for each in costs for part in each["asks"]}),
        "proven": all(each["proven"] for each in costs),
        "unsolved": sum(each["unsolved"] for each in costs),
    }


def _added(sums: Iterable[float | str]) -> float | str:
    """Added in whole cents, so that no order of adding changes it."""
    cents = list(_cents(sums))
    return ASK if None in cents else sum(each or 0 for each in cents) / 100


def _cents(sums: Iterable[float | str]) -> Iterator[int | None]:
    for each in sums:
        yield None if isinstance(each, str) else round(100 * each)
