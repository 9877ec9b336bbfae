"""`volplane standin` from files to report, document and airplane file."""

from __future__ import annotations

import json
import pathlib

import pytest

from tests.faces.test_documents_json import assert_valid
from volplane import bootstrap
from volplane.compiled import cache_is_warm
from volplane.faces.cli.main import main
from volplane.faces.cli.sheet import Sheet
from volplane.faces.cli.standin_report import standin_report
from volplane.faces.documents.standin import standin_document
from volplane.faces.documents.wording import CAUTION_LINES, METRIC
from volplane.services.standing_in import StandInAnswer, StandInWishes
from volplane.units import POUND_KG

TITLES = "manifold_pressure_inhg,rpm,speed_kias,sink_fpm,altitude_ft,temperature_degc,weight_lb\n"
POINTS = TITLES + "".join(
    f"{inches},2300,104,{sink},2500,10,3350\n" for inches, sink in ((12, 1320), (14, 1150), (16, 970))
)
ODD = POINTS + "14,2000,104,1150,2500,10,3350\n14,2300,104,9,2500,10,3350\n13,2300,104,1240,2500,10,3350\n"
CONTRACT_KEYS = {"manifold_pressure_inhg", "sd_inhg", "by_height", "honesty", "findings"}
WISHES = StandInWishes(weight_kg=3350.0 * POUND_KG)


@pytest.fixture(scope="module", autouse=True)
def warm() -> None:
    if not cache_is_warm():
        bootstrap.warm_kernels()


