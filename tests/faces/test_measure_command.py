"""`volplane measure` from files to files: a table of points, an hour's recording, the airplane file it writes."""

from __future__ import annotations

import dataclasses
import json
import pathlib
from typing import Any

import numpy as np
import pytest

from tests.faces.test_documents_json import assert_valid
from tests.mornings import STILL, TruePolar, flown_glide
from tests.recorded_morning import glides_both_ways, recorded, without
from volplane import bootstrap
from volplane.adapters.formats import csv, gpx
from volplane.domain.airplane.partial_glides import PartialGlide, Why
from volplane.domain.finding import Finding, Severity
from volplane.faces.cli.main import main
from volplane.faces.cli.measure_report import measure_report
from volplane.faces.cli.sheet import Sheet
from volplane.faces.documents.measure import finding_text, why_text
from volplane.faces.documents.wording import CAUTION_LINES, METRIC, NO_BREAK_SPACE
from volplane.services.measuring import measure
from volplane.units import FOOT_M, KNOT_MPS, POUND_KG

POLAR = TruePolar(104.0 * KNOT_MPS, 8.9)
TITLES = "speed_kias,height_start_ft,height_end_ft,time_s,temperature_degc,weight_lb,configuration"
CONTRACT_KEYS = {
    "best_speed_kcas", "best_speed_sd_kt", "ratio", "ratio_sd", "weight_lb", "minimum_sink_fpm", "points",
}  # fmt: skip


def line(speed_kt: float, start_ft: float, end_ft: float, configuration: str = "", warmth_degc: float = 5.0) -> str:
    return f"{speed_kt:.0f},{start_ft:.1f},{end_ft:.1f},120,{warmth_degc:.2f},3500,{configuration}"


def table(speeds_kt: tuple[float, ...], *, is_exchanged: bool = False) -> list[str]:
    """Lines of glides flown in still standard air."""
    random = np.random.default_rng(1)
    lines = []
    for speed in speeds_kt:
        for _ in (1, 2):
            glide = flown_glide(
                POLAR, speed * KNOT_MPS, 0.0, STILL, random, weight_kg=3500.0 * POUND_KG, reads_to_m=0.0
            )
            middle, half = glide.pressure_altitude_m / FOOT_M, 60.0 * glide.sink_mps / FOOT_M
            ends = (middle - half, middle + half) if is_exchanged else (middle + half, middle - half)
            lines.append(line(speed, *ends, warmth_degc=glide.air_temperature_k - 273.15))
    return lines


