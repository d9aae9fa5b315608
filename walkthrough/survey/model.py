"""The record of a visit: dwelling, panels, circuits, rooms and outlets, as they were seen."""

from __future__ import annotations

import datetime
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Annotated, Any, ClassVar, Literal, TypeAlias, TypeVar

from pydantic import BaseModel, ConfigDict, Field, PlainValidator

FORMAT = 1
"""The record format that this version writes, and the newest that it reads."""

PANEL = "panel"
"""What `fed_from` of an outlet says when its cable comes straight from the panel."""

COMMON = "common"
"""What stands in place of a unit in the name of something that belongs to none."""


def _plain_answer(value: Any) -> Any:
    """One check for all kinds of answer, so that a slip gives one message and not one per kind."""
    if isinstance(value, list):
        fits = all(isinstance(word, str) for word in value)
    elif isinstance(value, float):
        fits = not math.isnan(value)
    else:
        # A moment of the day is a date to Python, but no question asks for one.
        fits = isinstance(value, (bool, int, str, datetime.date)) and not isinstance(
            value, datetime.datetime
        )
    if not fits:
        raise ValueError("expected yes or no, a number, a text, a date or a list of words")
    return value


def _name(value: Any) -> Any:
    if not isinstance(value, str) or not value.isprintable() or value != value.strip() or not value:
        raise ValueError("expected a short name in quotes, without spaces at its ends")
    return value


AnswerValue: TypeAlias = bool | int | float | str | datetime.date | list[str]
Answer: TypeAlias = Annotated[AnswerValue, PlainValidator(_plain_answer)]
"""What was said or read. For a number question infinity means "none", as in "no sink near"."""

Id: TypeAlias = Annotated[str, PlainValidator(_name)]
"""How a panel, circuit, room or outlet is called throughout the record."""

Certainty: TypeAlias = Literal["opened", "observed", "inferred", "told", "unknown"]
"""How something is known: box opened, seen happen, worked out, said by someone, not at all."""

Side: TypeAlias = Literal["through", "load", "line"]
"""How an outlet hangs on the one that feeds it: a plain splice or device, the LOAD terminals of a
protective device, or spliced to its LINE side, ahead of it."""

Action: TypeAlias = Literal["test button", "breaker off", "plug-in tester"]
RecheckOutcome: TypeAlias = Literal[
    "to check", "corrected", "corrected, with a new defect", "not corrected", "not checked"
]
FindingState: TypeAlias = Literal["open", "corrected", "accepted", "not seen again"]


class _Part(BaseModel):
    """Anything in the record: exact types, and no field that is not declared."""

    model_config = ConfigDict(
        strict=True,
        extra="forbid",
        validate_assignment=True,
        validate_by_name=True,
        validate_by_alias=True,
        # Each start builds only what it checks, not every part by itself.
        defer_build=True,
    )


class Subject(_Part):
    """Something that questions are asked about.

    `readings` holds what an instrument or a test showed, apart from the `answers` a person gave.
    `cannot_tell` names questions that were put but that the person cannot answer; `carried` those
    whose answer was taken over from another subject and not looked at here.
    """

    of: ClassVar[str] = ""

    id: Id
    answers: dict[str, Answer] = {}
    readings: dict[str, Answer] = {}
    cannot_tell: list[str] = []
    carried: list[str] = []
    note: str = ""
    photos: list[str] = []
    """File names of pictures; the pictures themselves stay outside the record (see photos.py)."""

    def answer(self, question: str) -> AnswerValue | None:
        """What is recorded for a question, wherever it is kept; None when nothing is."""
        if question in self.answers:
            return self.answers[question]
        return self.readings.get(question)


class Dwelling(Subject):
    """The dwelling as a whole; there is one in a record, so its id is always "dwelling".

    Where the building has several units, it is the building: what it answers holds for the common
    areas, and for a unit that has no answer of its own.
    """

    of: ClassVar[str] = "dwelling"

    id: Literal["dwelling"] = "dwelling"


class Unit(Subject):
    """One of several dwelling units in the building."""

    of: ClassVar[str] = "dwelling"

    name: str = ""


class Panel(Subject):
    """A panelboard; `fed_from` is the circuit that feeds a sub-panel, "" for the service.

    `unit` is the dwelling unit that it serves, "" for a house panel or where there is one dwelling.
    """

    of: ClassVar[str] = "panel"

    unit: str = ""
    name: str = ""
    fed_from: str = ""


