"""Measured values written into an airplane file: what was there stays as it was, and it is read back as measured."""

from __future__ import annotations

import math

import pytest

from tests.adapters.toml_texts import AIRPLANE, SIX_NUMBERS
from volplane.adapters.toml.airplane import read_airplane
from volplane.adapters.toml.writing import write_airplane
from volplane.domain.airplane.airplane import Airplane, StandIn
from volplane.domain.glide.configuration import Configuration, Flap, Gear
from volplane.domain.glide.polar import MeasuredPolar, ParabolaPolar
from volplane.services.airplane_changes import AirplaneChanges, GlidePoint
from volplane.units import INCH_OF_MERCURY_PA, KNOT_MPS, POUND_KG, RPM_RADPS

KT, FPM = KNOT_MPS, 0.3048 / 60.0
GLIDE = AirplaneChanges(glide_best_ias_mps=104.3 * KT, glide_ratio=9.138, glide_weight_kg=3400.0 * POUND_KG)
POINTS = tuple(GlidePoint(v * KT, s * FPM) for v, s in ((80, 1010), (95, 1075), (110, 1260), (130, 1650)))
CURVE = AirplaneChanges(
    glide_best_ias_mps=92.0 * KT, glide_ratio=9.0, glide_weight_kg=3400.0 * POUND_KG, glide_points=POINTS
)
REST = AirplaneChanges(
    airspeed_correction=((80.0 * KT, 81.5 * KT), (120.0 * KT, 119.0 * KT)),
    stand_in=StandIn("gear and approach flap", 14.2 * INCH_OF_MERCURY_PA, 2350.0 * RPM_RADPS, 900.0),
    configurations=(
        Configuration("gear and approach flap", Gear.DOWN, Flap.APPROACH, extra_drag_factor=0.6123),
        Configuration("gear down", Gear.DOWN, extra_drag_factor=0.35),
    ),
)
ON_ONE_LINE = SIX_NUMBERS + (
    'airspeed_correction = [{ indicated = "90 kt", calibrated = "91 kt" }]\n'
    'configuration = [{ name = "wheels", extra_drag = 0.3 }]\n'
)


def written(text: str, changes: AirplaneChanges) -> tuple[str, Airplane]:
    """The new text, and the airplane it is read back as."""
    new = write_airplane(text, changes)
    airplane, problems = read_airplane(new, "new.toml")
    assert problems == ()
    assert airplane is not None
    return new, airplane


@pytest.mark.parametrize("text", [AIRPLANE, SIX_NUMBERS, ON_ONE_LINE], ids=["demo", "six numbers", "one line each"])
def test_everything_measured_is_read_back(text: str) -> None:
    new, airplane = written(write_airplane(text, CURVE), REST)
    assert isinstance(airplane.glide, MeasuredPolar)
    assert len(airplane.glide.eas_mps) == 4
    assert airplane.glide.reference_weight_kg == pytest.approx(3400.0 * POUND_KG)
    assert airplane.airspeed_correction[1] == pytest.approx((120.0 * KT, 119.0 * KT))
    assert airplane.stand_in is not None
    assert airplane.stand_in.manifold_pressure_pa == pytest.approx(14.2 * INCH_OF_MERCURY_PA)
    assert airplane.configuration("gear and approach flap").extra_drag_factor == pytest.approx(0.612)
    assert not airplane.configuration("gear and approach flap").is_estimate
    assert airplane.configuration("gear down").gear is Gear.DOWN
    assert new.endswith("\n")
    assert not new.endswith("\n\n")
    # writing the same again changes nothing
    assert write_airplane(new, REST) == new


def test_a_changed_value_keeps_its_comment_and_every_other_line_its_place() -> None:
    commented = AIRPLANE.replace('best_speed = "109 kt"', 'best_speed = "109 kt"   # the book, page 5-12')
    new, airplane = written(commented, GLIDE)
    assert 'best_speed = "104.3 kt"   # the book, page 5-12\nratio = 9.14\nweight = "3400 lb"\n' in new
    old_lines, new_lines = commented.splitlines(), new.splitlines()
    changed = [line for line in new_lines if line not in old_lines]
    assert len(changed) == 3
    assert [line for line in old_lines if line in new_lines] == [line for line in new_lines if line in old_lines]
    assert isinstance(airplane.glide, ParabolaPolar)
    assert airplane.glide.best_ratio == 9.14


def test_speed_and_ratio_take_the_place_of_old_points() -> None:
    with_points, airplane = written(AIRPLANE, CURVE)
    assert isinstance(airplane.glide, MeasuredPolar)
    plain = AirplaneChanges(glide_best_ias_mps=104.3 * KT, glide_ratio=9.138, glide_points=())
    new, airplane = written(with_points, plain)
    assert "points" not in new
    assert isinstance(airplane.glide, ParabolaPolar)


def test_points_are_written_one_on_a_line() -> None:
    new, _ = written(AIRPLANE, CURVE)
    assert '    {speed = "80 kt", sink = "1010 fpm"},\n    {speed = "95 kt", sink = "1075 fpm"},\n' in new


def test_no_change_leaves_every_letter() -> None:
    for text in (AIRPLANE, SIX_NUMBERS, ON_ONE_LINE):
        assert write_airplane(text, AirplaneChanges()) == text


def test_line_ends_of_windows_stay() -> None:
    new = write_airplane(AIRPLANE.replace("\n", "\r\n"), CURVE)
    assert new.count("\n") == new.count("\r\n")
    assert new.replace("\r\n", "\n") == write_airplane(AIRPLANE, CURVE)


def test_an_empty_correction_takes_the_table_out() -> None:
    with_table, _ = written(AIRPLANE, REST)
    new, airplane = written(with_table, AirplaneChanges(airspeed_correction=()))
    assert airplane.airspeed_correction == ()
    assert "airspeed_correction" not in new


def test_new_tables_stand_apart_from_what_is_above() -> None:
    new, _ = written(SIX_NUMBERS, REST)
    for head in ("[[airspeed_correction]]", "[stand_in]", "[[configuration]]"):
        assert f"\n\n{head}\n" in new


def test_what_is_written_is_rounded_as_people_write() -> None:
    fine = AirplaneChanges(glide_best_ias_mps=math.pi * 17.0, glide_ratio=9.87654321)
    new, _ = written(AIRPLANE, fine)
    assert 'best_speed = "103.8 kt"' in new
    assert "ratio = 9.88" in new
