"""The shape of a ruleset file as written, before anything is resolved or compiled."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

Scope = Literal["dwelling", "panel", "circuit", "room", "outlet"]
AnswerKind = Literal["choice", "tags", "yes-no", "number", "text", "date"]
FindingKind = Literal["defect", "gap", "note"]
Severity = Literal["hazard", "serious", "upgrade", "info"]
DoneBy = Literal["anyone", "qualified person", "information only"]
Status = Literal["preview", "stable", "withdrawn"]
Confidence = Literal["confirmed", "one-source", "inferred", "memory", "disputed"]
Outcome = Literal["met", "deficient", "excepted", "not applicable", "undecided", "ask the AHJ"]
OUTCOMES: tuple[Outcome, ...] = (
    "met",
    "deficient",
    "excepted",
    "not applicable",
    "undecided",
    "ask the AHJ",
)

# What a subject of each kind can see: itself and everything it belongs to.
SEES: dict[str, tuple[str, ...]] = {
    "outlet": ("outlet", "room", "circuit", "panel", "dwelling"),
    "room": ("room", "dwelling"),
    "circuit": ("circuit", "panel", "dwelling"),
    "panel": ("panel", "dwelling"),
    "dwelling": ("dwelling",),
}


# What a gather of a subject can run over: what belongs to it.
BELOW: dict[str, tuple[str, ...]] = {
    "outlet": (),
    "room": ("outlet",),
    "circuit": ("outlet",),
    "panel": ("circuit", "outlet"),
    "dwelling": ("panel", "circuit", "room", "outlet"),
}


MOST_STARS = 3


def _as_tuple(value: object) -> object:
    return (value,) if isinstance(value, str) else value


def _in_turn(value: object) -> object:
    return (value,) if isinstance(value, dict) else value


OneOrMore = Annotated[tuple[str, ...], BeforeValidator(_as_tuple)]
Scopes = Annotated[tuple[Scope, ...], BeforeValidator(_as_tuple), Field(min_length=1)]


class _Declared(BaseModel):
    # Each start builds only what it checks, not every part by itself.
    model_config = ConfigDict(extra="forbid", frozen=True, strict=False, defer_build=True)


class CaseDefault(_Declared):
    """What a rule case means that does not give a word: a choice, a number, or its own year.

    `unless` lists words that, when given, leave this one to its presumption. `within` names words
    that must be given, and nothing in them but what is listed; `at_least` numbers that must be
    given and reach so far. `number` is in the question's unit, and `inf` where that is an answer.
    """

    choice: str = ""
    number: float | None = None
    year_of_the_day: bool = False
    unless: tuple[str, ...] = ()
    within: dict[str, tuple[str | float, ...]] = {}
    at_least: dict[str, float] = {}

    def holds_for(self, given: Mapping[str, Any]) -> bool:
        """Whether what a case gives leaves the word to this default."""
        return (
            not any(word in given for word in self.unless)
            and all(_all_among(given.get(word), listed) for word, listed in self.within.items())
            and all(_reaches(given.get(word), least) for word, least in self.at_least.items())
        )


def _reaches(value: Any, least: float) -> bool:
    return isinstance(value, int | float) and value >= least


def _all_among(value: Any, listed: tuple[str | float, ...]) -> bool:
    told = tuple(value) if isinstance(value, list | tuple | set | frozenset) else (value,)
    return bool(told) and set(told) <= set(listed)


class Question(_Declared):
    """One thing to ask about a subject; `short` names it where its id is no plain words.

    `of` lists the kinds of subject that may answer it, the nearest first: an outlet without an
    answer of its own takes its room's, and so on. `presume` holds until answered otherwise.
    `record` questions are asked even if no verdict hangs on them. `none` is the wording of an
    answer that means infinitely far ("no sink near"). `when` tells where the question makes
    sense: where it does not, an answer counts as not given, unless `counts_once_told` says that it
    tells only when to ask. Where that is not known it is asked all the same, unless
    `only_when_known`. `case_default` is what a rule case means that does not give the word;
    of several, the first that fits. `feeds` says what the answer is for where no rule reads it;
    `record_only` lists choices that matter to the record and to no rule. `alone` lists choices of
    which each goes with no other one. `limit` is what an answer above 0 says among the limits of
    the survey.
    `here_only` answers were seen at one point, such as in an opened box: they are never copied.
    `of_its_room` answers tell what is around an outlet: they are not copied into another room.
    `offered_by` names a question to the circuit of an outlet: what that says, other than what it
    presumes, is offered at the outlet, and asked there unless that holds for the dwelling anyway.
    `again_after` lists questions to the same subject: where one of them is told otherwise while a
    deficiency is checked again, this one is put as well, a year as that of the visit.
    `one_for_shared_neutral`: circuits that share a neutral have one answer to it; it is asked at
    one of them, and where two answers differ none of them counts.
    `at_most` names other numbers of the same subject than which this one cannot be more.
    `after` names the question behind which this one is put; else it stands where the files have it.
    """

    of: Scopes
    ask: str
    short: str = ""
    help: str = ""
    kind: AnswerKind
    choices: dict[str, str] = {}
    unit: str = ""
    min: float | None = None
    max: float | None = None
    step: float | None = None
    picks: tuple[float, ...] = ()
    at_most: OneOrMore = ()
    none: str = ""
    presume: bool | int | float | str | list[str] | None = None
    carry: Literal["room", "circuit", "previous", "never"] = "never"
    record: bool = False
    reading: bool = False
    here_only: bool = False
    of_its_room: bool = False
    after: str = ""
    one_for_shared_neutral: bool = False
    offered_by: str = ""
    again_after: tuple[str, ...] = ()
    when: str = ""
    only_when_known: bool = False
    counts_once_told: bool = False
    case_default: Annotated[tuple[CaseDefault, ...], BeforeValidator(_in_turn)] = ()
    feeds: str = ""
    record_only: tuple[str, ...] = ()
    alone: tuple[str, ...] = ()
    limit: str = ""


class TableDeclared(_Declared):
    """Rows of data with the section they come from.

    A table without `rows` takes those of the file below: the figures stay, their section or their
    mark is another. `sections`, `marks` and `sources` are those of single rows, where they are not
    the table's own; unless stated they are taken from the file below too, for the rows that remain.
    """

    cite: str = ""
    confidence: Confidence
    source: str = ""
    rows: dict[str, float | str | list[float] | list[str]] = {}
    sections: dict[str, str] = {}
    marks: dict[str, Confidence] = {}
    sources: dict[str, str] = {}

    def upon(self, below: TableDeclared) -> TableDeclared:
        """This table, completed by the one of the same name in the file below."""
        rows = self.rows or below.rows
        taken = {
            name: {row: each for row, each in getattr(below, name).items() if row in rows}
            for name in ("sections", "marks", "sources")
            if name not in self.model_fields_set
        }
        return self.model_copy(update={**taken, "rows": rows})


class Gather(_Declared):
    """A yes-no word over all subjects below one: `any` or `all` of them fulfil a condition.

    `any` may ask for more than one of them: `at_least`. Where `settled_when` is told, more of them
    may still come as long as that does not hold: what those could turn is then unknown.
    """

    of: Scope
    over: Scope
    any: str = ""
    all: str = ""
    at_least: int = Field(default=1, ge=1)
    settled_when: str = ""
    means: str = ""

    @model_validator(mode="after")
    def _count_of_any(self) -> Gather:
        if self.all and self.at_least != 1:
            raise ValueError("'at_least' counts for 'any' only")
        return self


class Demand(_Declared):
    """A word that is true where some rule of a topic applies; `has` tells if it is fulfilled."""

    topic: str
    has: str


class ExceptionDeclared(_Declared):
    """A named way out of a rule, with its own section."""

    cite: OneOrMore
    when: str
    confidence: Confidence | None = None
    source: str = ""


class Dispute(_Declared):
    """A point on which sources or words disagree, with its readings."""

    when: str = "yes"
    readings: tuple[str, ...] = Field(min_length=2)


class Grade(_Declared):
    """How grave a programme or a state rule calls a deficiency, in its own word."""

    word: str = Field(min_length=1)
    confidence: Confidence
    source: str = ""


class Deadline(_Declared):
    """How long a programme gives for the correction; exactly one of `hours` and `days`.

    `programme` names it to the reader; the deadline counts where `when` holds.
    """

    programme: str = Field(min_length=1)
    when: str = "yes"
    hours: int | None = Field(default=None, gt=0)
    days: int | None = Field(default=None, gt=0)
    confidence: Confidence
    source: str = ""

    @model_validator(mode="after")
    def _one_length(self) -> Deadline:
        if (self.hours is None) == (self.days is None):
            raise ValueError("needs exactly one of 'hours' and 'days'")
        return self

    @property
    def told(self) -> str:
        """The length in words."""
        count, unit = (self.hours, "hour") if self.hours is not None else (self.days, "day")
        return f"{count} {unit}{'' if count == 1 else 's'}"

    @property
    def length_hours(self) -> int:
        """The length in hours."""
        return self.hours if self.hours is not None else 24 * (self.days or 0)

    def ends(self, notice: datetime.date) -> datetime.date:
        """The last day, for a time that begins on the day of a notice.

        Of hours only whole days count, as nobody knows at which hour they began.
        """
        try:
            return notice + datetime.timedelta(hours=self.hours or 0, days=self.days or 0)
        except OverflowError:
            return datetime.date.max


class DangerDeclared(_Declared):
    """How dangerous findings of one severity are beside each other: the lowest `rank` comes first.

    Of one rank, those at a place where `first_when` holds come first; `first_says` tells why.
    """

    rank: int = Field(ge=1)
    says: str = Field(min_length=1)
    first_when: str = ""
    first_says: str = ""


class CaveatDeclared(_Declared):
    """What to mind with what is to be done, where things stand so at its place.

    It is told with each finding whose rule asks for one of `cures`, where `when` is known to hold
    and `unless` is not. Rules of `except_topics` say it themselves.
    """

    cures: tuple[str, ...] = Field(min_length=1)
    except_topics: tuple[str, ...] = ()
    when: str
    unless: str = "no"
    says: str = Field(min_length=1)
    confidence: Confidence
    source: str = Field(min_length=1)


class Explained(_Declared):
    """A word of the trade in plain words; `written` are the ways in which reports write it.

    What holds a figure says how well it is known, and where it was read.
    """

    written: OneOrMore = Field(min_length=1)
    says: str = Field(min_length=1)
    confidence: Confidence | None = None
    source: str = ""


class Unexercised(_Declared):
    """A condition that no case can show deciding the outcome alone, and why."""

    condition: str
    truth: bool
    reason: str = Field(min_length=1)


class RuleDeclared(_Declared):
    """One rule as written; the expressions are still text.

    `grade`, `deadlines` and `duty` are for programmes and for rules on inspection reports: the
    word for how grave it is, the time for the correction, and what the report must say. `code`
    names sections of a code that a reader may look up beside `cite`, which are not the ground
    of the finding.

    `cure` names what kinds of work clear it, `remedy` says what is to be put where; without it the
    words of the ruleset for each of `cure` do. `danger` is the word for how dangerous it is beside
    others of its severity; without it that of its topic holds.
    """

    topic: str
    of: Scope
    cite: OneOrMore = Field(min_length=1)
    when: str
    exceptions: tuple[ExceptionDeclared, ...] = ()
    needs: str
    disputed: tuple[Dispute, ...] = ()
    unexercised: tuple[Unexercised, ...] = ()
    kind: FindingKind
    defect_when: str = ""
    severity: Severity
    says: str
    why: str
    cure: tuple[str, ...] = ()
    remedy: str = ""
    danger: str = ""
    done_by: DoneBy
    grade: Grade | None = None
    deadlines: tuple[Deadline, ...] = ()
    duty: str = ""
    code: tuple[str, ...] = ()
    status: Status = "stable"
    confidence: Confidence
    source: str = Field(min_length=1)

    def upon(self, below: RuleDeclared) -> RuleDeclared:
        """This rule, with the words of the one of the same id in the file below that it restates.

        What is to be put where stays the same as long as the cure does.
        """
        same_cure = "remedy" not in self.model_fields_set and self.cure == below.cure
        taken = {
            **({"remedy": below.remedy} if same_cure else {}),
            **({} if "danger" in self.model_fields_set else {"danger": below.danger}),
        }
        return self.model_copy(update=taken)


class YearFrom(_Declared):
    """One answer that can tell a year, and where it counts.

    Where `must` holds, something was done here: without its year no wider one is taken instead.
    """

    of: Scope
    take: str
    when: str = "yes"
    must: str = "no"


class AsBuilt(_Declared):
    """How a kind of subject is seen as it was when it was made.

    `years` lists the answers that tell the year, the first known counts; `less` names a number of
    years between an edition and its adoption. `year_word` is the question that then gets that
    year, and `made` turns an answer into what was true on that day: an untouched outlet was new.
    """

    years: tuple[YearFrom, ...] = Field(min_length=1)
    less: str = ""
    year_word: str = ""
    made: dict[str, dict[str, str]] = {}


class RoomTemplate(_Declared):
    """What a room is likely to be by its name: answers to be offered, never taken unasked."""

    words: tuple[str, ...] = Field(min_length=1)
    answers: dict[str, bool | int | float | str | list[str]]


class RulesetDeclared(_Declared):
    """One ruleset file.

    `drop` lists ids of rules that no longer hold; "*" drops all that were there before. `notices`
    stand above everything that is judged under it. `verify_in` names the text in which its rules
    are verified; unless stated, that of the file below. Every section must match one of
    `section_forms` as a whole. Files of the same `series` follow each other in time: what was
    asked when something was built is looked up among them. `own_years` lists terms that say that
    work was done since this file is in force: where two rulesets are compared, they mean the same.
    """

    format: int
    id: str = Field(pattern=r"^[a-z0-9][a-z0-9-]*$")
    title: str
    extends: str = ""
    in_force_from: datetime.date | None = None
    in_force_to: datetime.date | None = None
    series: str = ""
    own_years: tuple[str, ...] = ()
    drop: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()
    verify_in: str = ""
    section_forms: tuple[str, ...] = ()
    as_built: dict[Scope, AsBuilt] = {}
    room_template: dict[str, RoomTemplate] = {}
    question: dict[str, Question] = {}
    term: dict[str, str] = {}
    table: dict[str, TableDeclared] = {}
    topic: dict[str, str] = {}
    cure: dict[str, Annotated[str, Field(pattern=r"\S")]] = {}
    caveat: dict[str, CaveatDeclared] = {}
    danger: dict[str, DangerDeclared] = {}
    danger_of: dict[str, str] = {}
    explained: dict[str, Explained] = {}
    demand: dict[str, Demand] = {}
    gather: dict[str, Gather] = {}
    rule: dict[str, RuleDeclared] = {}

    @model_validator(mode="after")
    def _whole(self) -> RulesetDeclared:
        if any(form.count("*") > MOST_STARS for form in self.section_forms):
            raise ValueError(f"a section form has at most {MOST_STARS} '*'")
        first, last = self.in_force_from, self.in_force_to
        if first is not None and last is not None and last < first:
            raise ValueError("'in_force_to' is before 'in_force_from'")
        return self
