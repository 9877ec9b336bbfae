"""What the terminal prints of a plan and a debrief, over hand-made ones: complete, in columns, at any width."""

from __future__ import annotations

import dataclasses
import re

import pytest

from tests.faces import fixtures
from volplane.domain.airplane.airplane import InstructorWords
from volplane.domain.debrief.results import Attempt, Outcome
from volplane.domain.exercise.plan import Binding, Plan
from volplane.domain.finding import Finding, Severity
from volplane.domain.geometry.airfield import Side
from volplane.faces.cli.debrief_report import debrief_report
from volplane.faces.cli.plan_report import plan_report
from volplane.faces.cli.sheet import NARROWEST, Column, Sheet
from volplane.faces.documents.wording import CAUTION_LINES, METRIC
from volplane.units import kg_from_lb, m_from_ft

WIDTHS = (40, 61, 80, 100, 200)
NOTED = (
    Finding("weight-not-stated", Severity.CAUTION, {"weight_kg": kg_from_lb(3650.0)}),
    Finding("no-stand-in", Severity.NOTE),
)


def planned(**changes: object) -> Plan:
    return fixtures.plan(findings=NOTED, **changes)  # type: ignore[arg-type]


def flown(outcome: Outcome = Outcome.LANDED) -> Attempt:
    late = {"late_s": 2.0, "farther_m": m_from_ft(430.0), "cost_m": m_from_ft(95.0), "past_low_key_s": 16.0}
    finding = Finding("turn-to-base-late", Severity.NOTE, late, time_s=190.0, cost_m=m_from_ft(95.0))
    return dataclasses.replace(fixtures.attempt(outcome=outcome), findings=(finding,))


def read(text: str) -> str:
    """The text as it is read: one blank for any white space."""
    return " ".join(text.split())


def rows(text: str) -> list[list[str]]:
    """Lines of tables as cells, which stand three blanks or more apart."""
    return [re.split(r"\s{3,}", line.strip().replace("\u00a0", " ")) for line in text.splitlines()]


def test_a_plan_shows_what_is_planned_for_whom_and_in_which_air() -> None:
    said = read(plan_report(planned()))
    for words in (
        "Overhead to runway 25, left pattern",
        "Quill Meadow, 940 ft. 14 May 2026, 14:00 UTC.",
        "Dunlin Tourer at 3,350 lb: best glide 104 kt, 9.6 to 1.",
        "Wind (true) 240° 8 kt at the field, 270° 18 kt at 3,000 ft. 18 °C at the field.",
        "Altimeter on 30.05 in, rounded; heights are above the touchdown point.",
    ):
        assert words in said


def test_the_gates_stand_in_a_table_with_rounded_altimeter_readings() -> None:
    plan = planned()
    table = {cells[0]: cells[1:] for cells in rows(plan_report(plan))}
    low_key = plan.gates[1]
    # lowest is rounded up and highest down to 50 ft, so that neither flatters
    lowest, highest = (value / 0.3048 for value in (low_key.altimeter_lowest_msl_m, low_key.altimeter_highest_msl_m))
    said = [float(cell.replace(",", "")) for cell in table["Low key"][:3]]
    assert said[1] % 50 == said[2] % 50 == 0
    assert 0.0 <= said[1] - lowest < 50.0
    assert 0.0 <= highest - said[2] < 50.0
    assert table["Low key"][3:6] == ["1,500", "1,140", "0.74"]
    assert [name for name in ("High key", "Low key", "Base key", "Final") if name in table] == [
        "High key",
        "Low key",
        "Base key",
        "Final",
    ]


def test_the_ledger_ends_in_its_sum() -> None:
    table = rows(plan_report(planned()))
    start = next(index for index, cells in enumerate(table) if cells[0].startswith("Where the 2,500 ft go"))
    end = next(index for index, cells in enumerate(table) if cells[0] == "from the high key")
    heights = [float(cells[1].replace(",", "").replace("−", "-")) for cells in table[start + 2 : end - 1]]
    assert len(heights) == 8
    assert sum(heights) == float(table[end][1].replace(",", "")) == 2500.0


def test_a_plan_shows_phases_fine_pitch_break_off_findings_and_cautions() -> None:
    said = read(plan_report(planned(), sheet=Sheet(110)))
    for words in (
        "High key to base key 104",
        "No oil pressure: propeller in fine pitch (estimate) 200 ft lower at the low key, 450 ft by the touchdown",
        "from the low key 2,500 1,500 1,420 80",
        "Break off at 500 ft, altimeter 1,450 ft",
        "99 to 114 kt, bank 30° or less",
        "Any no is a go-around now.",
        "Caution No weight given: planned at the maximum, 3,650 lb.",
        "Note The airplane file has no stand-in setting",
        *CAUTION_LINES,
    ):
        assert words in said


def test_a_plan_that_cannot_work_opens_with_the_limit_and_what_would_help() -> None:
    binding = Binding("distance-limit", {"long_m": m_from_ft(900.0), "limit_m": 5556.0})
    plan = dataclasses.replace(planned(feasible=False), binding=binding)
    said = read(plan_report(plan))
    assert said.index("Not possible as wished") < said.index("3.00 NM") < said.index("Gate")
    assert "This would help: - entry height: 2,740 ft instead of 2,500 ft" in said
    assert "the path that comes nearest; it is not to be flown" in said


def test_more_than_five_findings_are_folded() -> None:
    many = tuple(NOTED[index > 0] for index in range(7))
    assert "Two more findings with --json." in plan_report(fixtures.plan(findings=many))


