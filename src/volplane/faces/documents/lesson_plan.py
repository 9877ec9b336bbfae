"""A lesson plan in the form instructors are taught, filled from the exercise: its sections in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.domain.debrief.results import StandardItem
from volplane.domain.debrief.standards import Rule
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.finding import Severity
from volplane.faces.documents import plan_words, wording
from volplane.faces.documents.debrief import limit_text
from volplane.faces.documents.lesson_ladder import EQUIPMENT, LADDER, RISKS, STOP_RULES
from volplane.faces.documents.wording import Units
from volplane.services.lesson_plans import BRIEFING_S, DEBRIEFING_S, LessonPlan
from volplane.services.rungs import MOST_EXERCISES, Rung

PRACTICE = (
    "Practise only where a go-around is always there, at a suitable field with little traffic and at a suitable "
    "height. Power loss is simulated with the throttle only, never with fuel, mixture or magnetos."
)


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a lesson plan: entries (a name and its words) or lines; `heads` make a table of it."""

    title: str
    rows: tuple[tuple[str, ...], ...]
    heads: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def is_lines(self) -> bool:
        """Whether it is a list of sentences."""
        return not self.heads and all(len(row) == 1 for row in self.rows)


def lesson_title(lesson: LessonPlan) -> str:
    """The rung as the lesson's name."""
    return f"Lesson plan, rung {lesson.rung.number}: {lesson.rung}"


def lesson_under(lesson: LessonPlan, trainee: str, units: Units) -> str:
    """Who, what, where, in which air, on one line."""
    exercise = lesson.plan.exercise
    speed_mps, from_rad = exercise.weather.wind.speed_and_direction(10.0)
    what = f"{exercise.airplane.name}, {units.weight.text(exercise.weight_kg)}"
    where = f"{exercise.airfield.name}, runway {exercise.runway.name}, {exercise.pattern} pattern"
    return f"{f'{trainee}. ' if trainee else ''}{what}. {where}. Wind {units.wind(from_rad, speed_mps)}, true."


def lesson_sections(lesson: LessonPlan, units: Units) -> list[Section]:
    """Every part, in the order a lesson is taught."""
    words = LADDER[lesson.rung]
    prerequisites = [*words.prerequisites, *_floor(lesson, units)]
    return [
        Section("Objective", ((words.objective,),)),
        _lines("Prerequisites", prerequisites),
        _lines("Content", [*words.content, *_rung_figures(lesson, units)]),
        _gates(lesson, units),
        _schedule(lesson, units),
        _lines("Equipment", EQUIPMENT),
        _lines("Instructor’s actions", words.instructor),
        _lines("Trainee’s actions", words.trainee),
        _risks(lesson, units),
        _lines("Stop rules", [*_stops(lesson, units), *STOP_RULES]),
        _lines("Common errors", words.errors),
        _standards(lesson, units),
    ]


def _lines(title: str, lines: Sequence[str], notes: tuple[str, ...] = ()) -> Section:
    return Section(title, tuple((line,) for line in lines), notes=notes)


def _floor(lesson: LessonPlan, units: Units) -> list[str]:
    """What the rungs aloft need."""
    if not lesson.needs_floor:
        return []
    floor_m = lesson.plan.exercise.airfield.practice_floor_msl_m
    if floor_m is None:
        return ["A practice floor, agreed before: an altitude that plays the ground (practice_floor of the airfield)."]
    return [f"The practice floor is {units.altimeter_text(floor_m, 'up')}: it plays the ground."]


def _rung_figures(lesson: LessonPlan, units: Units) -> list[str]:
    exercise = lesson.plan.exercise
    if lesson.rung is Rung.TRIM:
        glide = exercise.airplane.glide.at_weight(exercise.weight_kg)
        return [f"Best glide today {units.speed.text(glide.best_eas_mps)}, {wording.ratio(glide.best_ratio)}."]
    if lesson.rung is Rung.CROSSWIND:
        return [_crosswind(lesson, units)]
    if lesson.rung is Rung.SURPRISE:
        box = lesson.box
        lowest = units.altimeter_text(box.lowest_msl_m, "up")
        return [
            f"The box: altimeter {lowest} or more, within {units.distance.text(box.farthest_m)} of the touchdown "
            "point, no other traffic in sight, never in cloud’s reach. Outside it the throttle stays where it is."
        ]
    return []


def _crosswind(lesson: LessonPlan, units: Units) -> str:
    across = lesson.crosswind_mps
    side = "left" if across >= 0.0 else "right"
    limit = lesson.plan.exercise.airplane.limits.crosswind_mps
    known = "look up the airplane’s limit" if limit is None else f"the airplane’s file says {units.speed.text(limit)}"
    other = "right" if lesson.plan.exercise.pattern == "left" else "left"
    return (
        f"Crosswind at the field {units.speed.text(abs(across))} from the {side} ({known}). "
        f"The other side is the {other} pattern: it has a plan and a card of its own."
    )


