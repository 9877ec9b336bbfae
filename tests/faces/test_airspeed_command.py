"""`volplane airspeed` from files to files: a table of legs, a recording, the airplane file it writes."""

from __future__ import annotations

import json
import math
import pathlib
from typing import Any

import pytest

from tests.airspeed_flights import PRESSURE_ALTITUDE_M, TEMPERATURE_K, Morning, boxes
from tests.faces.test_documents_json import assert_valid
from volplane import bootstrap, units
from volplane.adapters.formats import csv
from volplane.domain.exercise.speeds import cas_mps_from_ias_mps, ias_mps_from_cas_mps
from volplane.faces.cli.airspeed_report import airspeed_report
from volplane.faces.cli.main import main
from volplane.faces.cli.sheet import Sheet
from volplane.faces.documents.wording import CAUTION_LINES
from volplane.services.calibrating import DayOfLegs

LEGS = """\
# a smooth morning
speed_kias,ground_speed_kt,track_true_deg
100,{:.3f},0
100,{:.3f},90
100,{:.3f},180
100,{:.3f},270
""".format(*(103.0 + each for each in (10.0, 0.0, -10.0, 0.0)))
TABLE = """\
speed_kias,ground_speed_kt,track_true_deg,pressure_altitude_ft,temperature_degc
100,110,0,0,15
100,90,180,0,15
100,99.4987437,90,0,15
120,126,0,0,15
120,106,180,0,15
120,115.5681613,90,0,15
"""


