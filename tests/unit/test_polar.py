"""The two-number and the measured glide: what they hold, what they refuse, and that kernels read the same curve."""

from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import pytest

from volplane.domain.glide.configuration import CLEAN, Configuration
from volplane.domain.glide.polar import (
    BestGlideNotCovered,
    GlideModel,
    MeasuredPolar,
    MeasuredSpeedsTooFew,
    ParabolaPolar,
    PolarNotSensible,
    implied_sink_mps,
)

PARABOLA = ParabolaPolar(1600.0, 56.0, 9.6)
# drag falls and rises unevenly, as on an airplane with kinked tables
KINKED = MeasuredPolar(1600.0, (40.0, 48.0, 55.0, 65.0, 80.0), (0.140, 0.112, 0.104, 0.112, 0.150))
DRAGGY = Configuration("draggy", extra_drag_factor=1.3, induced_factor=1.1)


def both() -> tuple[GlideModel, GlideModel]:
    return PARABOLA, KINKED


def test_best_glide_is_where_the_handbook_says() -> None:
    assert PARABOLA.drag_to_weight(56.0, 1.0, CLEAN) == pytest.approx(1.0 / 9.6)
    assert PARABOLA.drag_to_weight(55.0, 1.0, CLEAN) > 1.0 / 9.6 < PARABOLA.drag_to_weight(57.0, 1.0, CLEAN)


def test_extra_parasite_drag_goes_with_the_square_of_the_speed_and_induced_drag_with_its_inverse() -> None:
    clean = PARABOLA.drag_to_weight(80.0, 1.2, CLEAN)
    extra = PARABOLA.drag_to_weight(80.0, 1.2, Configuration("gear", extra_drag_factor=0.4)) - clean
    assert extra == pytest.approx(0.4 * (80.0 / 56.0) ** 2 / 19.2)
    induced = PARABOLA.drag_to_weight(80.0, 1.2, Configuration("flap", induced_factor=1.5)) - clean
    assert induced == pytest.approx(0.5 * 1.2**2 * (56.0 / 80.0) ** 2 / 19.2)


def test_thrust_is_power_over_speed() -> None:
    powered = Configuration("powered", thrust_power_per_weight_mps=2.8)
    for glide in both():
        drag = glide.drag_to_weight(56.0, 1.0, CLEAN)
        assert drag - glide.drag_to_weight(56.0, 1.0, powered) == pytest.approx(0.05)


def test_a_measured_curve_goes_through_its_points() -> None:
    for speed, drag in zip(KINKED.eas_mps, KINKED.drag_to_weight_factor, strict=True):
        assert KINKED.drag_to_weight(speed, 1.0, CLEAN) == pytest.approx(drag, rel=2e-4)


def test_a_measured_curve_has_its_least_drag_where_it_says_it_has() -> None:
    assert KINKED.drag_to_weight(KINKED.best_eas_mps, 1.0, CLEAN) == pytest.approx(1.0 / KINKED.best_ratio, rel=1e-5)
    for speed in np.linspace(41.0, 79.0, 77):
        assert KINKED.drag_to_weight(float(speed), 1.0, CLEAN) >= (1.0 - 1e-5) / KINKED.best_ratio


def test_drag_and_its_slope_have_no_jump_within_the_speeds_measured() -> None:
    speeds = np.linspace(40.1, 79.9, 20001)
    slopes = np.diff([KINKED.drag_to_weight(float(speed), 1.0, CLEAN) for speed in speeds]) / np.diff(speeds)
    assert np.abs(np.diff(slopes)).max() < 2e-5  # the slopes themselves are near 0.003 per m/s


def test_a_measured_parabola_is_that_parabola() -> None:
    speeds = (42.0, 50.0, 60.0, 75.0)
    measured = MeasuredPolar(1600.0, speeds, tuple(PARABOLA.drag_to_weight(v, 1.0, CLEAN) for v in speeds))
    assert measured.best_eas_mps == pytest.approx(56.0, abs=1e-4)
    assert measured.best_ratio == pytest.approx(9.6, rel=1e-8)
    for speed in np.linspace(47.0, 82.0, 40):
        expected = PARABOLA.drag_to_weight(float(speed), 1.2, DRAGGY)
        assert measured.drag_to_weight(float(speed), 1.2, DRAGGY) == pytest.approx(expected, rel=2e-6)


def test_measured_points_come_in_any_order() -> None:
    shuffled = MeasuredPolar(1600.0, (65.0, 40.0, 80.0, 48.0, 55.0), (0.112, 0.140, 0.150, 0.112, 0.104))
    assert shuffled == KINKED


def test_a_measured_curve_says_where_it_is_a_guess_and_goes_on_without_a_jump() -> None:
    assert KINKED.covers(40.0)
    assert not KINKED.covers(39.9)
    assert not KINKED.covers(80.1)
    assert not KINKED.covers(50.0, load_factor=2.0)
    for edge in (40.0, 80.0):
        inside = KINKED.drag_to_weight(edge * (1.0 - 1e-9), 1.0, CLEAN)
        assert KINKED.drag_to_weight(edge * (1.0 + 1e-9), 1.0, CLEAN) == pytest.approx(inside, rel=1e-6)
    assert KINKED.drag_to_weight(30.0, 1.0, CLEAN) > KINKED.drag_to_weight(40.0, 1.0, CLEAN)
    assert KINKED.drag_to_weight(95.0, 1.0, CLEAN) > KINKED.drag_to_weight(80.0, 1.0, CLEAN)


