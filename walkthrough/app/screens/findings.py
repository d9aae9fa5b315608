"""The list of deficiencies, the gravest first, with the reason of each."""

from __future__ import annotations

from collections.abc import Iterator

from textual.content import Content
from textual.widgets import OptionList

from walkthrough.app.describe import where
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import DetailedScreen
from walkthrough.judge.judge import Judgement, Verdict
from walkthrough.judge.under import Judged
from walkthrough.report.cautions import NOT_A_CERTIFICATE, how_sure
from walkthrough.report.text import clean, counted

JUDGING = "Judging the whole record ..."


class FindingsScreen(DetailedScreen):
    """Choose a deficiency to go to its subject."""

    def __init__(self, record: Record) -> None:
        super().__init__(record)
        self._told: list[tuple[tuple[Judgement, ...], Verdict]] = []

    def on_mount(self) -> None:
        """List the findings of the whole record, then what only the authority can settle."""
        if self.record.is_judged:
            self._fill()
        else:
            # To judge all takes a moment: the screen is there first.
            self.head(JUDGING)
            self.fill_once_shown(self._fill)

    def _fill(self) -> None:
        judged = self.record.judged
        found = [(told.judged, told.judged[0].verdict(told.finding)) for told in judged.findings]
        disputed = disputes(judged)
        self._told = [*found, *disputed]
        self.head(
            f"{counted(len(found), 'deficiency', 'deficiencies')}, "
            f"{len(disputed)} for the authority having jurisdiction. Enter: go there"
        )
        self.fill([(str(number), self._row(*each)) for number, each in enumerate(self._told)])
        if not self._told:
            self.detail(Content(f"No deficiency so far.\n\n{NOT_A_CERTIFICATE}"))

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Show the reason."""
        event.stop()
        told = self._told[int(event.option.id or 0)]
        self.detail(*self._reason(*told))

    def chosen(self, id: str) -> None:
        """Go to the subject of the deficiency."""
        if id:
            _, verdict = self._told[int(id)]
            self.dismiss((self.record.house.subjects[verdict.of, verdict.subject], ""))

    def _row(self, judged: tuple[Judgement, ...], verdict: Verdict) -> str:
        judgement = judged[0]
        asked = verdict.decision.outcome == "ask the AHJ"
        word = "ASK" if asked else judgement.severity(verdict).upper()
        return clean(f"{word:<8}{verdict.subject}: {judgement.says(verdict)}")

    def _reason(self, judged: tuple[Judgement, ...], verdict: Verdict) -> Iterator[Content]:
        judgement = judged[0]
        declared = verdict.decision.rule.declared
        subject = judgement.house.subjects[verdict.of, verdict.subject]
        verify_in = judgement.book.verify_in
        mark = how_sure(declared.confidence, verify_in)
        yield Content.assemble((clean(judgement.says(verdict)), "bold"))
        yield Content(where(self.record, subject))
        kind = f"{verdict.decision.kind}, {judgement.severity(verdict)}"
        yield Content(f"{kind}: section {', '.join(declared.cite)}{mark and f' ({mark})'}")
        if len(self.record.judged.all) > 1:
            yield Content(clean(f"Under: {'; '.join(each.under for each in judged)}"))
        if declared.grade:
            sure = how_sure(declared.grade.confidence, verify_in)
            yield Content(clean(f"Graded there as: {declared.grade.word}{sure and f' ({sure})'}"))
        for due in judgement.deadlines(verdict):
            sure = how_sure(due.confidence, verify_in)
            told = f"To be corrected within {due.told}: {due.programme}{sure and f' ({sure})'}"
            yield Content(clean(told))
        if declared.duty:
            yield Content(clean(f"Report: {declared.duty}"))
        yield Content(f"Why it matters: {clean(declared.why)}")
        yield Content(f"Cure: {clean(judgement.remedy(verdict)) or '-'}; by: {declared.done_by}")
        for caveat in judgement.caveats(verdict):
            yield Content(f"But here: {clean(caveat)}")
        yield Content(f"Source: {clean(declared.source)}")
        yield Content("")
        yield Content.assemble(("What decided it", "bold"))
        for step in judgement.trail(verdict):
            yield Content("  " * step.depth + clean(step.text))


def disputes(judged: Judged) -> list[tuple[tuple[Judgement, ...], Verdict]]:
    """What only the authority can settle: what several rulesets tell alike, once."""
    found: dict[tuple[str, ...], tuple[list[Judgement], Verdict]] = {}
    for one in judged.all:
        for each in one.disputed:
            cite = each.decision.rule.declared.cite
            key = (each.of, each.subject, one.says(each), *cite, *each.decision.readings)
            found.setdefault(key, ([], each))[0].append(one)
    return [(tuple(under), verdict) for under, verdict in found.values()]
