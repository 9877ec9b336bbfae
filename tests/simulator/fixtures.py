"""Recorded exercises whose truth is known: flown by the simulation's own pilot in many airs, recorded well and badly.

Each flight is flown once and kept beside the tests' other caches, named by everything that made it: the sources of this
folder and the flight's own description. A recording is made anew each time, which takes no time.
"""

from __future__ import annotations

import functools
import hashlib
import pathlib
from dataclasses import dataclass, field

import numpy as np

from tests.simulator import described
from tests.simulator.flight import Truth
from tests.simulator.lesson import Habits, Lesson, wind_by_height
from tests.simulator.recorder import Recorder, wander
from tests.simulator.simulation import AirMotion, SimulatedAir
from volplane.domain.track.track import Track
from volplane.units import FOOT_M, KNOT_MPS

Levels = tuple[tuple[float, float, float], ...]
KEPT = pathlib.Path(__file__).resolve().parents[2] / ".pytest_cache" / "simulated-flights"
_LONGEST_S = 1000


@dataclass(frozen=True, slots=True)
class Fixture:
    """An exercise in an air: `levels` are feet above the field, degrees true from, knots.

    `rises_sd_mps` and `gust_sd_kt` are how air moves besides, up and along each axis, for half a minute and for eight
    seconds at a time; `hand_sd_kt` is how the pilot's airspeed wanders. `dropouts` are seconds of the recording without
    a fix. `wheels_cas_kt` tells a landing flown on faster than the airplane's touchdown speed.
    """

    name: str
    levels: Levels
    seed: int
    rises_sd_mps: float = 0.0
    gust_sd_kt: float = 0.0
    hand_sd_kt: float = 1.0
    habits: Habits = field(default_factory=Habits)
    dropouts: tuple[tuple[float, float], ...] = ()

    @property
    def goes_around(self) -> bool:
        """Whether the exercise ends in a go-around instead of a landing."""
        return self.habits.goes_around_at_m is not None

    def steady_motion(self) -> AirMotion:
        """The wind without gusts."""
        return wind_by_height(described.field(), self.levels)

    def air(self) -> SimulatedAir:
        """A warm day in which the air moves as said."""
        return SimulatedAir(self._motion(), warmer_k=5.0, sea_level_pressure_pa=101800.0)

    def _motion(self) -> AirMotion:
        steady, random = self.steady_motion(), np.random.default_rng(1000 + self.seed)
        gusts = [wander(random, _LONGEST_S, self.gust_sd_kt * KNOT_MPS, 8.0) for _ in range(2)]
        rising = wander(random, _LONGEST_S, self.rises_sd_mps, 30.0)
        seconds = np.arange(_LONGEST_S, dtype=np.float64)

        def motion(altitude_msl_m: float, time_s: float) -> tuple[float, float, float]:
            north, east, _ = steady(altitude_msl_m, time_s)
            # air cannot rise out of the ground
            free = min(max(altitude_msl_m - described.field().elevation_m, 0.0) / 150.0, 1.0)
            more = [float(np.interp(time_s, seconds, part)) for part in (*gusts, rising)]
            return north + more[0], east + more[1], free * more[2]

        return motion if self.gust_sd_kt or self.rises_sd_mps else steady

    def truth(self) -> Truth:
        """The flight as it was, flown now or kept from before."""
        place = KEPT / f"{self._key()}.npz"
        if place.exists():
            with np.load(place) as kept:
                return Truth(kept["leg"], {name: kept[name] for name in kept.files if name != "leg"})
        error = wander(np.random.default_rng(self.seed), _LONGEST_S, self.hand_sd_kt * KNOT_MPS, 10.0)
        lesson = Lesson(described.field(), self.air(), self.habits, lambda time_s: float(error[int(time_s)]))
        truth = lesson.fly()
        KEPT.mkdir(parents=True, exist_ok=True)
        np.savez_compressed(place.with_suffix(".part.npz"), leg=truth.leg, **truth.channel)
        place.with_suffix(".part.npz").replace(place)
        return truth

    def recorded(self, *, is_panel: bool, seed: int = 0) -> Track:
        """What a panel with air and engine data wrote down, or a phone that keeps places and GPS altitudes only."""
        recorder = Recorder(
            has_airspeed=is_panel,
            has_engine=is_panel,
            has_velocity=is_panel,
            dropouts=self.dropouts,
            seed=self.seed + 7919 * seed,
        )
        return recorder.track(self.truth())

    def _key(self) -> str:
        return hashlib.sha256((_sources() + repr(self)).encode()).hexdigest()[:24]


@functools.cache
def _sources() -> str:
    names = ("autopilot", "flight", "fixtures", "lesson", "simulation")
    return "".join((pathlib.Path(__file__).parent / f"{name}.py").read_text("utf-8") for name in names)


def _steady(source: float, low_kt: float, high_kt: float | None = None, veer: float = 0.0) -> Levels:
    return ((0.0, source, low_kt), (3000.0, source + veer, low_kt if high_kt is None else high_kt))


# landing is to the west-south-west: 240 is a headwind, 150 and 330 are across
FIXTURES = (
    Fixture("calm", _steady(240.0, 0.0), 1),
    Fixture("light headwind", _steady(240.0, 8.0, 18.0, 30.0), 2),
    Fixture("light headwind, other day", _steady(240.0, 6.0, 14.0, 20.0), 3, rises_sd_mps=0.3),
    Fixture("tailwind on final", _steady(60.0, 6.0, 12.0), 4),
    Fixture("strong headwind", _steady(250.0, 14.0, 26.0, 10.0), 5),
    Fixture("strong, gusts", _steady(255.0, 12.0, 22.0, 20.0), 6, gust_sd_kt=2.0, rises_sd_mps=0.2),
    Fixture("across from the left", _steady(150.0, 10.0, 16.0), 7),
    Fixture("across from the right", _steady(330.0, 10.0, 16.0), 8),
    Fixture("shear", ((0.0, 240.0, 5.0), (700.0, 245.0, 8.0), (1500.0, 260.0, 22.0), (3000.0, 265.0, 26.0)), 9),
    Fixture(
        "backing shear", ((0.0, 280.0, 4.0), (900.0, 255.0, 10.0), (2000.0, 215.0, 18.0), (3000.0, 205.0, 22.0)), 10
    ),
    Fixture("rising and sinking air", _steady(225.0, 7.0, 13.0), 11, rises_sd_mps=0.5),
    Fixture("unsteady hands", _steady(260.0, 9.0, 15.0, 10.0), 12, hand_sd_kt=2.0),
    Fixture(
        "holes in the recording", _steady(240.0, 8.0, 16.0), 13, dropouts=((60.0, 66.0), (118.0, 123.0), (170.0, 172.0))
    ),
    Fixture("go-around in good time", _steady(240.0, 8.0, 18.0, 30.0), 14, habits=Habits(goes_around_at_m=130.0)),
    Fixture("go-around low", _steady(200.0, 8.0, 14.0), 15, habits=Habits(goes_around_at_m=60.0)),
    Fixture("lower than wanted", _steady(300.0, 6.0, 10.0, -20.0), 16, habits=Habits(in_hand_m=10.0 * FOOT_M)),
)
BY_NAME = {each.name: each for each in FIXTURES}