@pytest.fixture
def here(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> pathlib.Path:
    (tmp_path / "dunlin.toml").write_text(bootstrap.demo_texts()["dunlin_tourer.toml"], encoding="utf-8")
    (tmp_path / "points.csv").write_text(POINTS, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def answer(table: str | None) -> StandInAnswer:
    text = bootstrap.demo_texts()["dunlin_tourer.toml"]
    held = None if table is None else ("points.csv", table.encode())
    return bootstrap.stand_in_held("dunlin.toml", text, held, WISHES)


@pytest.mark.parametrize("table", [None, POINTS, ODD], ids=["model", "points", "odd points"])
def test_a_stand_in_is_valid_by_its_schema(table: str | None) -> None:
    document = standin_document(answer(table))
    assert_valid(document, "standin")
    assert set(document) >= CONTRACT_KEYS
    assert {"altitude_ft", "manifold_pressure_inhg"} <= set(document["by_height"][0])
    assert {"phase", "speed_kias", "bank_deg", "real_sink_fpm", "standin_sink_fpm"} <= set(document["honesty"][0])


def test_the_document_shows_match_creep_and_the_fast_end_flagged() -> None:
    document = standin_document(answer(POINTS))
    assert 12.0 < document["manifold_pressure_inhg"] < 16.0
    assert abs(document["standin_sink_fpm"] - document["real_sink_fpm"]) < 75.0
    high, low = document["by_height"][0], document["by_height"][-1]
    creep = (low["manifold_pressure_inhg"] - high["manifold_pressure_inhg"]) / (
        high["altitude_ft"] - low["altitude_ft"]
    )
    assert 0.4 <= 1000.0 * creep <= 0.7
    # from the entry height over a field at 1,000 ft down to it
    assert [row["altitude_ft"] for row in document["by_height"]] == [3500.0, 3000.0, 2500.0, 2000.0, 1500.0, 1000.0]
    fast = [row for row in document["honesty"] if row["speed_offset_kt"] == 20.0]
    assert {row["verdict"] for row in fast if row["phase"] == "still air"} == {"sinks more"}
    assert any(
        finding["code"] == "sinks-more" and "20 kt faster" in finding["text"].replace("\u00a0", " ")
        for finding in document["findings"]
    )


def test_the_exercise_is_flown_at_three_speeds_in_still_air_and_into_wind() -> None:
    document = standin_document(answer(POINTS))
    flown = [(each["speed_offset_kt"], each["headwind_kt"]) for each in document["exercise"]]
    assert flown == [(-10.0, 0.0), (0.0, 0.0), (10.0, 0.0), (0.0, 20.0)]
    for each in document["exercise"]:
        assert each["error_ft"] == pytest.approx(each["more_ft"] - each["less_ft"], abs=0.2)
        assert each["error_ft"] == pytest.approx(sum(part["error_ft"] for part in each["parts"]), abs=0.3)
    assert "into 20 kt of wind" in standin_report(answer(POINTS), sheet=Sheet(110)).replace("\u00a0", " ")


def test_odd_points_stand_in_document_and_report_with_their_reason() -> None:
    odd = answer(ODD)
    why = [point["why"] for point in standin_document(odd)["points"]]
    assert why == ["", "", "", "at another engine speed", "far from what the others say", ""]
    said = " ".join(standin_report(odd, sheet=Sheet(110)).split())
    assert "no: at another engine speed" in said
    assert "Two points left out" in said


def test_the_report_opens_with_the_setting_and_ends_with_the_cautions() -> None:
    said = standin_report(answer(POINTS), sheet=Sheet(100)).replace("\u00a0", " ")
    assert said.startswith(("Gear and approach flap, 14.1 in, 2,300 rpm", "Gear and approach flap, 14.2 in, 2,300 rpm"))
    assert "From three points flown" in said
    assert said.rstrip().endswith(CAUTION_LINES[-1])
    for words in ("Where it lies", "Into a headwind of 20 kt", "power off, fine stop", "A whole exercise"):
        assert words in said


def test_a_report_of_any_width_and_in_metric_units_fits() -> None:
    for width in (40, 60, 110):
        text = standin_report(answer(ODD), sheet=Sheet(width))
        assert all(len(line) <= width for line in text.splitlines())
    assert " kt" not in standin_report(answer(None), METRIC, Sheet(110)).replace("\u00a0", " ")


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(("standin", *arguments))
    said = capsys.readouterr()
    return code, said.out, said.err


def test_the_setting_is_written_and_the_old_file_kept(here: pathlib.Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (here / "dunlin.toml").read_text(encoding="utf-8")
    code, out, _ = run(
        capsys,
        "--airplane",
        "dunlin.toml",
        "--points",
        "points.csv",
        "--weight",
        "3350 lb",
        "-o",
        "dunlin.toml",
        "--json",
    )
    document = json.loads(out)
    assert code == 0
    assert document["written"] == "dunlin.toml"
    assert (here / document["kept"]).read_text(encoding="utf-8") == before
    stand_in = bootstrap.load_airplane(here / "dunlin.toml").stand_in
    assert stand_in is not None
    assert stand_in.manifold_pressure_pa / 3386.389 == pytest.approx(document["setting_inhg"], abs=0.01)
    after = (here / "dunlin.toml").read_text(encoding="utf-8")
    assert after.splitlines()[:2] == before.splitlines()[:2]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--weight", "9000 lb"], "9,000 lb"),
        (["--height", "2500"], "without a unit"),
        (["--height", "20000 ft"], "-1000 ft to 16000 ft"),
        (["--configuration", "clean"], "propeller coarse"),
        (["--points", "missing.csv"], "missing.csv"),
        (["--temperature", "90 degC"], "temperature"),
        (["--points", "dunlin.toml"], "titles"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_sentence(
    here: pathlib.Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    code, out, err = run(capsys, "--airplane", "dunlin.toml", *arguments)
    assert (code, out) == (1, "")
    assert words in err.replace("\u00a0", " ")
    assert len(err.strip().splitlines()) == 1


def test_a_table_with_bad_cells_is_refused_line_by_line(here: pathlib.Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "bad.csv").write_text(
        TITLES + "12,2300,104,fast,2500,10,3350\n14,2300,,1150,2500,10,3350\n", encoding="utf-8"
    )
    code, out, _ = run(capsys, "--airplane", "dunlin.toml", "--points", "bad.csv", "--json")
    places = [problem["place"] for problem in json.loads(out)["problems"]]
    assert code == 1
    assert places == ["line 2, sink_fpm", "line 3, speed_kias"]
