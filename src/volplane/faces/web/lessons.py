"""From a held debrief to what its page shows: the sentences and figures of one exercise flown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.domain.debrief.results import Attempt, Debrief
from volplane.domain.finding import Finding
from volplane.faces.documents import debrief_words, wording
from volplane.faces.documents.wording import Units
from volplane.faces.web.figures import AttemptFigures, FindingFigures, attempt_figures, finding_figures

SHOWN_FINDINGS = 3
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")


@dataclass(frozen=True, slots=True)
class FindingWords:
    """A finding with its sentences and pictures."""

    finding: Finding
    title: str
    text: str
    next_time: str | None
    figures: FindingFigures


@dataclass(frozen=True, slots=True)
class Lesson:
    """What the page of one attempt is made of: the value, its sentences and its figures."""

    debrief: Debrief
    number: int
    headline: str
    subline: str
    findings: Sequence[FindingWords]
    figures: AttemptFigures
    units: Units
    who: str

    @property
    def attempt(self) -> Attempt:
        """The exercise flown."""
        return self.debrief.attempts[self.number]


def lesson_of(debrief: Debrief, number: int, who: str, units: Units) -> Lesson:
    """Everything the lesson sheet of one attempt shows."""
    attempt = debrief.attempts[number]
    shown = attempt.findings[:SHOWN_FINDINGS]
    findings = [
        FindingWords(
            finding=finding,
            title=debrief_words.finding_title(finding, units),
            text=debrief_words.finding_text(finding, units),
            next_time=debrief_words.next_time(finding, units) or None,
            figures=finding_figures(attempt, finding, units),
        )
        for finding in shown
    ]
    return Lesson(
        debrief=debrief,
        number=number,
        headline=debrief_words.headline(attempt, units),
        subline=debrief_words.subline(attempt, units),
        findings=findings,
        figures=attempt_figures(attempt, units),
        units=units,
        who=who,
    )


@dataclass(frozen=True, slots=True)
class Recorded:
    """What is kept about a recording besides what it says itself: its file and the people, by name."""

    file_name: str
    trainee: str | None = None
    instructor: str | None = None


def who_of(debrief: Debrief, recorded: Recorded, number: int) -> str:
    """Who flew, when, which exercise of how many, and what was recorded, as one line."""
    attempts = debrief.attempts
    people = " with ".join(filter(None, (recorded.trainee, recorded.instructor))) or recorded.file_name
    parts = [f"{people}, {wording.utc_date(debrief.recording.start_unix_s)}"]
    if len(attempts) > 1:
        parts.append(f"{exercise_name(number)} of {wording.counted(len(attempts), 'exercise').split()[0]}")
    said = _recorded(attempts[number]) if attempts else ""
    return f"{', '.join(parts)}. {said}".strip()


def _recorded(attempt: Attempt) -> str:
    if attempt.path.cas_mps is None:
        return "Position and height recorded, no airspeed."
    return "Position, height and airspeed recorded."


def exercise_name(number: int) -> str:
    """The third exercise is the third; from ten on it is exercise 10."""
    return ORDINALS[number] if number < len(ORDINALS) else f"exercise {number + 1}"


def exercise_link(number: int) -> str:
    """What the link to one exercise of several says."""
    name = exercise_name(number)
    return wording.sentence_case(name if number >= len(ORDINALS) else f"{name} exercise")
