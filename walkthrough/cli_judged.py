"""What the commands that judge saved records share: options, one record judged, the exit code."""

from __future__ import annotations

import argparse
import dataclasses
import datetime
import functools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from walkthrough.cli_arguments import wrong
from walkthrough.cli_sessions import Shelf, checked_session
from walkthrough.judge.judge import KINDS
from walkthrough.judge.under import Judged, judge_under, own_rulesets, refuse_missing
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store

DEFICIENCIES_FOUND = 1


@functools.cache
def own_shelf() -> Shelf:
    """What this process has read of rulesets; one that it forks begins with it.

    A command empties it first: the files may be others since the last one.
    """
    return Shelf()


@dataclass(frozen=True)
class Wanted:
    """By which rulesets records are judged: those named, else the records' own."""

    rulesets: tuple[str, ...] = ()
    as_built: bool = False
    lag_years: int | None = None
    series: str = ""
    notice: datetime.date | None = None

    def judged(self, path: Path) -> Judged:
        """One record judged; raises Unusable, with the place of every slip."""
        shelf = own_shelf()
        session = store.load(path)
        asked = bool(self.rulesets or self.as_built)
        if not asked:
            refuse_missing(session, path)
        books = shelf.distinct(self.rulesets if asked else own_rulesets(session))
        editions: tuple[Rulebook, ...] = ()
        if self.as_built or (session.as_built and not asked):
            editions = shelf.editions(self.series or session.as_built)
        _refuse_lag(self.lag_years, editions)
        session = checked_session(session, path, shelf, [*books, *editions])
        judged = judge_under(session, books, editions, self.lag_years)
        return dataclasses.replace(judged, notice=self.notice)

    def refuse_options(self) -> None:
        """Raise Unusable for what is wrong whatever the record holds; reads what is named."""
        shelf = own_shelf()
        shelf.distinct(self.rulesets)
        if self.as_built or self.lag_years is not None:
            _refuse_lag(self.lag_years, shelf.editions(self.series) if self.as_built else ())


def add_judging_options(parser: argparse.ArgumentParser) -> None:
    """Add the options that say by which rulesets is judged."""
    parser.add_argument(
        "--ruleset",
        action="append",
        default=[],
        metavar="ID",
        help="id or file of a ruleset, else those of the session; may be given several times",
    )
    parser.add_argument(
        "--as-built",
        action="store_true",
        help="by the edition in force when each thing was installed or last replaced",
    )
    parser.add_argument(
        "--adoption-lag",
        type=int,
        metavar="YEARS",
        help="years from an edition to its adoption here, for --as-built",
    )
    parser.add_argument(
        "--series", default="", help="the series of editions for --as-built, if there are several"
    )


def named_rulesets(chosen: argparse.Namespace) -> tuple[str, ...]:
    """The rulesets named with `--ruleset`; raises Unusable for one without a name."""
    if "" in chosen.ruleset:
        raise wrong("--ruleset", "names nothing; expected the id of a ruleset")
    return tuple(chosen.ruleset)


def wanted(chosen: argparse.Namespace) -> Wanted:
    """What was asked for; raises Unusable where an option would say nothing."""
    rulesets = named_rulesets(chosen)
    if chosen.series and not chosen.as_built:
        raise wrong("--series", "makes sense only with --as-built")
    # The overview of many dwellings has no one day of notice.
    notice = getattr(chosen, "notice", None)
    return Wanted(rulesets, chosen.as_built, chosen.adoption_lag, chosen.series, notice)


def add_notice_option(parser: argparse.ArgumentParser) -> None:
    """Add the day from which times for the correction count."""
    parser.add_argument(
        "--from",
        dest="notice",
        type=_day,
        metavar="DAY",
        help="day of the notice, such as 2026-11-30: times for the correction are then dates",
    )


def _day(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise wrong("--from", f"found '{text}'; expected a day such as 2026-11-30") from None


def add_fail_on(
    parser: argparse.ArgumentParser, when: str = "there is a finding of this kind or a graver one"
) -> None:
    """Add what turns findings into an exit code."""
    parser.add_argument("--fail-on", choices=KINDS, help=f"exit with 1 when {when}")


def code(fail_on: str | None, kinds: Iterable[str]) -> int:
    """The exit code for the kinds of what was found."""
    grave = KINDS[: KINDS.index(fail_on) + 1] if fail_on else ()
    return DEFICIENCIES_FOUND if any(each in grave for each in kinds) else 0


def _refuse_lag(years: int | None, editions: Sequence[Rulebook]) -> None:
    """The same range holds as for the question that the option answers."""
    if years is None:
        return
    if not editions:
        raise wrong("--adoption-lag", "makes sense only with --as-built")
    lenses = editions[-1].as_built.values()
    asked = [editions[-1].questions[each.declared.less] for each in lenses if each.declared.less]
    for question in asked[:1]:
        if not (question.min or 0) <= years <= (question.max or years):
            message = (
                f"found {years}; expected {question.min or 0:g} to {question.max or 0:g} years"
            )
            raise wrong("--adoption-lag", message)