def test_a_handbook_glide_covers_every_speed() -> None:
    assert PARABOLA.covers(200.0, 3.0)


def test_glides_are_reduced_exactly_not_by_small_angles() -> None:
    # a 6 to 1 glide: sin gamma of the flight path, the wings carry cos gamma
    gamma = math.atan(1.0 / 6.0)
    speeds = (40.0, 50.0, 60.0)
    sinks = [speed * math.sin(gamma) * scale for speed, scale in zip(speeds, (1.2, 1.0, 1.2), strict=True)]
    measured = MeasuredPolar.from_glides(1600.0, speeds, sinks)
    assert measured.drag_to_weight_factor[1] == pytest.approx(1.0 / 6.0)
    assert measured.eas_mps[1] == pytest.approx(50.0 / math.sqrt(math.cos(gamma)))


def test_thin_air_makes_the_same_glide_faster_but_no_flatter() -> None:
    sea = MeasuredPolar.from_glides(1600.0, (45.0, 55.0, 65.0), (5.2, 5.6, 7.4))
    thin = math.sqrt(1.225 / 1.0)
    high = MeasuredPolar.from_glides(
        1600.0, (45.0, 55.0, 65.0), (5.2 * thin, 5.6 * thin, 7.4 * thin), density_kgpm3=1.0
    )
    assert high.best_ratio == pytest.approx(sea.best_ratio, rel=1e-4)  # 1.225 is a rounded standard density


def test_the_implied_sink_is_that_of_the_angle() -> None:
    assert implied_sink_mps(PARABOLA) == pytest.approx(56.0 * math.sin(math.atan(1.0 / 9.6)))


@pytest.mark.parametrize(
    ("weight_kg", "eas_mps", "ratio", "said"),
    [
        (0.0, 56.0, 9.6, "weight is 0; it must be finite and above 0"),
        (1600.0, -56.0, 9.6, "best glide speed is -56"),
        (1600.0, 56.0, 1.0, "glide ratio is 1; it must be finite and above 1"),
        (1600.0, math.inf, 9.6, "best glide speed is inf"),
        (1600.0, 56.0, math.nan, "glide ratio is nan"),
    ],
)
def test_figures_no_airplane_has_are_refused(weight_kg: float, eas_mps: float, ratio: float, said: str) -> None:
    with pytest.raises(PolarNotSensible, match=said) as refused:
        ParabolaPolar(weight_kg, eas_mps, ratio)
    assert refused.value.code == "polar-not-sensible"


def test_two_measured_speeds_are_too_few() -> None:
    with pytest.raises(MeasuredSpeedsTooFew, match="2 different speeds were measured, at least 3"):
        MeasuredPolar(1600.0, (45.0, 55.0), (0.12, 0.10))


def test_a_speed_measured_twice_is_refused_not_averaged_in_silence() -> None:
    with pytest.raises(MeasuredSpeedsTooFew, match="3 different speeds"):
        MeasuredPolar(1600.0, (45.0, 55.0, 55.0, 65.0), (0.12, 0.10, 0.11, 0.12))


def test_a_best_glide_outside_the_speeds_measured_is_refused() -> None:
    with pytest.raises(BestGlideNotCovered, match=r"beyond 45\.0 m/s; measured were 45\.0 m/s to 65\.0 m/s"):
        MeasuredPolar(1600.0, (45.0, 55.0, 65.0), (0.10, 0.11, 0.12))


def test_a_sink_above_the_airspeed_is_refused() -> None:
    with pytest.raises(PolarNotSensible, match="airspeed of a measured glide is 45; it must be finite and above 60"):
        MeasuredPolar.from_glides(1600.0, (45.0, 55.0, 65.0), (60.0, 5.0, 6.0))


def test_kernels_read_the_curve_the_model_has() -> None:
    from volplane.domain.glide.polar_kernel import drag_to_weight

    for glide in both():
        table = glide.kernel_table()
        for speed in (35.0, 47.3, 56.0, 71.0, 90.0):
            for load in (0.0, 0.9, 1.0, 1.6):
                expected = glide.drag_to_weight(speed, load, DRAGGY)
                assert drag_to_weight(speed, load, table, 1.3, 1.1) == pytest.approx(expected, rel=1e-12)


def test_a_speed_that_is_not_a_number_stays_one() -> None:
    from volplane.domain.glide.polar_kernel import drag_to_weight

    for glide in both():
        assert math.isnan(drag_to_weight(math.nan, 1.0, glide.kernel_table(), 0.0, 1.0))


def test_the_kernel_as_plain_python_gives_the_compiled_answer() -> None:
    from volplane.domain.glide.polar_kernel import drag_to_weight

    program = (
        "import os; os.environ['VOLPLANE_PLAIN'] = '1'\n"
        "from volplane.domain.glide.polar import MeasuredPolar\n"
        "from volplane.domain.glide.polar_kernel import drag_to_weight\n"
        f"table = MeasuredPolar(1600.0, {KINKED.eas_mps}, {KINKED.drag_to_weight_factor}).kernel_table()\n"
        "print(*(float(drag_to_weight(v, n, table, 1.3, 1.1)).hex() for v in (35.0, 51.7, 88.0) for n in (1.0, 1.3)))"
    )
    plain = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout.split()
    compiled = [drag_to_weight(v, n, KINKED.kernel_table(), 1.3, 1.1) for v in (35.0, 51.7, 88.0) for n in (1.0, 1.3)]
    assert [float.fromhex(value) for value in plain] == pytest.approx(compiled, rel=1e-14)
