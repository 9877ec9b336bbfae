"""A kept exercise flown in one sentence, from the figures lists are made of."""

from __future__ import annotations

from volplane.domain.debrief.results import Outcome
from volplane.faces.documents.wording import Units, sentence_case
from volplane.services.kept import KeptAttempt


def outcome_words(attempt: KeptAttempt, units: Units) -> str:
    """How it ended, with its figure, and whether a dead engine would have made it."""
    verdict = f" A dead engine: {attempt.verdict}." if attempt.verdict else ""
    return f"Runway {attempt.runway}, {attempt.side}: {ending_words(attempt, units)}.{verdict}"


def ending_words(attempt: KeptAttempt, units: Units) -> str:
    """How it ended, with its figure."""
    if attempt.outcome == Outcome.LANDED and attempt.touchdown_x_m is not None:
        side = "past" if attempt.touchdown_x_m >= 0.0 else "before"
        return f"touched {units.length.text(abs(attempt.touchdown_x_m))} {side} the point"
    if attempt.outcome == Outcome.WENT_AROUND and attempt.go_around_height_m is not None:
        timely = {True: ", in time", False: ", late", None: ""}[attempt.is_timely]
        return f"went around at {units.height.text(attempt.go_around_height_m)}{timely}"
    return sentence_case(attempt.outcome).lower()
