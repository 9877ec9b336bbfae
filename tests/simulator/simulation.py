"""The simulated airplane in the simulated air, in SI: six degrees of freedom, engine, propeller and wheels.

The simulation is the `jsbsim` library (J. S. Berndt, JSBSim: An Open Source Flight Dynamics Model in C++, AIAA
2004-4923) with an airplane of its own collection: lift, drag and moments from tables, a piston engine, a propeller held
at its speed by a governor, wheels on springs, a round turning earth. Nothing of it comes from this project.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable
from dataclasses import dataclass, field

from volplane.units import FOOT_M, INCH_OF_MERCURY_PA, KNOT_MPS, RPM_RADPS

AIRPLANE_ID = "c182"

STEP_S = 1.0 / 60.0
# the air begins to move over the first seconds, so that no flight begins with a jolt
WIND_RISES_S = 20.0

_POUND_KG = 0.45359237
_PSF_PA = 0.45359237 * 9.80665 / 0.3048**2
_SLUG_PER_CUBIC_FOOT_KGPM3 = 0.45359237 * 9.80665 / 0.3048 / 0.3048**3
_RANKINE_K = 5.0 / 9.0
# people and bags make the airplane weigh this much at the start
WEIGHT_KG = 2650.0 * _POUND_KG

# velocity of the air to the north, to the east and upwards at an altitude and a time of the flight
AirMotion = Callable[[float, float], tuple[float, float, float]]


def calm(altitude_msl_m: float, time_s: float) -> tuple[float, float, float]:
    """Air at rest."""
    return 0.0, 0.0, 0.0


@dataclass(frozen=True, slots=True)
class SimulatedAir:
    """The column of air: standard, shifted by a temperature, on a sea-level pressure, moving as `motion` says."""

    motion: AirMotion = calm
    warmer_k: float = 0.0
    sea_level_pressure_pa: float = 101325.0


@dataclass(frozen=True, slots=True)
class State:
    """The truth at one moment: SI, angles true and positive as pilots count them, banks to the right."""

    time_s: float
    latitude_deg: float
    longitude_deg: float
    altitude_msl_m: float
    above_ground_m: float
    pressure_altitude_m: float
    temperature_k: float
    density_kgpm3: float
    cas_mps: float
    eas_mps: float
    tas_mps: float
    north_mps: float
    east_mps: float
    climb_mps: float
    heading_rad: float
    bank_rad: float
    pitch_rad: float
    sideslip_rad: float
    attack_rad: float
    weight_kg: float
    manifold_pressure_pa: float
    engine_speed_radps: float
    thrust_n: float
    on_wheels: bool


@dataclass(frozen=True, slots=True)
class Start:
    """Where and how a flight begins; the ground lies at `ground_msl_m` everywhere."""

    altitude_msl_m: float = 2000.0
    cas_mps: float = 80.0 * KNOT_MPS
    heading_rad: float = 0.0
    latitude_deg: float = 44.0
    longitude_deg: float = -40.0
    ground_msl_m: float = 0.0
    weight_kg: float = WEIGHT_KG


@dataclass(slots=True)
class Simulation:
    """One simulated flight; the same start, air and controls give the same flight bit for bit."""

    start: Start = field(default_factory=Start)
    air: SimulatedAir = field(default_factory=SimulatedAir)
    time_s: float = 0.0
    # elevator positive nose down, aileron positive right wing down, rudder positive nose left, flap from 0 to 1
    elevator: float = 0.0
    aileron: float = 0.0
    rudder: float = 0.0
    throttle: float = 0.0
    flap: float = 0.0
    brakes: float = 0.0
    _model: object = field(init=False, repr=False)

    def __post_init__(self) -> None:
        os.environ.setdefault("JSBSIM_DEBUG", "0")  # else it greets on the terminal
        import jsbsim

        model = jsbsim.FGFDMExec(None)
        model.set_debug_level(0)
        if not model.load_model(AIRPLANE_ID):
            raise RuntimeError("the simulation has no such airplane")
        self._model = model
        model.set_dt(STEP_S)
        self._begin()

    def _begin(self) -> None:
        model, start = self._model, self.start
        conditions = {
            "atmosphere/delta-T": self.air.warmer_k / _RANKINE_K,
            "atmosphere/P-sl-psf": self.air.sea_level_pressure_pa / _PSF_PA,
            "ic/lat-geod-deg": start.latitude_deg,
            "ic/long-gc-deg": start.longitude_deg,
            "ic/terrain-elevation-ft": start.ground_msl_m / FOOT_M,
            "ic/h-sl-ft": start.altitude_msl_m / FOOT_M,
            "ic/psi-true-deg": math.degrees(start.heading_rad),
            "ic/vc-kts": start.cas_mps / KNOT_MPS,
            "ic/gamma-deg": -5.0,
        }
        for name, value in conditions.items():
            model[name] = value
        model.run_ic()
        # weights are known only now; the second time everything begins with the right one
        model["inertia/pointmass-weight-lbs[0]"] += start.weight_kg / _POUND_KG - model["inertia/weight-lbs"]
        model.run_ic()
        model["propulsion/set-running"] = -1
        model["fcs/mixture-cmd-norm"] = 1.0
        model["fcs/advance-cmd-norm"] = 1.0

    def step(self) -> None:
        """One step on with the controls and the air as they were last set."""
        self._model.run()
        self.time_s += STEP_S

    def set_controls_and_air(self) -> None:
        """Hand the controls and the air's motion here and now to the simulation."""
        model = self._model
        blows = min(1.0, self.time_s / WIND_RISES_S)
        north, east, up = (blows * part for part in self.air.motion(self.altitude_msl_m(), self.time_s))
        model["atmosphere/wind-north-fps"] = north / FOOT_M
        model["atmosphere/wind-east-fps"] = east / FOOT_M
        model["atmosphere/wind-down-fps"] = -up / FOOT_M
        model["fcs/elevator-cmd-norm"] = self.elevator
        model["fcs/aileron-cmd-norm"] = self.aileron
        model["fcs/rudder-cmd-norm"] = self.rudder
        model["fcs/throttle-cmd-norm"] = self.throttle
        model["fcs/flap-cmd-norm"] = self.flap
        if self.brakes:
            model["fcs/left-brake-cmd-norm"] = model["fcs/right-brake-cmd-norm"] = self.brakes

    def heading_rad(self) -> float:
        """Where the nose points."""
        return float(self._model["attitude/psi-rad"])

    def altitude_msl_m(self) -> float:
        """True altitude now."""
        return float(self._model["position/h-sl-ft"] * FOOT_M)

    def felt(self) -> tuple[float, float, float, float, float, float, float]:
        """What the autopilot reads: CAS, pitch, bank, sideslip, and the rates of pitch, roll and yaw."""
        model = self._model
        return (
            model["velocities/vc-kts"] * KNOT_MPS,
            model["attitude/theta-rad"],
            model["attitude/phi-rad"],
            model["aero/beta-rad"],
            model["velocities/q-rad_sec"],
            model["velocities/p-rad_sec"],
            model["velocities/r-rad_sec"],
        )

    def state(self) -> State:
        """The truth now."""
        model = self._model
        return State(
            time_s=self.time_s,
            latitude_deg=model["position/lat-geod-deg"],
            longitude_deg=model["position/long-gc-deg"],
            altitude_msl_m=model["position/h-sl-ft"] * FOOT_M,
            above_ground_m=model["position/h-agl-ft"] * FOOT_M,
            pressure_altitude_m=model["atmosphere/pressure-altitude"] * FOOT_M,
            temperature_k=model["atmosphere/T-R"] * _RANKINE_K,
            density_kgpm3=model["atmosphere/rho-slugs_ft3"] * _SLUG_PER_CUBIC_FOOT_KGPM3,
            cas_mps=model["velocities/vc-kts"] * KNOT_MPS,
            eas_mps=model["velocities/ve-kts"] * KNOT_MPS,
            tas_mps=model["velocities/vtrue-kts"] * KNOT_MPS,
            north_mps=model["velocities/v-north-fps"] * FOOT_M,
            east_mps=model["velocities/v-east-fps"] * FOOT_M,
            climb_mps=-model["velocities/v-down-fps"] * FOOT_M,
            heading_rad=model["attitude/psi-rad"],
            bank_rad=model["attitude/phi-rad"],
            pitch_rad=model["attitude/theta-rad"],
            sideslip_rad=model["aero/beta-rad"],
            attack_rad=model["aero/alpha-rad"],
            weight_kg=model["inertia/weight-lbs"] * _POUND_KG,
            manifold_pressure_pa=model["propulsion/engine/map-inhg"] * INCH_OF_MERCURY_PA,
            engine_speed_radps=model["propulsion/engine/propeller-rpm"] * RPM_RADPS,
            thrust_n=model["propulsion/engine/thrust-lbs"] * _POUND_KG * 9.80665,
            on_wheels=model["gear/wow"] > 0.0,
        )
