"""The ladder, lesson plans and reminders: what a recording tells of a rung, what a sortie bears, and after how long."""

from __future__ import annotations

import dataclasses
import pathlib

import pytest

from tests.faces import fixtures
from tests.season import DAY_S, MAY_UNIX_S, SEASON, Flown, keep_season
from tests.stores import file_store
from volplane.adapters.store.lists import SqlLists
from volplane.adapters.store.store import SqlStore
from volplane.domain.geometry.airfield import Side
from volplane.faces.documents.lesson_ladder import LADDER
from volplane.faces.documents.lesson_plan import lesson_sections
from volplane.faces.documents.wording import IMPERIAL, METRIC
from volplane.faces.report.lesson_plan import lesson_plan_pdf
from volplane.faces.report.refusals import CardStopped
from volplane.services import kept
from volplane.services.currency import Reminder, all_reminders, keep_reminder_days
from volplane.services.lesson_plans import lesson_plan
from volplane.services.lesson_records import LessonRecord, LessonWords, day_without_record, keep_record
from volplane.services.rungs import MOST_EXERCISES, Rung, rung_of_slug, rung_told, usual_side
from volplane.units import ft_from_m, mps_from_kt

DAY = int(MAY_UNIX_S // DAY_S)
# the parts instructors are taught a lesson plan has
PARTS = (
    *("Objective", "Prerequisites", "Content", "Schedule", "Equipment", "Instructor’s actions", "Trainee’s actions"),
    *("Risk assessment", "Common errors", "Completion standards"),
)


@pytest.mark.parametrize(
    "gates, side, crosswind_kt, rung",
    [
        (("high key", "low key"), "left", 2.0, Rung.HIGH_KEY),
        (("low key", "base key"), "left", None, Rung.LOW_KEY),
        (("high key", "low key"), "right", 0.0, Rung.CROSSWIND),
        (("low key",), "left", -9.0, Rung.CROSSWIND),
        (("final",), "right", 12.0, None),
    ],
)
def test_a_recording_tells_the_rung_by_its_gates_its_side_and_its_wind(
    gates: tuple[str, ...], side: str, crosswind_kt: float | None, rung: Rung | None
) -> None:
    across = None if crosswind_kt is None else mps_from_kt(crosswind_kt)
    assert rung_told(gates, side, "left", across) is rung


def test_the_usual_side_is_the_one_flown_most_and_left_when_in_doubt() -> None:
    assert usual_side(["right", "right", "left"]) == Side.RIGHT
    assert usual_side(["right", "left"]) == Side.LEFT
    assert usual_side([]) == Side.LEFT


@pytest.mark.parametrize("rung", list(Rung))
def test_every_rung_has_a_whole_lesson_plan_in_both_units(rung: Rung) -> None:
    assert rung_of_slug(rung.slug) is rung
    lesson = lesson_plan(fixtures.plan(), rung)
    for units in (IMPERIAL, METRIC):
        sections = {each.title: each for each in lesson_sections(lesson, units)}
        assert set(PARTS) <= set(sections)
        assert all(sections[part].rows for part in PARTS)
    assert LADDER[rung].objective in sections["Objective"].rows[0]


@pytest.mark.parametrize("asked, given", [(0, 1), (3, 3), (12, MOST_EXERCISES)])
def test_a_sortie_never_has_more_than_five_exercises(asked: int, given: int) -> None:
    assert MOST_EXERCISES == 5
    assert lesson_plan(fixtures.plan(), Rung.LOW_KEY, asked).exercises == given


def test_the_figures_of_a_lesson_plan_are_those_of_the_exercise() -> None:
    plan = fixtures.plan()
    lesson = lesson_plan(plan, Rung.HIGH_KEY, 4)
    sections = {each.title: each for each in lesson_sections(lesson, IMPERIAL)}
    rows = {row[0]: row for row in sections["Figures of the exercise"].rows}
    for gate in plan.gates:
        row = rows[gate.name.value[:1].upper() + gate.name.value[1:]]
        assert abs(float(row[1].replace(",", "")) - ft_from_m(gate.altimeter_msl_m)) <= 25.0
        assert float(row[2].replace(",", "")) >= ft_from_m(gate.altimeter_lowest_msl_m) - 0.1
    assert "four exercises" in sections["Schedule"].rows[1][1]


def test_from_the_low_key_nobody_is_given_a_high_key() -> None:
    sections = {each.title: each for each in lesson_sections(lesson_plan(fixtures.plan(), Rung.LOW_KEY), IMPERIAL)}
    assert next(row[0] for row in sections["Figures of the exercise"].rows) == "Low key"


def test_the_box_of_a_surprise_is_no_lower_than_the_high_key_works_and_no_wider_than_the_plan() -> None:
    plan = fixtures.plan()
    box = lesson_plan(plan, Rung.SURPRISE).box
    assert box.lowest_msl_m == plan.gates[0].altimeter_lowest_msl_m
    assert box.farthest_m == pytest.approx(
        max((x * x + y * y) ** 0.5 for x, y in zip(plan.path.x_m, plan.path.y_m, strict=True))
    )


def test_a_lesson_plan_is_printed_and_the_same_twice() -> None:
    lesson = lesson_plan(fixtures.plan(), Rung.HIGH_KEY)
    first = lesson_plan_pdf(lesson, trainee="Mara Quist")
    assert first.startswith(b"%PDF-")
    assert lesson_plan_pdf(lesson, trainee="Mara Quist") == first


@pytest.mark.parametrize(
    "plan",
    [fixtures.plan(feasible=False), fixtures.plan(findings=[fixtures.stop_finding()])],
    ids=["infeasible", "stop"],
)
def test_no_lesson_is_planned_on_an_exercise_nobody_should_fly(plan: object) -> None:
    with pytest.raises(CardStopped, match="no card is printed"):
        lesson_plan_pdf(lesson_plan(plan, Rung.HIGH_KEY))  # type: ignore[arg-type]


def reminded(store: SqlStore, days_after_may: float) -> list[tuple[str, Rung | None, int]]:
    now = MAY_UNIX_S + days_after_may * DAY_S
    found: tuple[Reminder, ...] = all_reminders(store, SqlLists(store.engine).flown(), now)
    return [(each.person, each.rung, each.days) for each in found]


def test_one_is_reminded_of_somebody_who_flew_nothing_for_long(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    keep_season(store)
    assert reminded(store, 22.0) == []
    # ilse flew last on day 21, jonne on day 10, mara on day 14; the exercises began within the hour
    assert set(reminded(store, 80.0)) == {("jonne", None, 69), ("mara", None, 65)}


def test_a_rung_flown_long_ago_is_named_when_others_were_flown_since(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    other_side = Flown("mara", 0, touchdown_ft=50.0, side="right")
    keep_season(store, (other_side, *(Flown("mara", day, touchdown_ft=50.0) for day in (1, 2, 70))))
    assert reminded(store, 75.0) == [("mara", Rung.CROSSWIND, 74)]


def test_a_discontinued_exercise_keeps_nobody_current(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    keep_season(store, (Flown("mara", 0, touchdown_ft=50.0), Flown("mara", 65, "discontinued")))
    assert reminded(store, 66.0) == [("mara", None, 65)]


def test_the_instructor_sets_after_how_long_and_may_turn_it_off(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    keep_season(store)
    keep_reminder_days(store, 15)
    assert ("jonne", None, 19) in reminded(store, 30.0)
    keep_reminder_days(store, 0)
    assert reminded(store, 500.0) == []


def test_a_rung_that_no_recording_tells_is_known_from_its_lesson_record(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    keep_season(store, (Flown("mara", 0, touchdown_ft=50.0), Flown("mara", 70, touchdown_ft=50.0)))
    day = day_without_record(store, "mara", DAY)
    keep_record(store, day, LessonWords(rung=Rung.SURPRISE.value), None)
    assert ("mara", Rung.SURPRISE, 75) in reminded(store, 75.2)


def test_a_record_reads_as_it_was_written(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    keep_season(store, SEASON)
    day = day_without_record(store, "mara", DAY)
    words = LessonWords("Quill Meadow", "Dunlin Tourer", Rung.HIGH_KEY.value, "calm", "lesson", "none", "“fine”", "ß")
    lesson = keep_record(store, day, words, 3900.0)
    record = LessonRecord.of_text(store.get(kept.Lesson, lesson.key).document)
    assert record.words == words
    assert [each.outcome for each in record.exercises] == ["landed", "discontinued", "went around"]
    assert LessonRecord.of_text(record.to_text()) == record
    assert dataclasses.astuple(lesson)[1] == "mara"


def test_the_record_holds_no_name_so_that_who_is_forgotten_is_gone(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    keep_season(store, SEASON)
    lesson = keep_record(store, day_without_record(store, "mara", DAY), LessonWords(), None)
    assert "Mara" not in lesson.document
    assert "Tobias" not in lesson.document