@pytest.fixture
def here(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> pathlib.Path:
    for name, text in bootstrap.demo_texts().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "legs.csv").write_text(LEGS, encoding="utf-8")
    (tmp_path / "table.csv").write_text(TABLE, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def document(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = 0) -> dict[str, Any]:
    assert main(["airspeed", *arguments, "--json"]) == code
    loaded: dict[str, Any] = json.loads(capsys.readouterr().out)
    if code == 0:
        assert_valid(loaded, "airspeed")
    return loaded


@pytest.mark.usefixtures("here")
def test_a_table_of_legs_gives_dial_and_wind_by_the_contract(capsys: pytest.CaptureFixture[str]) -> None:
    found = document(capsys, "table.csv")
    # ground speeds made by hand: true airspeed 100 and 116 kt, 10 kt of wind from the south, standard sea level
    slow, fast = found["speeds"]
    assert (slow["ias_kt"], slow["tas_kt"], slow["cas_kt"]) == (100.0, 100.0, 100.0)
    assert (fast["tas_kt"], fast["position_error_kt"]) == (116.0, pytest.approx(4.0, abs=0.02))
    assert (slow["wind_from_true_deg"], slow["wind_kt"]) == (pytest.approx(180.0, abs=0.05), 10.0)
    assert found["wind"]["wind_kt"] == 10.0
    assert {"tas_sd_kt", "wind_sd_kt"} <= set(slow)
    assert found["not_observable"] == []


@pytest.mark.usefixtures("here")
def test_what_the_table_does_not_say_is_null_with_its_reason_until_it_is_said(
    capsys: pytest.CaptureFixture[str],
) -> None:
    bare = document(capsys, "legs.csv")
    assert bare["speeds"][0]["cas_kt"] is None
    assert {each["key"] for each in bare["not_observable"]} >= {"speeds[0].cas_kt", "speeds[0].position_error_kt"}
    assert "pressure altitude" in bare["not_observable"][0]["reason"]
    said = document(capsys, "legs.csv", "--altitude", "5000 ft", "--temperature", "5.094 degC")
    # NASA RP-1046 arithmetic of table A10: 100 kt calibrated at 5,000 ft are 107.67 kt true on a standard day
    (speed,) = said["speeds"]
    assert speed["cas_kt"] == pytest.approx(speed["tas_kt"] * 100.0 / 107.67, abs=0.06)


@pytest.mark.usefixtures("here")
def test_headings_do_where_no_track_was_written_down(here: pathlib.Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [f"100,{speed},{heading}" for speed, heading in ((84.88496899, 0), (99.56165239, 120), (118.66768479, 240))]
    text = "speed_kias;ground_speed_kt;heading_true_deg\n" + "\n".join(rows).replace(",", ";").replace(".", ",")
    (here / "headings.csv").write_text(text, encoding="utf-8")
    (speed,) = document(capsys, "headings.csv")["speeds"]
    assert (speed["tas_kt"], speed["wind_kt"]) == (100.0, 20.0)


def test_a_recording_becomes_a_table_that_the_plan_and_the_debrief_read(
    here: pathlib.Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "morning.csv").write_bytes(csv.write(boxes(1)))
    options = ["--altitude", f"{PRESSURE_ALTITUDE_M:.1f} m", "--temperature", f"{TEMPERATURE_K - 273.15:.2f} degC"]
    before = (here / "dunlin_tourer.toml").read_bytes()
    found = document(capsys, "morning.csv", "--airplane", "dunlin_tourer.toml", "-o", "dunlin_tourer.toml", *options)
    assert (found["airplane"], found["written"], found["kept"]) == (
        "Dunlin Tourer",
        "dunlin_tourer.toml",
        "dunlin_tourer.toml.bak",
    )
    assert (here / "dunlin_tourer.toml.bak").read_bytes() == before
    airplane = bootstrap.load_airplane(here / "dunlin_tourer.toml")
    assert len(airplane.airspeed_correction) == len(found["speeds"]) == 5
    # 140 kt indicated are 2.2 kt less in truth, by how the morning was made
    calibrated_kt = cas_mps_from_ias_mps(airplane, 140.0 * units.KNOT_MPS) / units.KNOT_MPS
    assert calibrated_kt == pytest.approx(140.0 - 2.2, abs=0.7)
    assert ias_mps_from_cas_mps(airplane, calibrated_kt * units.KNOT_MPS) / units.KNOT_MPS == pytest.approx(140.0)
    # what the file said stays, its comments too
    text = (here / "dunlin_tourer.toml").read_text(encoding="utf-8")
    comments = [line for line in before.decode().splitlines() if line.startswith("#")]
    assert [line for line in comments if line not in text] == []


def test_a_recording_without_airspeed_is_told_its_speed(here: pathlib.Path, capsys: pytest.CaptureFixture[str]) -> None:
    track = boxes(4, Morning(has_airspeed=False, wander_kt=0.5), speeds_kt=(100.0,))
    (here / "phone.csv").write_bytes(csv.write(track))
    unsaid = document(capsys, "phone.csv")
    assert unsaid["speeds"][0]["ias_kt"] is None
    said = document(capsys, "phone.csv", "--speed", "100 kt", "--temperature", "12 degC", "--qnh", "29.92 inHg")
    assert said["speeds"][0]["ias_kt"] == 100.0
    assert said["speeds"][0]["position_error_kt"] is not None


def _sentences(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(["airspeed", *arguments]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    return said.err


def test_every_refusal_names_file_and_cause(here: pathlib.Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "no such file" in _sentences(capsys, "gone.csv")
    (here / "two.csv").write_text("\n".join(LEGS.splitlines()[:4]), encoding="utf-8")
    assert "two.csv: found two legs that give no wind" in _sentences(capsys, "two.csv")
    (here / "bad.csv").write_text(LEGS.replace("100,", "fast,", 1), encoding="utf-8")
    assert 'bad.csv, line 3, speed_kias: found "fast"' in _sentences(capsys, "bad.csv")
    (here / "lesson.csv").write_bytes(csv.write(boxes(1, speeds_kt=(100.0,))))
    assert "--altitude" in _sentences(capsys, "lesson.csv", "--altitude", "high")
    lost = _sentences(capsys, "legs.csv", "--airplane", "dunlin_tourer.toml", "-o", "new.toml")
    assert "--altitude" in lost
    assert not (here / "new.toml").exists()
    nowhere = _sentences(capsys, "gone.csv", "--airplane", "dunlin_tourer.toml", "-o", "away/new.toml")
    assert "a folder that is there" in nowhere
    (here / "away.toml").write_text("name = 3", encoding="utf-8")
    assert "away.toml" in _sentences(capsys, "legs.csv", "--airplane", "away.toml")


@pytest.mark.usefixtures("here")
def test_writing_needs_an_airplane_and_a_toml_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["airspeed", "table.csv", "-o", "new.toml"]) == 2
    assert "--airplane is missing" in capsys.readouterr().err
    assert main(["airspeed", "table.csv", "--airplane", "dunlin_tourer.toml", "-o", "new.txt"]) == 2
    assert "does not end in .toml" in capsys.readouterr().err


@pytest.mark.usefixtures("here")
def test_the_report_reads_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["airspeed", "table.csv", "--airplane", "dunlin_tourer.toml", "-o", "new.toml"]) == 0
    text = capsys.readouterr().out
    assert text.startswith("Airspeed calibration of Dunlin Tourer: two speeds, six legs\n")
    assert "Wind 180\u00b0 10\u00a0kt" in text
    assert "+4.0" in text
    assert "The correction table was written to new.toml." in text
    for line in CAUTION_LINES:
        assert line.split(";")[0][:40] in text


def test_the_report_says_what_was_left_out_and_what_does_not_fit(here: pathlib.Path) -> None:
    rows = [*LEGS.splitlines(), "100,140,45", "100,103,135", "100,103,225", "100,103,315", "120,130,0"]
    (here / "rough.csv").write_text("\n".join(rows), encoding="utf-8")
    found = bootstrap.calibrate_airspeed(here / "rough.csv", DayOfLegs())
    text = airspeed_report(found, sheet=Sheet(100))
    assert "Does not fit" in text
    assert "track 045" in text
    assert "leans on the wind of the others" in text
    assert "The pressure altitude of the legs is not known." in text
    narrow = airspeed_report(found, sheet=Sheet(40))
    assert max(len(line) for line in narrow.splitlines()) <= 40
    assert math.isfinite(found.leg_sd_mps)
