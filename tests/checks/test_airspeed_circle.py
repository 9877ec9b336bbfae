"""Table E, the circle: how well one turn tells the wind when the airspeed wanders; the legs through the calibration."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.airspeed_flights import wander
from tests.checks.records import Check, assert_check, check
from volplane.domain.airplane.airspeed_calibration import AirspeedCalibration, calibrate
from volplane.domain.airplane.airspeed_legs import AirspeedLeg
from volplane.domain.atmosphere.refusals import LegsDoNotDetermineWind
from volplane.domain.atmosphere.wind_from_legs import from_tracks
from volplane.units import KNOT_MPS

KT = KNOT_MPS
CIRCLE = "circle fit computed independently: 105 kt, 1 Hz, airspeed wander 2 kt with a memory of 10 s"
# neither rate of turn nor kind of fit is told; ours turns at 30 degrees of bank, a circle a minute
SEEN = "rate of turn and kind of fit not told; scatter of 300 trials"
E5 = [
    (arc, check(f"E5-{arc}", f"rms wind error of an arc of {arc} degrees", rms, "kt", 0.35 * rms, SEEN, CIRCLE, "C"))
    for arc, rms in [(360, 1.6), (180, 2.1), (120, 3.4)]
]


def _misses_kt(arc_deg: int, trials: int) -> np.ndarray:
    random = np.random.default_rng(arc_deg)
    rate_deg_per_s = math.degrees(9.80665 * math.tan(math.radians(30.0)) / (105.0 * KT))
    wind = (8.0 * KT, -12.0 * KT)
    # about the heading into the wind, where the tracks turn more than the nose
    middle_deg = math.degrees(math.atan2(-wind[0], -wind[1]))
    seconds = round(arc_deg / rate_deg_per_s)
    headings = np.radians(middle_deg + np.linspace(-arc_deg / 2.0, arc_deg / 2.0, seconds + 1))
    misses = []
    for _ in range(trials):
        speed = 105.0 * KT + wander(random, len(headings), 2.0 * KT, 10.0)
        east, north = speed * np.sin(headings) + wind[0], speed * np.cos(headings) + wind[1]
        found = from_tracks(np.hypot(east, north), np.arctan2(east, north))
        misses.append(math.hypot(found.wind_east_mps - wind[0], found.wind_north_mps - wind[1]) / KT)
    return np.array(misses)


@pytest.mark.parametrize("arc_deg, record", E5)
def test_a_shorter_arc_tells_the_wind_worse(arc_deg: int, record: Check) -> None:
    misses = _misses_kt(arc_deg, 300)
    assert_check(record, float(np.sqrt(np.mean(np.square(misses)))))


def test_an_arc_of_90_degrees_is_refused() -> None:
    headings = np.radians(np.arange(0.0, 91.0, 5.0))
    legs = [AirspeedLeg(105.0 * KT, float(heading), ias_mps=100.0 * KT) for heading in headings]
    with pytest.raises(LegsDoNotDetermineWind, match="within 120 degrees"):
        calibrate(legs)


def _calibrated(
    speeds_kt: list[float], tracks_deg: list[float] | None, headings_deg: list[float]
) -> AirspeedCalibration:
    return calibrate(
        [
            AirspeedLeg(
                speed * KT,
                None if tracks_deg is None else math.radians(tracks_deg[at]),
                math.radians(headings_deg[at]) if headings_deg else None,
            )
            for at, speed in enumerate(speeds_kt)
        ]
    )


GRAY = "Gray, Using GPS to accurately establish true airspeed, 1998"
WORKSHEET = "test-pilot-school worksheet, four legs"
E1CA = check("E1ca", "E1 through the calibration: TAS", 130.0, "kt", 0.5, "printed to a knot", GRAY, "PV")
E1CW = check("E1cw", "E1 through the calibration: wind", 20.6, "kt", 0.05, "printed to a tenth", GRAY, "PV")
E2CA = check(
    "E2ca",
    "E2 through the calibration: TAS of all four legs at once",
    183.7267,
    "kt",
    0.1,
    "a fit of four legs is near the mean of its triples, not equal to it",
    WORKSHEET,
    "PV",
)
E3CA = check("E3ca", "E3 through the calibration: TAS", 100.0, "kt", 0.5, "GS printed to a knot", "ground school", "PV")
E4CA = check("E4ca", "E4 through the calibration: TAS", 100.0, "kt", 1e-5, "GS to eight decimals", "Williams", "C")


def test_the_calibration_answers_the_published_legs() -> None:
    three = _calibrated([140.0, 112.0, 120.0], [192.0, 283.0, 20.0], [])
    assert_check(E1CA, three.speeds[0].tas_mps / KT)
    assert_check(E1CW, three.wind_speed_mps / KT)
    four = _calibrated([178.0, 185.0, 188.0, 184.0], [178.0, 82.0, 355.0, 265.0], [])
    assert_check(E2CA, four.speeds[0].tas_mps / KT)
    cardinal = _calibrated([102.0, 120.0, 102.0, 80.0], None, [0.0, 90.0, 180.0, 270.0])
    assert_check(E3CA, cardinal.speeds[0].tas_mps / KT)
    bare = _calibrated([84.88496899, 99.56165239, 118.66768479], None, [0.0, 120.0, 240.0])
    assert_check(E4CA, bare.speeds[0].tas_mps / KT)
