"""A trainee's path as the part `progress` of `volplane/people/1`, and as lines for the terminal."""

from __future__ import annotations

from typing import Any

from volplane.faces.documents import progress_words, wording
from volplane.faces.documents.attempt_words import ending_words
from volplane.faces.documents.quantities import ft, kt, utc
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.services.progress import FlownExercise, Progress
from volplane.services.robust import Middle, Trend


def progress_document(progress: Progress, units: Units = IMPERIAL) -> dict[str, Any]:
    """Everything the exercises of one trainee say."""
    return {
        "too_few": progress.is_too_few,
        "exercises": [_exercise(each) for each in progress.exercises],
        "outcomes": {
            "landed": progress.outcomes.landed,
            "went_around_timely": progress.outcomes.timely,
            "went_around_late": progress.outcomes.late,
            "went_around_not_judged": progress.outcomes.unjudged,
            "discontinued": progress.outcomes.discontinued,
            "not_recorded_to_the_end": progress.outcomes.not_recorded,
        },
        "touchdown": _middle(progress.touchdowns),
        "gates": [
            {
                "name": each.gate.value,
                "count": each.count,
                "error": _middle(each.middle),
                "inside": each.inside,
                "with_window": each.with_window,
                "trend": _trend(each.trend),
            }
            for each in progress.gates
        ],
        "standard": [
            {"item": each.item, "source": each.source, "met": each.met, "observed": each.observed}
            for each in progress.items
        ],
        "winds": [
            {
                "band": each.band.value,
                "exercises": each.exercises,
                "touchdowns": each.touchdowns,
                "touchdown": _middle(each.middle),
            }
            for each in progress.bands
        ],
        "improved": [
            {
                "gate": None if each.gate is None else each.gate.value,
                "trend": _trend(each.trend),
                "text": progress_words.improvement_sentence(each, units),
            }
            for each in progress.improved
        ],
        "train_next": [
            {
                "what": progress_words.topic_title(each),
                "bad": each.bad,
                "count": each.count,
                "text": progress_words.topic_sentence(each, units),
            }
            for each in progress.topics
        ],
    }


def progress_text(progress: Progress, units: Units) -> str:
    """The same for a reader at the terminal."""
    lines = [_line(each, units) for each in progress.exercises]
    lines += progress_words.outcome_sentences(progress.outcomes, units)
    if progress.is_too_few:
        return "\n".join([*lines, progress_words.too_few_sentence(progress)])
    lines.append(progress_words.touchdown_sentence(progress, units))
    better = [f"  {progress_words.improvement_sentence(each, units)}" for each in progress.improved]
    lines += ["Better:", *(better or [f"  {progress_words.NOTHING_BETTER_YET}"])]
    topics = [
        f"  {progress_words.topic_title(each)}. {progress_words.topic_sentence(each, units)}"
        for each in progress.topics
    ]
    return "\n".join([*lines, "To train next:", *(topics or [f"  {progress_words.NOTHING_STANDS_OUT}"])])


def _line(exercise: FlownExercise, units: Units) -> str:
    attempt = exercise.attempt
    when = f"{wording.utc_date(attempt.start_unix_s)}, {wording.utc_clock(attempt.start_unix_s)} UTC"
    return f"{when}: runway {attempt.runway}, {attempt.side}, {ending_words(attempt, units)}"


def _exercise(exercise: FlownExercise) -> dict[str, Any]:
    attempt = exercise.attempt
    return {
        "start_utc": utc(attempt.start_unix_s),
        "runway": attempt.runway,
        "pattern": attempt.side,
        "outcome": attempt.outcome,
        "timely": attempt.is_timely,
        "touchdown_x_ft": ft(exercise.touchdown_x_m),
        "in_hand_ft": ft(attempt.in_hand_m),
        "room_above_ft": ft(attempt.least_room_above_m),
        "headwind_kt": kt(attempt.headwind_mps),
        "crosswind_kt": kt(attempt.crosswind_mps),
        "wind": exercise.band.value,
        "gates": [
            {
                "name": each.gate,
                "height_ft": ft(each.height_m),
                "planned_ft": ft(each.planned_m),
                "lowest_ft": ft(each.lowest_m),
                "highest_ft": ft(each.highest_m),
            }
            for each in exercise.gates
        ],
    }


def _middle(middle: Middle | None) -> dict[str, Any] | None:
    if middle is None:
        return None
    return {
        "count": middle.count,
        "median_ft": ft(middle.median),
        "median_low_ft": ft(middle.median_low),
        "median_high_ft": ft(middle.median_high),
        "quartile_low_ft": ft(middle.quartile_low),
        "quartile_high_ft": ft(middle.quartile_high),
    }


def _trend(trend: Trend | None) -> dict[str, Any] | None:
    if trend is None:
        return None
    return {
        "count": trend.count,
        "change_ft": ft(trend.slope),
        "change_low_ft": ft(trend.slope_low),
        "change_high_ft": ft(trend.slope_high),
    }