class Circuit(Subject):
    """A branch circuit or feeder; `panel` is a panel reference, `shares_neutral_with` one of a
    circuit."""

    of: ClassVar[str] = "circuit"

    panel: str
    serves: str = ""
    shares_neutral_with: str = ""


class Room(Subject):
    """A room or an area outside; `unit` is "" for a common area or where there is one dwelling."""

    of: ClassVar[str] = "room"

    unit: str = ""
    name: str


class Limit(_Part):
    """What was not done at an outlet ("not reached", "seen only", "not tested"), and why."""

    what: str
    reason: str


UNSEEN = ("not reached", "not there")
"""What a limit says where nobody saw what is there."""


class Outlet(Subject):
    """A point where current is taken: receptacle, light, alarm or equipment.

    `room` and `circuit` are references. `fed_from` is "panel", the reference of the outlet that
    feeds this one, or "" while not known; `order_known_by` says how sure that is.
    """

    of: ClassVar[str] = "outlet"

    room: str
    circuit: str
    at: str = ""
    fed_from: str = ""
    side: Side = "through"
    order_known_by: Certainty = "unknown"
    limits: list[Limit] = Field(default=[], validation_alias="limit")


class Trip(_Part):
    """One step of the trip-and-probe round: something was switched off, and what died by it.

    `at` is a circuit reference for "breaker off", one of an outlet for "plug-in tester", and either
    for "test button" (an outlet comes first). `left_tripped` until it was reset: what hangs on it,
    such as a freezer, is off.
    """

    at: str
    action: Action
    went_dead: list[str] = []
    stayed_live: list[str] = []
    left_tripped: bool = False
    note: str = ""


class Visit(_Part):
    """A day on which the dwelling was walked, the first time or to look what was corrected."""

    date: datetime.date
    by: str = ""
    purpose: Literal["survey", "re-inspection"] = "survey"


class SurveyLimit(_Part):
    """What the survey as a whole left out, and why."""

    subject: str
    reason: str


class Finding(_Part):
    """A deficiency as it was judged, and what became of it."""

    subject: str
    of: str
    rule: str
    topic: str
    kind: str
    severity: str
    cite: list[str]
    says: str
    confidence: str
    state: FindingState = "open"
    under: list[str] = []
    """The rulesets under which it stands; empty where the record names only one."""


class Recheck(_Part):
    """One deficiency of an earlier visit, and what became of it by the day `on`.

    `looked` is false where papers alone say that it was corrected. `receipt`, `work_by` and
    `work_on` tell of the work as its papers do; `reason` says why it was not checked, `new` which
    rules found something there that had not stood before.
    """

    on: datetime.date
    of: str
    subject: str
    rule: str
    severity: str
    says: str
    cite: list[str]
    under: list[str] = []
    outcome: RecheckOutcome = "to check"
    looked: bool = True
    reason: str = ""
    receipt: str = ""
    work_by: str = ""
    work_on: datetime.date | None = None
    new: list[str] = []


class JudgedBy(_Part):
    """A ruleset chosen for this record, and the fingerprint of its files when last judged."""

    ruleset: str
    fingerprint: str = ""


AnySubject = TypeVar("AnySubject", bound=Subject)


