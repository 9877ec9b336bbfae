"""Two lessons as an instructor knows them, from the recording to what the command says.

The flights are flown by the integrator with a trainee's errors; what is expected of the debrief are the figures
the trainee flew and what an instructor would say of them.
"""

from __future__ import annotations

import json
import pathlib
import re
from typing import Any

import pytest

from volplane import bootstrap
from volplane.adapters.formats import csv, gpx
from volplane.compiled import cache_is_warm
from volplane.domain.exercise.trainee import Habit
from volplane.faces.cli.main import main
from volplane.faces.documents.wording import NO_BREAK_SPACE
from volplane.services.demo import DemoLesson, Recorder, demo_track
from volplane.units import FOOT_M

LOW = DemoLesson(
    "low.gpx",
    "Jorun Eide",
    "Tobias Lund",
    "Phone only.",
    Recorder.PHONE,
    Habit(entry_error_m=-430.0 * FOOT_M, go_around_height_m=490.0 * FOOT_M),
    seed=7,
    start_after_s=0.0,
)
HIGH = DemoLesson(
    "high.csv",
    "Mara Quist",
    "Tobias Lund",
    "Panel recording.",
    Recorder.PANEL,
    Habit(entry_error_m=88.0 * FOOT_M, first_turn_factor=0.77, downwind_error_m=1370.0 * FOOT_M),
    seed=3,
    start_after_s=0.0,
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> pathlib.Path:
    if not cache_is_warm():
        bootstrap.warm_kernels()
    here = tmp_path_factory.mktemp("stories")
    for name, text in bootstrap.demo_texts().items():
        (here / name).write_text(text, encoding="utf-8")
    exercise = bootstrap.load_exercise(here / "exercise.toml")
    for lesson in (LOW, HIGH):
        written = gpx if lesson.file_name.endswith(".gpx") else csv
        (here / lesson.file_name).write_bytes(written.write(demo_track(exercise, lesson)))
    return here


class Said:
    """What the command says of a recording: the one exercise as JSON, and the report as one line."""

    def __init__(self, capsys: pytest.CaptureFixture[str], folder: pathlib.Path, recording: str) -> None:
        command = ["debrief", str(folder / recording), "--exercise", str(folder / "exercise.toml")]
        assert main([*command, "--json"]) == 0
        attempts: list[dict[str, Any]] = json.loads(capsys.readouterr().out)["attempts"]
        (self.attempt,) = attempts
        assert main(command) == 0
        self.report = " ".join(capsys.readouterr().out.replace(NO_BREAK_SPACE, " ").split())

    def gate(self, name: str) -> dict[str, Any]:
        gate: dict[str, Any] = next(each for each in self.attempt["gates"] if each["name"] == name)
        return gate

    def finding(self, code: str) -> dict[str, Any]:
        finding: dict[str, Any] = next(each for each in self.attempt["findings"] if each["code"] == code)
        return finding


def feet_in(text: str) -> list[int]:
    return [int(number.replace(",", "")) for number in re.findall(r"([\d,]+) ft", text.replace(NO_BREAK_SPACE, " "))]


def test_the_low_trainee_with_a_phone_would_not_have_made_it_and_went_around_in_time(
    capsys: pytest.CaptureFixture[str], folder: pathlib.Path
) -> None:
    said = Said(capsys, folder, "low.gpx")
    low_key = said.gate("low key")
    assert low_key["height_ft"] == pytest.approx(low_key["lowest_ft"] - 120.0, abs=15.0)
    assert said.attempt["outcome"] == "went around"
    assert said.attempt["go_around"]["height_ft"] == pytest.approx(520.0, abs=20.0)
    assert said.attempt["verdict"]["text"] in ("would not have made it", "too close to call")
    # the go-around counts as a good decision, and not as a fault
    assert said.attempt["go_around"]["timely"] is True
    assert said.finding("timely-go-around")["severity"] == "note"
    assert said.finding("timely-go-around")["cost_ft"] is None
    assert said.report.startswith("Went around at 5")
    assert "in time: too low from the low key on." in said.report
    # no airspeed: nothing is judged by one, and nothing says "speed" as if it were known
    assert {"key": "speed_kcas", "code": "no-airspeed-recorded"}.items() <= said.attempt["not_observable"][0].items()
    assert "No airspeed in this recording" in said.report
    speeds = [each for each in said.attempt["standard"] if "speed" in each["item"]]
    assert speeds
    assert [(each["met"], each["value"]) for each in speeds] == [(None, None)] * len(speeds)
    assert "speed" not in {each["cause"] for each in said.attempt["budget"]}


def test_the_low_trainees_height_is_told_cause_by_cause_and_what_would_have_mended_it(
    capsys: pytest.CaptureFixture[str], folder: pathlib.Path
) -> None:
    said = Said(capsys, folder, "low.gpx")
    causes = said.attempt["causes"]
    assert sum(each["height_ft"] for each in causes["parts"]) == pytest.approx(causes["off_ft"], abs=0.5)
    parts = {each["cause"]: each["height_ft"] for each in causes["parts"]}
    # he entered some 430 ft low, flew the half turn as planned, and the air was the planned one
    assert parts["entry"] == pytest.approx(-430.0, abs=50.0)
    assert abs(parts["half turn"]) < 60.0
    assert abs(parts["wind"]) < 60.0
    mending = said.attempt["mending"]
    assert (mending["too"], mending["gate"]) == ("low", "low key")
    first = mending["remedies"][0]
    assert first["action"] == "turn to base earlier"
    assert first["enough"] is True
    assert -10.0 < first["later_s"] < 0.0
    assert 100.0 < first["worth_ft"] < 400.0
    assert first["worth_ft"] >= mending["off_ft"]


def test_the_high_trainee_made_it_and_hears_since_when_he_was_too_high(
    capsys: pytest.CaptureFixture[str], folder: pathlib.Path
) -> None:
    said = Said(capsys, folder, "high.csv")
    assert said.gate("low key")["height_ft"] == pytest.approx(1900.0, abs=25.0)
    # the wheels of the flight as it was flown met the runway 727 ft beyond the point
    assert said.attempt["touchdown"]["x_ft"] == pytest.approx(727.0, abs=120.0)
    headline = said.attempt["headline"].replace(NO_BREAK_SPACE, " ")
    assert re.fullmatch(
        r"Touched down [678]\d0 ft past the point: too high from the low key on\. "
        r"With a dead engine it would have made it\.",
        headline,
    )
    assert said.attempt["verdict"]["text"] == "made it"
    assert "give or take" in said.attempt["subline"]
    assert "The decision that mattered: where to lose height." in said.attempt["subline"]


def test_the_high_trainee_hears_three_ways_of_putting_it_right_in_feet(
    capsys: pytest.CaptureFixture[str], folder: pathlib.Path
) -> None:
    said = Said(capsys, folder, "high.csv")
    remedies = said.attempt["mending"]["remedies"]
    assert len(remedies) == 3
    assert all(100.0 <= each["worth_ft"] <= 400.0 for each in remedies)
    assert len({each["action"] for each in remedies}) == 3
    first = said.attempt["findings"][0]
    assert first["code"] == "too-high-since"
    assert first["utc"] == said.gate("low key")["utc"]
    assert [100 <= feet <= 400 for feet in feet_in(first["next_time"])] == [True] * 3
    assert first["title"] in said.report.replace(NO_BREAK_SPACE, " ") or "Too high from the low key on" in said.report


def test_the_high_trainees_stand_in_was_honest_until_the_power_came_off(
    capsys: pytest.CaptureFixture[str], folder: pathlib.Path
) -> None:
    said = Said(capsys, folder, "high.csv")
    by_phase = {each["phase"]: each for each in said.attempt["standin"]["phases"]}
    # flown at the file's own setting: within the 75 fpm nobody feels in the picture
    for phase in ("half turn", "downwind", "turn to base"):
        assert by_phase[phase]["standin_sink_fpm"] == pytest.approx(by_phase[phase]["real_sink_fpm"], abs=75.0)
    # with the throttle closed the governed propeller runs to its fine stop and brakes
    assert by_phase["final"]["power_off"] is True
    assert by_phase["final"]["standin_sink_fpm"] > by_phase["final"]["real_sink_fpm"]
    assert said.attempt["engine"] == {"findings": []}
    assert "engine.temperatures" in {each["key"] for each in said.attempt["not_observable"]}


def test_every_second_of_the_budget_adds_up(capsys: pytest.CaptureFixture[str], folder: pathlib.Path) -> None:
    said = Said(capsys, folder, "high.csv")
    course = said.attempt["budget_series"]
    assert [each["cause"] for each in course["causes"]] == [
        "path",
        "bank",
        "speed",
        "configuration and power",
        "vertical air",
    ]
    for second, change in enumerate(course["change_ft"]):
        parts = [each["height_ft"][second] for each in course["causes"]]
        assert sum(parts) == pytest.approx(change, abs=0.6)
    assert course["utc"][0] >= said.gate("low key")["utc"]
