"""Why no card is printed."""

from __future__ import annotations

from volplane.domain.exercise.plan import Binding
from volplane.domain.finding import Finding
from volplane.errors import Refusal


class CardStopped(Refusal):
    """The plan holds a stop, or cannot work: nobody flies from such a card.

    `stops` are the findings that stop it; `binding` is the limit of an infeasible plan, else None.
    """

    code = "card-stopped"

    def __init__(self, stops: tuple[Finding, ...], binding: Binding | None) -> None:
        causes = [finding.code for finding in stops] + ([] if binding is None else [binding.code])
        super().__init__(f"no card is printed: {', '.join(causes) or 'the exercise is not possible as wished'}")
        self.stops = stops
        self.binding = binding


class CardNeedsReason(Refusal):
    """The plan holds cautions, and the instructor has not said why it is flown all the same."""

    code = "card-needs-reason"

    def __init__(self, cautions: tuple[Finding, ...]) -> None:
        super().__init__(f"a reason is needed for {', '.join(finding.code for finding in cautions)}")
        self.cautions = cautions


class CardTooLong(Refusal):
    """The instructor's words do not fit on one page, whatever is left out."""

    code = "card-too-long"

    def __init__(self, paper: str) -> None:
        super().__init__(f"the words for the card do not fit on one page of {paper}")
        self.paper = paper
