"""Plain words for tests of documents: what the document puts in the place of sentences can be recognised."""

from __future__ import annotations

from volplane.domain.debrief.results import Attempt, NotObservable, StandardItem
from volplane.domain.exercise.plan import Binding, Phase
from volplane.domain.finding import Finding
from volplane.faces.documents.wording import Units


class PlainWords:
    """Sentences made of codes."""

    def finding_text(self, finding: Finding, units: Units) -> str:
        return f"finding {finding.code} in {units.system} units."

    def finding_title(self, finding: Finding, units: Units) -> str:
        return f"title {finding.code}"

    def next_time(self, finding: Finding, units: Units) -> str:
        return ""

    def binding_text(self, binding: Binding, units: Units) -> str:
        return f"binding {binding.code}."

    def phase_texts(self, phase: Phase, units: Units) -> tuple[str, str]:
        return f"real {phase.real}", f"flown {phase.flown}"

    def headline(self, attempt: Attempt, units: Units) -> str:
        return f"headline {attempt.outcome}."

    def subline(self, attempt: Attempt, units: Units) -> str:
        return f"subline {attempt.outcome}."

    def item_reason_text(self, item: StandardItem) -> str:
        return item.reason or ""

    def reason_text(self, item: NotObservable) -> str:
        return f"because {item.reason}."
