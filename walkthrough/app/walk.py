"""The order of the walk: which prompt comes next, and what an answer to it does."""

from __future__ import annotations

from collections.abc import Sequence

from walkthrough.app import menu
from walkthrough.app.add import add
from walkthrough.app.asks import asks_under, of_its_circuit, refuse_beside
from walkthrough.app.carry import carried, told_by_name
from walkthrough.app.field_prompts import field_prompt
from walkthrough.app.fields import FIELD, NOTE, fields_of, open_field
from walkthrough.app.keys import CannotTell, Given, Reply, Same, StepBack
from walkthrough.app.new_prompts import NEW, new_prompt
from walkthrough.app.not_tested import OTHER_REASON
from walkthrough.app.photos import PHOTOS
from walkthrough.app.prompt import (
    AS_BEFORE,
    BY_CIRCUIT,
    BY_NAME,
    PRESUMED,
    YOUR_ANSWER,
    Prompt,
    from_question,
)
from walkthrough.app.record import Record
from walkthrough.app.set_fields import set_field
from walkthrough.survey.history import Step, SubjectKey
from walkthrough.survey.model import UNSEEN, AnswerValue, Outlet, Room, Subject

_TOLD_ANEW_WITH = {"fed_from": {"side", "order_known_by"}, "state": {"reason", "in_words"}}
"""Fields that were told of another feed, or of another limit."""
MOST_AT_ONCE = 200
"""More answers than a subject has questions: an end for the loop of Tab."""