def _gates(lesson: LessonPlan, units: Units) -> Section:
    exercise = lesson.plan.exercise
    rows = tuple(
        (
            wording.sentence_case(gate.name),
            units.altimeter(gate.altimeter_msl_m),
            units.altimeter(gate.altimeter_lowest_msl_m, "up"),
            units.altimeter(gate.altimeter_highest_msl_m, "down"),
            units.speed.text(gate.ias_mps),
        )
        for gate in lesson.plan.gates
        if _is_taught(gate.name, lesson.rung)
    )
    heads = ("Gate", f"altimeter, {units.height.unit}", "lowest", "highest", "speed")
    banks = (
        f"Banks: {wording.angle(exercise.high_key_turn_bank_rad)} in the first turn, "
        f"{wording.angle(exercise.base_turn_bank_rad)} to base, "
        f"{wording.angle(exercise.maximum_bank_below_low_key_rad)} at most below the low key."
    )
    setting = f"On {units.altimeter_setting.text(exercise.weather.atmosphere.qnh_pa)}."
    return Section("Figures of the exercise", rows, heads, (f"{setting} {banks}",))


def _is_taught(gate: GateName, rung: Rung) -> bool:
    return not (rung is Rung.LOW_KEY and gate is GateName.HIGH_KEY)


def _schedule(lesson: LessonPlan, units: Units) -> Section:
    count = wording.counted(lesson.exercises, "exercise")
    each = (
        f"{wording.duration(lesson.exercise_s)} down, {wording.duration(lesson.climb_s)} climb"
        f"{' (estimated: the airplane’s file gives no climb)' if lesson.is_climb_estimated else ''}"
    )
    rows = (
        ("Before the flight", f"{_minutes(BRIEFING_S)}: briefing at the whiteboard, card, stop rules"),
        ("In the air", f"{_minutes(lesson.flight_s)}: {count}, each {each}, and set-up between them"),
        ("After the flight", f"{_minutes(DEBRIEFING_S)}: the trainee’s own view first, then the debrief"),
    )
    most = wording.counted(MOST_EXERCISES, "exercise")
    notes = (f"{wording.sentence_case(most)} a sortie at most: tired people and hot engines learn nothing.",)
    return Section("Schedule", rows, notes=notes)


def _minutes(time_s: float) -> str:
    return f"{wording.figure(wording.rounded(time_s / 60.0, 5.0))}{wording.NO_BREAK_SPACE}min"


def _risks(lesson: LessonPlan, units: Units) -> Section:
    """The risks of every such lesson, then what the plan warns of today."""
    found = [
        (
            wording.sentence_case(finding.severity),
            plan_words.finding_text(finding, units),
        )
        for finding in lesson.plan.findings
        if finding.severity in (Severity.STOP, Severity.CAUTION)
    ]
    return Section("Risk assessment", (*RISKS, *found), notes=(PRACTICE,))


def _stops(lesson: LessonPlan, units: Units) -> list[str]:
    gate, exercise = lesson.plan.break_off, lesson.plan.exercise
    low, high = units.speed.figure(gate.ias_low_mps), units.speed.text(gate.ias_high_mps)
    return [
        f"At {units.altimeter_text(gate.altimeter_msl_m, 'up')} the picture is right or the exercise is a go-around: "
        f"between lowest and highest, {low} to {high}, bank {wording.angle(gate.bank_rad)} or less, aligned or in the "
        "last turn. The instructor’s call is final.",
        _wind_stop(exercise, units),
    ]


def _wind_stop(exercise: Exercise, units: Units) -> str:
    limit = exercise.airplane.limits.crosswind_mps
    known = "the airplane’s crosswind figure" if limit is None else units.speed.text(limit)
    return f"Crosswind over {known}, or a gust that nobody expected: stop, and plan again."


def _standards(lesson: LessonPlan, units: Units) -> Section:
    words = LADDER[lesson.rung]
    exercise = lesson.plan.exercise
    lines = list(words.done_when)
    if lesson.rung not in (Rung.TRIM, Rung.POINT):
        lines += [
            f"{wording.sentence_case(rule.item)}: {_limit(rule, units)}." for rule in lesson.rules if _has_limit(rule)
        ]
    notes = (f"Standard: {exercise.standard}{_sources(lesson)}. A timely go-around is a good decision, not a failure.",)
    return _lines("Completion standards", lines, notes)


def _has_limit(rule: Rule) -> bool:
    return rule.limit_low is not None or rule.limit_high is not None


def _limit(rule: Rule, units: Units) -> str:
    return limit_text(
        StandardItem(rule.item, rule.limit_low, rule.limit_high, None, rule.quantity, None, rule.source), units
    )


def _sources(lesson: LessonPlan) -> str:
    found = list(dict.fromkeys(rule.source for rule in lesson.rules))
    return f" ({wording.listed(found)})" if found else ""
