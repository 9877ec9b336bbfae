"""How honest the stand-in of a plan is, for the instructor sheet: sinks straight ahead, and a whole exercise flown."""

from __future__ import annotations

from collections.abc import Sequence

from volplane.domain.airplane.honesty import FINAL_POWER_OFF, FINAL_WITH_POWER, STILL_AIR
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.stand_in_flown import FlownExercise
from volplane.domain.finding import Severity
from volplane.faces.documents import standin_words, wording
from volplane.faces.documents.wording import Units
from volplane.faces.report.parts import Part, entries, table
from volplane.services.standing_in import StandInAnswer

_TITLE = "Where the stand-in lies"
_FINALS = {FINAL_WITH_POWER: "final, power left on", FINAL_POWER_OFF: "final, power off, fine stop"}


def honesty_part(plan: Plan, answer: StandInAnswer | None, units: Units) -> Part:
    """Both sinks and what a whole exercise loses more with the stand-in; one sentence where there is none."""
    if plan.exercise.airplane.stand_in is None:
        words = (
            "No stand-in in the airplane file: power and drag are set to match the sink, and nothing vouches for it."
        )
        return entries(_TITLE, [], notes=(words,))
    if answer is None:
        return entries(_TITLE, [], notes=("Not worked out: no power in this configuration sinks like a dead engine.",))
    rows = [
        [_place(row.phase, row.eas_mps, answer, units), *_sinks(row.real_sink_mps, row.stand_in_sink_mps, units)]
        for row in answer.honesty
        if (row.phase == STILL_AIR and row.bank_rad == 0.0) or row.phase in _FINALS
    ]
    return table(
        _TITLE,
        [f"{answer.configuration.name}", "real", "stand-in", f"more, {units.sink.unit}"],
        rows,
        wide=0,
        notes=(_flown_words(answer.flown, units), *_cautions(answer, units)),
    )


def _place(phase: str, eas_mps: float, answer: StandInAnswer, units: Units) -> str:
    speed = units.speed.text(answer.ias_mps(eas_mps))
    return f"{_FINALS.get(phase, 'straight')}, {speed}"


def _sinks(real_mps: float | None, stand_in_mps: float | None, units: Units) -> tuple[str, str, str]:
    more = None if real_mps is None or stand_in_mps is None else (stand_in_mps - real_mps) / units.sink.unit_si
    return units.sink.figure(real_mps), units.sink.figure(stand_in_mps), wording.signed(more, units.sink.decimals)


def _flown_words(flown: Sequence[FlownExercise], units: Units) -> str:
    """What a whole exercise loses more, or less, than the dead engine, each way it is flown."""
    lost = [f"{_where(each, units)} {units.height.signed(each.error_m)}" for each in flown]
    return f"Height a whole exercise loses more than the dead engine: {', '.join(lost)}."


def _where(each: FlownExercise, units: Units) -> str:
    if each.is_in_stronger_wind:
        return f"into {units.speed.text(each.headwind_mps)} of wind"
    if each.speed_offset_mps == 0.0:
        return "at best glide"
    return f"{units.speed.text(abs(each.speed_offset_mps))} {'faster' if each.speed_offset_mps > 0.0 else 'slower'}"


def _cautions(answer: StandInAnswer, units: Units) -> list[str]:
    """What most has to be known of the stand-in, at most two."""
    serious = [each for each in answer.findings if each.severity is not Severity.NOTE]
    return [standin_words.finding_text(each, units) for each in serious[:2]]