def test_metric_readers_get_metric_words() -> None:
    said = read(plan_report(planned(), METRIC))
    assert "Dunlin Tourer at 1,520 kg: best glide 193 km/h" in said
    # the words of the touchdown phase name the standard, which is in feet for everybody
    assert " ft" not in said.replace("within 200 ft", "")


def test_a_landing_opens_with_how_it_ended_and_the_verdict_with_its_band() -> None:
    said = read(debrief_report(fixtures.debrief(flown())))
    assert said.startswith("Touched down 210 ft short of the point. With a dead engine it was too close to call.")
    assert (
        "Verdict on a dead engine: too close to call. Least height in hand −110 ft, give or take 130 (90 % band)."
        in said
    )
    assert "Touchdown 210 ft before the point, give or take 49 ft, 4 ft left of the centreline" in said


def test_a_debrief_shows_gates_findings_budget_glide_wind_standard_and_what_is_not_known() -> None:
    text = debrief_report(fixtures.debrief(flown()), sheet=Sheet(110))
    table = {cells[0]: cells[1:] for cells in rows(text)}
    assert table["Base key"][0] == "720"
    assert table["Base key"][5] == "no"
    assert table["Low key"][5] == "yes"
    assert table["change of height in hand"] == ["−59"]
    assert table["all of it"][0] == "8.7"
    assert table["2,500"] == ["266°", "20", "3"]
    assert table["Touchdown"] == ["0 to 200 ft", "−210 ft", "not met"]
    said = read(text)
    assert (
        "1 The turn to base came 2 s late. 430 ft farther downwind than planned cost 95 ft. Next time: turn to base "
        "2 s earlier, 16 s past the low key: 95 ft." in said
    )
    assert "No airspeed in this recording: speeds are not judged." in said
    assert (
        "GPX 1.1, 420 fixes, 14 May 2026, 14:00 to 14:05 UTC. Heights from GPS altitude, corrected by −12 ft." in said
    )
    assert said.endswith(" ".join(CAUTION_LINES))


def test_a_go_around_says_its_lowest_height_and_whether_it_came_in_time() -> None:
    said = read(debrief_report(fixtures.debrief(flown(Outcome.WENT_AROUND))))
    assert said.startswith("Went around at 300 ft, in time.")
    assert "Go-around: lowest 300 ft, climbing from 14:04:10 UTC, in time: a good decision." in said
    assert "Touchdown " not in said.split("Standard")[0]


def test_every_exercise_of_a_recording_is_told_in_turn() -> None:
    said = read(debrief_report(fixtures.debrief(flown(), flown(Outcome.WENT_AROUND))))
    first, second = said.index("Exercise 1 of 2, runway 25"), said.index("Exercise 2 of 2, runway 25")
    assert first < second
    assert said.count(CAUTION_LINES[0]) == 1


def test_a_recording_without_an_exercise_says_what_one_is() -> None:
    said = read(debrief_report(dataclasses.replace(fixtures.debrief(), attempts=())))
    assert said.startswith("No exercise in this recording")
    assert "An exercise is a descent past the low key without level flight." in said


def test_a_debrief_that_knows_little_stays_whole() -> None:
    bare = dataclasses.replace(
        flown(),
        verdict=None,
        wind=(),
        glide=None,
        height_in_hand=None,
        budget=(),
        touchdown=None,
        gates=(),
        findings=(),
    )
    said = read(debrief_report(fixtures.debrief(bare)))
    assert "Verdict on a dead engine: cannot be told." in said
    assert "No gate was passed." in said
    assert "Nothing stands out." in said
    assert "nan" not in said.lower()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("pattern", list(Side))
def test_no_line_is_wider_than_the_terminal_and_none_ends_in_blanks(width: int, pattern: Side) -> None:
    text = plan_report(planned(pattern=pattern), sheet=Sheet(width))
    text += debrief_report(fixtures.debrief(flown()), sheet=Sheet(width))
    widest = max(width, NARROWEST)
    assert [line for line in text.splitlines() if len(line) > widest or line != line.rstrip()] == []


@pytest.mark.parametrize("width", WIDTHS)
def test_a_gate_keeps_reading_lowest_and_highest_at_any_width(width: int) -> None:
    text = plan_report(planned(), sheet=Sheet(width))
    low_key = next(line for line in text.splitlines() if line.startswith("Low key"))
    assert low_key.split()[2:5] == ["2,400", "2,200", "2,900"]


def test_a_column_left_out_is_named() -> None:
    sheet = Sheet(NARROWEST)
    cells = ["1,500"]
    sheet.table(
        [
            Column("Gate", ["Low key"], is_number=False),
            Column("Height\nft", cells),
            Column("Abeam of the\npoint, NM", cells, importance=2),
            Column("Speed over\nthe ground, kt", cells, importance=1),
        ]
    )
    assert "Left out for want of width: abeam of the point, nm." in read(sheet.text())
    assert "Speed over" in sheet.text()


def test_names_from_files_cannot_steer_the_terminal() -> None:
    hostile = InstructorWords(go_around="", sight_mark="", calls=())
    plan = planned(words=hostile)
    airplane = dataclasses.replace(plan.exercise.airplane, name="Dunlin\x1b]0;x\x07 [bold]Tourer[/bold] :plane:")
    said = plan_report(dataclasses.replace(plan, exercise=dataclasses.replace(plan.exercise, airplane=airplane)))
    assert "\x1b" not in said
    assert "\x07" not in said
    assert "[bold]Tourer[/bold] :plane:" in said