class Walk:
    """Where one stands in a record, and the prompt that is put there.

    `focus` is the subject in hand. A prompt that was asked for (an answer to be changed, something
    to be added) comes before what the order of the walk would put.
    """

    def __init__(self, record: Record) -> None:
        self.record = record
        self.focus: Subject = record.session.dwelling
        self._asked_for: str = ""
        self._passed: dict[SubjectKey, set[str]] = {}
        for step in record.history.holding():
            self._pass(step)
        self._stepped_back = 0
        self._is_fresh = False
        self.focus = self.stopped_at()
        self._asked_for = self._cut_off_at()
        self.prompt = self._next()

    def _cut_off_at(self) -> str:
        """What was put out of turn when the walk was cut off: the circuit of a copied outlet."""
        history = self.record.history
        if not history.place or history.steps[history.place - 1].prompt != NEW + "outlet":
            return ""
        copied = isinstance(self.focus, Outlet) and self.focus.carried and not self.focus.fed_from
        return FIELD + "circuit" if copied else ""

    def stopped_at(self) -> Subject:
        """The subject that was in hand when the record was last closed, as far as it shows."""
        session, history = self.record.session, self.record.history
        if history.place:
            changed_last = self.record.subject(history.steps[history.place - 1].where)
            if changed_last is not None:
                return changed_last
        kinds: tuple[Sequence[Subject], ...] = (
            session.outlets,
            session.rooms,
            session.circuits,
            session.panels,
            session.units,
        )
        last = next((subjects[-1] for subjects in kinds if subjects), session.dwelling)
        if last is not session.dwelling and self.is_open(last):
            return last
        for subjects in (*kinds, [session.dwelling]):
            for subject in reversed(subjects):
                if self.is_open(subject):
                    return subject
        room = session.rooms[-1] if session.rooms else None
        if room is not None and not self.record.house.children(room, "outlet"):
            return room
        return last

    def is_open(self, subject: Subject) -> bool:
        """Whether something is still to be asked about a subject."""
        if open_field(self.record, subject, self._passed.get(self.record.key(subject), set())):
            return True
        return next(asks_under(self.record, subject), None) is not None

    def go_to(self, subject: Subject, prompt: str = "") -> None:
        """Go where a person chose to go.

        Raises Refused where there is nothing to do.
        """
        self.jump(subject, prompt)

    def jump(self, subject: Subject, prompt: str = "") -> None:
        """Go to a subject, and to one prompt of it where that is named."""
        self.focus = subject
        self._asked_for = prompt
        self._stepped_back = 0
        self._is_fresh = False
        self.prompt = self._next()

    def look_again(self) -> None:
        """The record was changed elsewhere: what is put may be another prompt now."""
        if self.record.holds(self.focus):
            self.prompt = self._next()
        else:
            self.jump(self.stopped_at())

    def reply(self, reply: Reply) -> None:
        """Take a reply; every answer is on disk before the next prompt is there.

        Raises Refused where the record cannot take it; nothing is changed then.
        """
        match reply:
            case StepBack():
                self.step_back()
            case Same():
                self._take_defaults()
            case Given(value):
                refuse_beside(self.record, self.focus, self.prompt.id, value)
                self._take(value)
            case CannotTell():
                self._take(None)

    def step_back(self) -> bool:
        """Put the prompt that was answered before this one again; its answer stays until then."""
        history = self.record.history
        at = self._stepped_back
        while at < history.place:
            at += 1
            step = history.steps[history.place - at]
            subject, prompt = self.record.subject(step.where), step.prompt
            if prompt == FIELD + PHOTOS:
                # Putting it again would add another one.
                continue
            if subject is not None and prompt.startswith(NEW):
                # What was added stays added; only its name can be put again.
                prompt = FIELD + "name" if "name" in fields_of(self.record, subject) else ""
            if subject is not None and prompt:
                self._stepped_back = at
                self.focus, self._asked_for = subject, prompt
                self.prompt = self._next()
                return True
        return False

    def undo(self) -> bool:
        """Take the last change back, on disk too, and put its prompt again."""
        return self._turned(self.record.undo())

    def redo(self) -> bool:
        """Make again what was taken back last, and go on from there."""
        return self._turned(self.record.redo(), again=True)

    def _turned(self, step: Step | None, again: bool = False) -> bool:
        """Stand where a step was made; the record was read anew, and so is what stands in it."""
        if step is None:
            return False
        near = self.record.key(self.focus)
        self._stepped_back = 0
        self._passed.get(step.where, set()).discard(step.prompt.removeprefix(FIELD))
        subject, prompt = self.record.subject(step.where), step.prompt
        if subject is None:
            subject = self.record.subject(near) or self._beside(step.where)
            prompt = "" if step.where[0] == "outlet" else prompt
        self.jump(subject, "" if again else prompt)
        return True

    def cancel(self) -> bool:
        """Leave a prompt that was asked for, and go on where the walk stands."""
        if not self._asked_for:
            return False
        self._asked_for = ""
        self._stepped_back = 0
        self.prompt = self._next()
        return True

    def skip_rest(self) -> None:
        """Nothing more can be told here: mark everything still open as put and not to be told."""
        subject = self.focus
        self._leave_open(subject)
        self._passed.setdefault(self.record.key(subject), set()).update(
            name.removeprefix(FIELD) for name in ("reason", "in_words", "shares_neutral_with")
        )
        self.jump(subject)

    def _leave_open(self, subject: Subject) -> None:
        rounds = sum(len(book.questions) for book in self.record.books)
        while rounds and (asks := list(asks_under(self.record, subject))):
            rounds -= 1
            self.record.answer_all(subject, {each.word: None for each in asks})

    def _take(self, value: AnswerValue | None) -> None:
        prompt, subject, record = self.prompt, self.focus, self.record
        name = prompt.id.rpartition(":")[2]
        before = record.history.place
        asked_for = ""
        if prompt.id.startswith(menu.MENU):
            self.focus, asked_for = menu.choose(record, subject, str(value), self.is_open)
        elif prompt.id.startswith(NEW):
            self.focus, asked_for = add(record, name, subject, str(value))
        elif prompt.id.startswith(FIELD):
            set_field(record, subject, name, value)
            if name == "state" and value in UNSEEN and subject.carried:
                # Entered like another one, and then nobody could see it: nothing more can be told.
                self._leave_open(subject)
            if name == "reason" and value == OTHER_REASON:
                asked_for = FIELD + "in_words"
        else:
            record.answer(subject, prompt.id, value)
        for step in record.history.holding()[before:]:
            self._pass(step)
        self._asked_for = asked_for
        self._stepped_back = 0
        # A note or a picture is put beside the walk and finishes nothing.
        self._is_fresh = name not in (NOTE, PHOTOS)
        self.prompt = self._next()

    def _pass(self, step: Step) -> None:
        """What was answered is not put again, but what depends on it may be."""
        if step.prompt.startswith(NEW):
            self._passed.pop(step.where, None)
        elif step.prompt.startswith(FIELD):
            name = step.prompt.removeprefix(FIELD)
            passed = self._passed.setdefault(step.where, set())
            passed -= _TOLD_ANEW_WITH.get(name, set())
            passed.add(name)

    def _take_defaults(self) -> None:
        """Take what is there as before, and so on while there is such an answer.

        What is merely offered or presumed was never seen by anyone, and is left to Enter; so
        is what would add a subject.
        """
        for _ in range(MOST_AT_ONCE):
            prompt = self.prompt
            if prompt.default is None or prompt.default_from not in (AS_BEFORE, YOUR_ANSWER):
                return
            self._take(prompt.default)
            if not self.record.saved:
                return

    def _next(self) -> Prompt:
        if self._asked_for:
            return self._prompt(self._asked_for)
        while True:
            passed = self._passed.setdefault(self.record.key(self.focus), set())
            name = open_field(self.record, self.focus, passed)
            if name is not None:
                return field_prompt(self.record, self.focus, name)
            ask = next(asks_under(self.record, self.focus), None)
            if ask is not None:
                return self._question(ask.word, ask.decides)
            onward = menu.onward(self.record, self.focus, self._is_fresh)
            if isinstance(onward, Prompt):
                return onward
            self.focus = onward

    def _prompt(self, id: str) -> Prompt:
        if id == menu.MENU + menu.CARRIED:
            return menu.carried_prompt(self.record, self.focus)
        if id.startswith(NEW):
            return new_prompt(self.record, id.removeprefix(NEW), self.focus)
        if id.startswith(FIELD):
            return field_prompt(self.record, self.focus, id.removeprefix(FIELD))
        return self._question(id)

    def _question(self, word: str, decides: tuple[str, ...] = ()) -> Prompt:
        question = self.record.question(word)
        own = self.focus.answer(word)
        if own is not None:
            return from_question(word, question, own, YOUR_ANSWER, decides)
        if isinstance(self.focus, Room):
            by_name = told_by_name(self.record, self.focus, word)
            if by_name is not None:
                return from_question(word, question, by_name, BY_NAME, decides)
        before = carried(self.record, self.focus, word)
        by_circuit = of_its_circuit(self.record.house, self.focus, question)
        if by_circuit not in (None, before):
            # The outlet before is an exception on its circuit, and says nothing of this one.
            return from_question(word, question, by_circuit, BY_CIRCUIT, decides)
        if before is not None:
            return from_question(word, question, before, AS_BEFORE, decides)
        return from_question(word, question, question.presume, PRESUMED, decides)

    def _beside(self, gone: SubjectKey) -> Subject:
        """A subject to stand on after one was taken away again."""
        rooms = self.record.session.rooms
        return rooms[-1] if gone[0] == "outlet" and rooms else self.stopped_at()