class Session(_Part):
    """One record: everything seen in one dwelling, or in several units of one building.

    A reference is what one part of the record calls another: the bare id where nothing else of
    that kind has it. Else a circuit is "PANEL/ID", and a panel, room or outlet "UNIT/ID", with
    "common" in place of the unit for what belongs to none.
    """

    format: int = Field(default=FORMAT, ge=1, le=FORMAT)
    title: str
    judged_by: JudgedBy
    judged_also: list[JudgedBy] = []
    as_built: str = ""
    """The series of rulesets by whose editions of its years it is judged as well; "" for none."""
    visits: list[Visit] = Field(default=[], validation_alias="visit")
    dwelling: Dwelling = Field(default_factory=Dwelling)
    units: list[Unit] = Field(default=[], validation_alias="unit")
    panels: list[Panel] = Field(default=[], validation_alias="panel")
    circuits: list[Circuit] = Field(default=[], validation_alias="circuit")
    rooms: list[Room] = Field(default=[], validation_alias="room")
    outlets: list[Outlet] = Field(default=[], validation_alias="outlet")
    trips: list[Trip] = Field(default=[], validation_alias="trip")
    limits: list[SurveyLimit] = Field(default=[], validation_alias="limit")
    reinspects: str = ""
    """The file of the record whose deficiencies are checked here; "" for a first visit."""
    rechecks: list[Recheck] = Field(default=[], validation_alias="recheck")
    findings: list[Finding] = Field(default=[], validation_alias="finding")
    photo_sums: dict[str, str] = {}
    """The SHA-256 of each picture whose file was at hand, by its file name."""

    def unit(self, id: str) -> Unit | None:
        """The dwelling unit of that id."""
        return next((each for each in self.units if each.id == id), None)

    def panel(self, reference: str) -> Panel | None:
        """The panel a reference means."""
        return _meant(self, self.panels, reference)

    def room(self, reference: str) -> Room | None:
        """The room a reference means."""
        return _meant(self, self.rooms, reference)

    def outlet(self, reference: str) -> Outlet | None:
        """The outlet a reference means."""
        return _meant(self, self.outlets, reference)

    def circuit(self, reference: str) -> Circuit | None:
        """The circuit a reference means; None when there is none, or more than one."""
        return _meant(self, self.circuits, reference)

    def meant(self, kind: str, reference: str) -> Subject | None:
        """The subject of a kind that a reference means."""
        return _meant(self, self.all_of(kind), reference)

    def unit_of(self, subject: Subject) -> str:
        """The id of the unit that a subject belongs to; "" for what belongs to none."""
        if not self.units:
            return ""
        above: Subject | None = subject
        if isinstance(subject, Outlet):
            above = self.room(subject.room)
        elif isinstance(subject, Circuit):
            above = self.panel(subject.panel)
        if isinstance(above, Unit):
            return above.id
        return above.unit if isinstance(above, Panel | Room) else ""

    def home(self, subject: Subject) -> str:
        """The unit that a subject belongs to, in words; "" where there is only one dwelling."""
        if not self.units:
            return ""
        unit = self.unit(self.unit_of(subject))
        return "Common areas" if unit is None else unit.name or f"Unit {unit.id}"

    def reference(self, subject: Subject) -> str:
        """How the rest of the record names a subject."""
        if not self.units and not isinstance(subject, Circuit):
            return subject.id
        alike = sum(each.id == subject.id for each in self.all_of(subject.of))
        return subject.id if alike <= 1 else self._in_full(subject)

    def references(self, subjects: Sequence[AnySubject]) -> dict[str, AnySubject]:
        """All subjects of one kind by their references."""
        bare = {each.id: each for each in subjects}
        if len(bare) == len(subjects):
            return bare
        alike = Counter(each.id for each in subjects)
        return {each.id if alike[each.id] == 1 else self._in_full(each): each for each in subjects}

    def names(self, subject: Subject) -> list[str]:
        """Everything a subject can be called; not each of them needs to be clear."""
        if not isinstance(subject, Circuit):
            return [subject.id, self._in_full(subject)] if self.units else [subject.id]
        above = [subject.panel]
        if self.units:
            panel = self.panel(subject.panel)
            above += self.names(panel) if panel is not None else []
        return [subject.id, *dict.fromkeys(f"{each}/{subject.id}" for each in above)]

    def all_of(self, kind: str) -> Sequence[Subject]:
        """The subjects of one kind, in the order of the record."""
        kinds: dict[str, Sequence[Subject]] = {
            "dwelling": (self.dwelling, *self.units),
            "panel": self.panels,
            "circuit": self.circuits,
            "room": self.rooms,
            "outlet": self.outlets,
        }
        return kinds.get(kind, ())

    def subjects(self) -> Iterator[Subject]:
        """Everything that questions are asked about, from the dwelling down to the outlets."""
        yield self.dwelling
        yield from self.units
        yield from self.panels
        yield from self.circuits
        yield from self.rooms
        yield from self.outlets

    def _in_full(self, subject: Subject) -> str:
        if isinstance(subject, Circuit):
            panel = self.panel(subject.panel) if self.units else None
            return f"{subject.panel if panel is None else self.reference(panel)}/{subject.id}"
        if not self.units or subject.of == "dwelling":
            return subject.id
        return f"{self.unit_of(subject) or COMMON}/{subject.id}"


def _meant(session: Session, subjects: Sequence[AnySubject], name: str) -> AnySubject | None:
    """What a name means: the only one of that id, else the only one that can be called so."""
    bare = [each for each in subjects if each.id == name]
    if len(bare) == 1:
        return bare[0]
    full = [each for each in subjects if name in session.names(each)] if "/" in name else []
    return full[0] if len(full) == 1 else None