@pytest.fixture
def here(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> pathlib.Path:
    for name, text in bootstrap.demo_texts().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    write(tmp_path, table((80, 90, 100, 112, 130)))
    return tmp_path


def write(folder: pathlib.Path, lines: list[str], name: str = "points.csv") -> None:
    (folder / name).write_text("\n".join([TITLES, *lines, ""]), encoding="utf-8")


def run(*arguments: str) -> int:
    return main(["measure", *arguments, "--airplane", "dunlin_tourer.toml"])


def document(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = 0) -> dict[str, Any]:
    assert run(*arguments, "--json") == code
    loaded: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert_valid(loaded, "measure" if code == 0 else "problems")
    return loaded


@pytest.mark.usefixtures("here")
def test_a_table_of_points_gives_the_glide_by_the_contract(capsys: pytest.CaptureFixture[str]) -> None:
    found = document(capsys, "points.csv")
    assert set(found) >= CONTRACT_KEYS
    assert found["schema"] == "volplane/measure/1"
    assert found["best_speed_kcas"] == pytest.approx(104.0, abs=0.4)
    assert found["ratio"] == pytest.approx(8.9, abs=0.03)
    assert found["weight_lb"] == 3650.0
    assert found["fit"] == "parabola"
    assert set(found["points"][0]) >= {"speed_kcas", "sink_fpm", "ratio", "used", "why"}
    assert all(point["used"] and point["why"] is None for point in found["points"])
    assert (found["written"], found["kept"], found["findings"]) == (None, None, [])


def test_the_report_says_the_same_beside_what_the_file_says(
    here: pathlib.Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write(here, [*table((80, 90, 100, 112, 130)), line(100, 4000, 5200), line(100, 5000, 3500, "gear up")])
    assert run("points.csv") == 0
    said = capsys.readouterr().out.replace(NO_BREAK_SPACE, " ")
    assert said.startswith("Dunlin Tourer, measured: 8.9 to 1 at 104 kt")
    assert "From 10 of 12 glides, at 3,650 lb and sea level" in said
    assert "A parabola" in said
    assert "9.6" in said
    assert "does not come down" in said
    assert CAUTION_LINES[0] in said


@pytest.mark.parametrize("width", [40, 80, 110])
def test_the_report_fits_any_width(here: pathlib.Path, width: int) -> None:
    airplane = bootstrap.load_airplane(here / "dunlin_tourer.toml")
    from volplane.services.measuring import DayOfMeasuring

    found = bootstrap.measure_glide(airplane, [here / "points.csv"], DayOfMeasuring(airplane.maximum_weight_kg))
    text = measure_report(found, airplane, sheet=Sheet(width, is_bold=False))
    assert max(map(len, text.splitlines())) <= max(width, 46)


def test_an_hour_of_recording_is_measured(here: pathlib.Path, capsys: pytest.CaptureFixture[str]) -> None:
    track = recorded(POLAR, glides_both_ways((80, 90, 100, 112, 125, 138)))
    (here / "hour.csv").write_bytes(csv.write(track))
    assumed = document(capsys, "hour.csv", "points.csv")
    assert [each["code"] for each in assumed["findings"]] == ["recording-weight-assumed"]
    found = document(capsys, "hour.csv", "--weight", "3400 lb")
    assert found["findings"] == []
    assert abs(found["ratio"] - 8.9) < 1.96 * found["ratio_sd"]
    assert len(found["points"]) >= 12
    assert found["points"][0]["source"].startswith("hour.csv, 08:0")


def test_a_phones_recording_is_measured_by_marked_glides(
    here: pathlib.Path, capsys: pytest.CaptureFixture[str]
) -> None:
    phone = without(recorded(POLAR, glides_both_ways((80, 100, 130))), "ias_mps", "tas_mps", "heading_true_rad")
    (here / "phone.gpx").write_bytes(gpx.write(phone))
    refused = document(capsys, "phone.gpx", code=1)
    assert "no airspeed in phone.gpx" in refused["problems"][0]["found"]
    windows: list[str] = []
    for start, speed in zip(range(180, 1620, 270), (80, 80, 100, 100, 130, 130), strict=True):
        end = start + 85
        times = "-".join(f"08:{each // 60:02d}:{each % 60:02d}" for each in (start, end))
        windows += ["--window", f"{times} {speed} kt"]
    found = document(capsys, "phone.gpx", "--weight", "3400 lb", "--temperature", "2 degC", *windows)
    assert len(found["points"]) == 6
    assert found["ratio"] == pytest.approx(8.9, rel=0.06)


def test_several_sources_are_measured_together(here: pathlib.Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(here, table((85, 120)), "second.csv")
    assert len(document(capsys, "points.csv", "second.csv")["points"]) == 14


def test_the_airplane_file_is_written_and_the_old_one_kept(
    here: pathlib.Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old = (here / "dunlin_tourer.toml").read_bytes()
    found = document(capsys, "points.csv", "-o", "dunlin_tourer.toml")
    assert (found["written"], found["kept"]) == ("dunlin_tourer.toml", "dunlin_tourer.toml.bak")
    assert (here / "dunlin_tourer.toml.bak").read_bytes() == old
    airplane = bootstrap.load_airplane(here / "dunlin_tourer.toml")
    assert airplane.glide.best_ratio == found["ratio"]
    assert b"# clean, engine dead, propeller coarse" in (here / "dunlin_tourer.toml").read_bytes()
    assert run("points.csv", "-o", "new.toml") == 0
    assert "written to new.toml." in capsys.readouterr().out.replace("\n", " ")
    assert not (here / "new.toml.bak").exists()


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (table((100, 100, 100)), "Glides at one speed only, 100 kt"),
        (table((98, 104, 108)), "too close together"),
        (table((80, 100, 130), is_exchanged=True), "left out: 6 that do not come down"),
        ([line(90, 6000, 4000, "gear and approach flap")] * 5, "left out: 5 in another configuration"),
        (["fast,1,2,3,4,5,"], 'points.csv, line 2, speed_kias: found "fast"'),
    ],
    ids=["one speed", "too close", "exchanged", "not clean", "no number"],
)
def test_what_cannot_be_measured_is_refused_in_one_sentence(
    here: pathlib.Path, capsys: pytest.CaptureFixture[str], lines: list[str], said: str
) -> None:
    write(here, lines)
    assert run("points.csv", "-o", "new.toml") == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err.replace(NO_BREAK_SPACE, " ")
    assert not (here / "new.toml").exists()


@pytest.mark.usefixtures("here")
@pytest.mark.parametrize(
    ("arguments", "place"),
    [
        (["--weight", "9000 lb"], "--weight"),
        (["--weight", "3400"], "--weight"),
        (["--configuration", "wheels"], "--configuration"),
        (["--window", "8 to 9"], "--window"),
        (["--window", "08:00:70-08:02:00"], "--window"),
        (["--window", "08:00-08:02 fast"], "--window"),
        (["--temperature", "hot"], "--temperature"),
    ],
)
def test_a_slip_on_the_command_line_is_named(
    capsys: pytest.CaptureFixture[str], arguments: list[str], place: str
) -> None:
    refused = document(capsys, "points.csv", *arguments, code=1)
    assert [(each["file"], each["place"]) for each in refused["problems"]] == [("command line", place)]


@pytest.mark.usefixtures("here")
def test_a_source_may_not_be_written_over(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("points.csv", "-o", "points.csv") == 2
    assert "does not end in .toml" in capsys.readouterr().err
    pathlib.Path("points.toml").write_text(pathlib.Path("points.csv").read_text())
    assert run("points.toml", "-o", "points.toml") == 1
    assert "the file that is read" in capsys.readouterr().err


def test_every_reason_has_words(here: pathlib.Path) -> None:
    airplane = bootstrap.load_airplane(here / "dunlin_tourer.toml")
    random = np.random.default_rng(1)
    flown: list[PartialGlide] = [
        flown_glide(POLAR, speed, 0.0, STILL, random) for speed in (42.0, 47.0, 52.0, 60.0, 70.0)
    ]
    barred = [dataclasses.replace(flown[0], why=why) for why in Why]
    points = measure(airplane, [*flown, *barred]).points[5:]
    said = [why_text(point) for point in points]
    assert len({each for each in said if each}) == len(Why)
    more = dataclasses.replace(points[0], why=Why.SINKS_MORE, residual_mps=1.016)
    assert why_text(more).replace(NO_BREAK_SPACE, " ").startswith("sinks 200 fpm more than the curve says")
    assert why_text(more, METRIC).replace(NO_BREAK_SPACE, " ").startswith("sinks 1.0 m/s more")
    assert why_text(measure(airplane, flown).points[0]) == ""


@pytest.mark.parametrize(
    ("code", "quantities", "said"),
    [
        ("induced-drag-from-handbook", {"range_ratio": 1.34, "needed_ratio": 1.6}, "is 1.34 times as fast"),
        ("recording-weight-assumed", {"weight_kg": 1655.6121505}, "3,650 lb was taken"),
        ("rough-air", {"scatter_ratio": 2.62}, "scatter 2.6 times as much"),
        (
            "best-speed-beyond-flown",
            {"best_eas_mps": 50.0, "slowest_eas_mps": 52.0, "fastest_eas_mps": 70.0},
            "97 kt, lies outside the speeds flown, 101 kt to 136 kt",
        ),
    ],
)
def test_every_finding_has_a_sentence(code: str, quantities: dict[str, float], said: str) -> None:
    finding = Finding(code, Severity.CAUTION, quantities)
    assert said in finding_text(finding).replace(NO_BREAK_SPACE, " ")
