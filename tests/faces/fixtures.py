"""A hand-made plan and debrief for tests of what people see: invented numbers on a shape of simple arcs.

Nothing here is solved: heights run from gate to gate, speeds are round. Faces must draw and print it right whatever the
numbers are, so tests vary the shape: side, size, infeasible, stops, cautions, no touchdown, no wind found.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from volplane.domain.airplane.airplane import Airplane, AirplaneLimits, InstructorWords, StandIn
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.results import (
    Attempt,
    BudgetItem,
    Debrief,
    FlownGate,
    FlownPath,
    GlideEstimate,
    GoAround,
    HeightInHand,
    NotObservable,
    Outcome,
    PhaseGlide,
    RecordingFacts,
    StandardItem,
    Touchdown,
    Verdict,
    VerdictText,
    WindEstimate,
)
from volplane.domain.exercise.exercise import Exercise, GateName, Weather
from volplane.domain.exercise.plan import (
    Binding,
    BreakOff,
    FinePitch,
    FinePitchGate,
    LedgerItem,
    Legs,
    Lever,
    Phase,
    Plan,
    PlannedGate,
    TurnSummary,
)
from volplane.domain.finding import Finding, Severity
from volplane.domain.geometry.airfield import Airfield, Runway, Side
from volplane.domain.glide.configuration import CLEAN, Configuration, Flap, Gear
from volplane.domain.glide.flight_path import FlightPath
from volplane.units import (
    CELSIUS_ZERO_K,
    kg_from_lb,
    m_from_ft,
    mps_from_kt,
    pa_from_inhg,
    rad_from_deg,
)

Array = NDArray[np.float64]
NAUTICAL_MILE_M = 1852.0
STANDIN_NAME = "gear and approach flap"
BINDING = Binding(
    "low-key-too-high",
    {"missing_m": m_from_ft(240.0), "bank_rad": rad_from_deg(45.0), "reached_m": m_from_ft(1260.0)},
)


@dataclasses.dataclass(frozen=True, slots=True)
class RoundPolar:
    """The two-number glide of the demo airplane, enough for a face that only prints its numbers."""

    reference_weight_kg: float = kg_from_lb(3650.0)
    best_eas_mps: float = mps_from_kt(109.0)
    best_ratio: float = 9.6

    def at_weight(self, weight_kg: float) -> RoundPolar:
        speed_mps = self.best_eas_mps * math.sqrt(weight_kg / self.reference_weight_kg)
        return RoundPolar(weight_kg, speed_mps, self.best_ratio)

    def drag_to_weight(self, eas_mps: float, load_factor: float, configuration: Configuration) -> float:
        share = (eas_mps / self.best_eas_mps) ** 2
        parasite = (1.0 + configuration.extra_drag_factor) * share
        return (parasite + configuration.induced_factor * load_factor**2 / share) / (2.0 * self.best_ratio)

    def kernel_table(self) -> Array:
        return np.array([self.best_eas_mps, self.best_ratio])


def airplane(words: InstructorWords | None = None) -> Airplane:
    """The Dunlin Tourer, with the instructor's own words unless others are given."""
    return Airplane(
        name="Dunlin Tourer",
        maximum_weight_kg=kg_from_lb(3650.0),
        glide=RoundPolar(),
        stall_clean_cas_mps=mps_from_kt(68.0),
        stall_landing_cas_mps=mps_from_kt(60.0),
        approach_ias_mps=mps_from_kt(88.0),
        touchdown_ias_mps=mps_from_kt(65.0),
        limits=AirplaneLimits(gear_ias_mps=mps_from_kt(150.0), full_flap_ias_mps=mps_from_kt(120.0)),
        configurations=(
            CLEAN,
            Configuration(STANDIN_NAME, Gear.DOWN, Flap.APPROACH, extra_drag_factor=0.55),
            Configuration("landing", Gear.DOWN, Flap.FULL, extra_drag_factor=1.1, is_estimate=True),
        ),
        stand_in=StandIn(STANDIN_NAME, pa_from_inhg(14.5), 2300.0 * 2.0 * math.pi / 60.0, m_from_ft(2500.0)),
        words=words
        if words is not None
        else InstructorWords(
            go_around="Power, pitch, gear up, flap in steps. 95 kt. Straight ahead, then left.",
            sight_mark="runway under the wing tip",
            calls=("Dunlin, high key, practice glide, two five.", "Low key.", "Final, full stop."),
        ),
        estimates=frozenset({"configuration.landing"}),
    )


def airfield(pattern: Side = Side.LEFT) -> Airfield:
    """Quill Meadow, in mid-ocean."""
    ends = (
        Runway("25", 44.0, -40.0, rad_from_deg(238.4), m_from_ft(4400.0), m_from_ft(940.0), pattern),
        Runway("07", 43.9937, -40.0143, rad_from_deg(58.4), m_from_ft(4400.0), m_from_ft(935.0), pattern),
    )
    return Airfield("Quill Meadow", m_from_ft(940.0), rad_from_deg(-12.0), ends)


def exercise(pattern: Side = Side.LEFT, words: InstructorWords | None = None) -> Exercise:
    """The demo exercise with every key at its documented default or the demo's value."""
    field = airfield(pattern)
    air = Atmosphere(field.elevation_msl_m, 18.0 + CELSIUS_ZERO_K, pa_from_inhg(30.05))
    wind = WindProfile.from_levels(
        [(0.0, rad_from_deg(240.0), mps_from_kt(8.0)), (m_from_ft(3000.0), rad_from_deg(270.0), mps_from_kt(18.0))]
    )
    return Exercise(
        airplane=airplane(words),
        airfield=field,
        runway=field.runways[0],
        pattern=pattern,
        weight_kg=kg_from_lb(3350.0),
        weather=Weather(air, wind),
        time_unix_s=1778767200.0,  # 2026-05-14 14:00 UTC
        entry_height_m=m_from_ft(2500.0),
        low_key_height_m=m_from_ft(1500.0),
        high_key_offset_m=0.2 * NAUTICAL_MILE_M,
        touchdown_beyond_threshold_m=m_from_ft(1000.0),
        high_key_turn_bank_rad=rad_from_deg(20.0),
        base_turn_bank_rad=rad_from_deg(25.0),
        maximum_bank_rad=rad_from_deg(45.0),
        maximum_bank_below_low_key_rad=rad_from_deg(30.0),
        low_key_offset_m=None,
        minimum_final_m=m_from_ft(1500.0),
        reserve_m=m_from_ft(100.0),
        break_off_height_m=m_from_ft(500.0),
        stall_margin_fraction=0.1,
        reaction_delay_s=4.0,
        distance_limit_m=3.0 * NAUTICAL_MILE_M,
        stated=frozenset({"weight", "entry_height", "weather.wind"}),
    )


@dataclasses.dataclass(frozen=True, slots=True)
class Shape:
    """The racetrack of the fixture over the ground, for a left pattern; lengths in feet."""

    offset_ft: float = 0.2 * 6076.115
    upwind_ft: float = 0.0
    first_radius_ft: float = 2856.0
    downwind_ft: float = 3200.0
    base_leg_ft: float = 0.0
    touchdown_ft: float = 0.0
    heights_ft: tuple[float, float, float, float] = (2500.0, 1500.0, 810.0, 390.0)
    ground_speed_kt: float = 108.0


MOCK_SHAPE = Shape()
FLOWN_SHAPE = Shape(
    offset_ft=0.19 * 6076.115,
    upwind_ft=180.0,
    first_radius_ft=2940.0,
    downwind_ft=3630.0,
    touchdown_ft=-210.0,
    heights_ft=(2475.0, 1443.0, 720.0, 300.0),
)


def traced(shape: Shape, step_s: float = 0.5) -> dict[str, Array]:
    """Columns of the racetrack for a left pattern, equally spaced in time: s (leg length), x, y, track, height, leg."""
    low_offset = 2.0 * shape.first_radius_ft - shape.offset_ft
    base_radius = (low_offset - shape.base_leg_ft) / 2.0
    final_ft = shape.downwind_ft + shape.touchdown_ft
    legs = [
        ("straight", shape.upwind_ft, 0.0),
        ("turn", math.pi * shape.first_radius_ft, shape.first_radius_ft),
        ("straight", shape.upwind_ft, 0.0),
        ("straight", shape.downwind_ft, 0.0),
        ("turn", math.pi / 2.0 * base_radius, base_radius),
        ("straight", shape.base_leg_ft, 0.0),
        ("turn", math.pi / 2.0 * base_radius, base_radius),
        ("straight", final_ft, 0.0),
    ]
    ends = np.cumsum([length for _, length, _ in legs])
    speed_fps = mps_from_kt(shape.ground_speed_kt) / 0.3048
    s = np.append(np.arange(0.0, ends[-1], speed_fps * step_s), ends[-1])
    leg = np.minimum(np.searchsorted(ends, s, side="right"), len(legs) - 1)
    x, y, track = np.zeros_like(s), np.zeros_like(s), np.zeros_like(s)
    at = np.array([0.0, -shape.offset_ft, 0.0])
    start = 0.0
    for number, (kind, length, radius) in enumerate(legs):
        here = leg == number
        u = s[here] - start
        if kind == "turn":
            angle = at[2] + u / radius
            x[here] = at[0] + radius * (np.sin(angle) - math.sin(at[2]))
            y[here] = at[1] - radius * (np.cos(angle) - math.cos(at[2]))
            track[here] = angle
            end = at[2] + length / radius
            at = np.array(
                [
                    at[0] + radius * (math.sin(end) - math.sin(at[2])),
                    at[1] - radius * (math.cos(end) - math.cos(at[2])),
                    end,
                ]
            )
        else:
            x[here], y[here], track[here] = at[0] + u * math.cos(at[2]), at[1] + u * math.sin(at[2]), at[2]
            at = np.array([at[0] + length * math.cos(at[2]), at[1] + length * math.sin(at[2]), at[2]])
        start += length
    low_s, final_s = ends[2], ends[6]
    base_s = ends[4] + shape.base_leg_ft / 2.0
    high, low, base, final = shape.heights_ft
    height = np.interp(s, [0.0, low_s, base_s, final_s, ends[-1]], [high, low, base, final, 0.0])
    return {
        "time": s / speed_fps,
        "x": x,
        "y": y,
        "track": track,
        "height": height,
        "leg": leg.astype(np.float64),
        "gates": np.array([0.0, low_s, base_s, final_s]) / speed_fps,
    }


def flight_path(shape: Shape = MOCK_SHAPE, pattern: Side = Side.LEFT) -> FlightPath:
    """The racetrack as a planned path."""
    columns = traced(shape)
    sign = pattern.sign
    turning = np.isin(columns["leg"], (1.0, 4.0, 6.0))
    speed = np.full_like(columns["time"], mps_from_kt(shape.ground_speed_kt))
    track = sign * columns["track"]
    return FlightPath(
        time_s=columns["time"],
        x_m=columns["x"] * 0.3048,
        y_m=sign * columns["y"] * 0.3048,
        height_m=columns["height"] * 0.3048,
        heading_rad=track,
        track_rad=track,
        bank_rad=np.where(turning, -sign * rad_from_deg(22.0), 0.0),
        tas_mps=speed,
        eas_mps=np.full_like(speed, mps_from_kt(104.0)),
        ground_speed_mps=speed,
        phase_index=np.where(columns["leg"] < 7.0, 0, 1).astype(np.int64),
        configuration_index=np.where(columns["leg"] < 7.0, 0, 1).astype(np.int64),
        phase_names=("high key to base key", "final"),
        configuration_names=("clean", "landing"),
    )


def plan(
    pattern: Side = Side.LEFT,
    shape: Shape = MOCK_SHAPE,
    *,
    findings: Sequence[Finding] | None = None,
    feasible: bool = True,
    words: InstructorWords | None = None,
) -> Plan:
    """A hand-made plan on the racetrack; the default one carries two cautions and a note."""
    wish = exercise(pattern, words)
    path = flight_path(shape, pattern)
    times = traced(shape)["gates"]
    gates = tuple(_gate(wish, path, name, float(time)) for name, time in zip(GateName, times, strict=True))
    low_offset_m = m_from_ft(2.0 * shape.first_radius_ft - shape.offset_ft)
    return Plan(
        exercise=wish,
        feasible=feasible,
        gates=gates,
        phases=_phases(),
        path=path,
        legs=Legs(
            upwind_m=m_from_ft(shape.upwind_ft),
            low_key_offset_m=low_offset_m,
            downwind_m=m_from_ft(shape.downwind_ft),
            downwind_time_s=m_from_ft(shape.downwind_ft) / mps_from_kt(shape.ground_speed_kt),
            base_m=m_from_ft(shape.base_leg_ft),
            final_m=m_from_ft(shape.downwind_ft),
            aim_point_x_m=m_from_ft(-700.0),
            fifty_foot_x_m=m_from_ft(-1000.0),
            turn_no_later_x_m=m_from_ft(-shape.downwind_ft - 500.0),
            first_turn=_turn(shape.first_radius_ft, 20.0, 16.0, 25.0),
            base_turn=_turn(low_offset_m / 2.0 / 0.3048, 25.0, 21.0, 30.0),
        ),
        ledger=_ledger(),
        surplus_m=0.0,
        fine_pitch=FinePitch(
            m_from_ft(200.0),
            m_from_ft(450.0),
            gates=(
                FinePitchGate(
                    GateName.LOW_KEY, m_from_ft(1420.0), m_from_ft(1520.0), m_from_ft(2460.0), m_from_ft(80.0)
                ),
            ),
        ),
        touchdown_x_m=m_from_ft(shape.touchdown_ft),
        touchdown_time_s=float(path.time_s[-1]),
        break_off=BreakOff(
            m_from_ft(500.0),
            float(wish.weather.atmosphere.altimeter_msl_m(m_from_ft(500.0))),
            mps_from_kt(99.0),
            mps_from_kt(114.0),
            rad_from_deg(30.0),
        ),
        findings=tuple(default_findings() if findings is None else findings),
        binding=None if feasible else BINDING,
        levers=() if feasible else (Lever("entry_height", m_from_ft(2500.0), m_from_ft(2740.0), "length_m"),),
    )


def default_findings() -> tuple[Finding, ...]:
    """Two cautions and a note."""
    fine_pitch = {
        "extra_to_low_key_m": m_from_ft(200.0),
        "extra_to_touchdown_m": m_from_ft(450.0),
        "gate": "low key",
        "in_hand_m": m_from_ft(-150.0),
    }
    return (
        Finding("nothing-to-spare", Severity.CAUTION, {"surplus_m": 0.0, "bank_rad": rad_from_deg(20.0)}),
        Finding("fine-pitch", Severity.CAUTION, fine_pitch),
        Finding("low-key-go-around", Severity.NOTE, {"altimeter_msl_m": m_from_ft(2150.0)}),
    )


def stop_finding() -> Finding:
    """A finding that prints no card."""
    return Finding("aim-point-before-threshold", Severity.STOP, {"aim_m": m_from_ft(-120.0)})


def _gate(wish: Exercise, path: FlightPath, name: GateName, time_s: float) -> PlannedGate:
    windows_ft = {
        GateName.HIGH_KEY: (1860.0, 3270.0),
        GateName.LOW_KEY: (1140.0, 2010.0),
        GateName.BASE_KEY: (620.0, 1060.0),
        GateName.FINAL: (220.0, 470.0),
    }
    required_m, highest_m = (m_from_ft(height) for height in windows_ft[name])
    x_m, y_m, height_m = path.at(time_s)
    lowest_m = required_m + wish.reserve_m
    altimeter = wish.weather.atmosphere.altimeter_msl_m
    track = float(np.interp(time_s, path.time_s, path.track_rad))
    bearing = wish.runway.bearing_true_rad - track
    return PlannedGate(
        name=name,
        height_m=height_m,
        altimeter_msl_m=float(altimeter(height_m)),
        required_m=required_m,
        lowest_m=lowest_m,
        highest_m=highest_m,
        altimeter_lowest_msl_m=float(altimeter(lowest_m)),
        altimeter_highest_msl_m=float(altimeter(highest_m)),
        x_m=x_m,
        y_m=y_m,
        latitude_deg=44.0,
        longitude_deg=-40.0,
        heading_true_rad=bearing % (2.0 * math.pi),
        heading_magnetic_rad=(bearing - wish.airfield.variation_east_rad) % (2.0 * math.pi),
        track_true_rad=bearing % (2.0 * math.pi),
        time_s=time_s,
        ias_mps=mps_from_kt(104.0),
    )


def _phases() -> tuple[Phase, ...]:
    return (
        Phase("set-up", "before the high key", mps_from_kt(120.0), "set-up", "set-up", pa_from_inhg(14.5)),
        Phase(
            "high key to base key",
            "high key",
            mps_from_kt(104.0),
            "clean",
            STANDIN_NAME,
            pa_from_inhg(14.5),
            pa_from_inhg(15.5),
        ),
        Phase("final", "point made", mps_from_kt(88.0), "landing", "landing"),
        Phase("touchdown", "touchdown", mps_from_kt(65.0), "touchdown", "touchdown"),
    )


def _ledger() -> tuple[LedgerItem, ...]:
    items = {
        "half turn": 1000.0,
        "downwind": 335.0,
        "turn to base and final": 805.0,
        "final and round-out": 280.0,
        "gear and flap": 125.0,
        "slowing": -140.0,
        "wind": -5.0,
        "reserve": 100.0,
    }
    return tuple(LedgerItem(item, m_from_ft(height)) for item, height in items.items())


def _turn(radius_ft: float, mean_deg: float, least_deg: float, greatest_deg: float) -> TurnSummary:
    return TurnSummary(
        m_from_ft(radius_ft), rad_from_deg(mean_deg), rad_from_deg(least_deg), rad_from_deg(greatest_deg), 45.0
    )


def attempt(pattern: Side = Side.LEFT, *, outcome: Outcome = Outcome.LANDED, against: Plan | None = None) -> Attempt:
    """The exercise flown a little wide and low, landing 210 ft short; or the same broken off with a go-around."""
    planned = plan(pattern) if against is None else against
    path = flown_path(pattern)
    times = traced(FLOWN_SHAPE)["gates"] + START_S
    if outcome is Outcome.WENT_AROUND:
        kept = path.time_s <= times[3]
        path = FlownPath(
            **{
                field.name: value[kept] if (value := getattr(path, field.name)) is not None else None
                for field in dataclasses.fields(FlownPath)
            }
        )
    hand = height_in_hand(path)
    landed = outcome is Outcome.LANDED
    return Attempt(
        start_time_s=float(path.time_s[0]),
        end_time_s=float(path.time_s[-1]),
        plan=planned,
        pattern=pattern,
        outcome=outcome,
        path=path,
        verdict=Verdict(VerdictText.TOO_CLOSE_TO_CALL, hand.minimum_m, m_from_ft(79.0), hand.minimum_time_s),
        gates=tuple(_flown_gate(planned, path, name, float(time)) for name, time in zip(GateName, times, strict=True)),
        wind=(
            WindEstimate(0.0, rad_from_deg(239.0), mps_from_kt(10.0), mps_from_kt(1.4)),
            WindEstimate(m_from_ft(2500.0), rad_from_deg(266.0), mps_from_kt(20.0), mps_from_kt(1.8)),
        ),
        glide=_glide(),
        height_in_hand=hand,
        budget=tuple(
            BudgetItem(cause, m_from_ft(height))
            for cause, height in {"path": -95.0, "wind": -45.0, "configuration": 60.0, "speed": 21.0}.items()
        ),
        touchdown=Touchdown(m_from_ft(-210.0), m_from_ft(30.0), m_from_ft(4.0), path.time_s[-1], None)
        if landed
        else None,
        go_around=None if landed else GoAround(m_from_ft(300.0), float(path.time_s[-1]), True),
        maximum_bank_rad=rad_from_deg(31.0),
        minimum_cas_mps=None,
        standard=(
            StandardItem("touchdown", 0.0, m_from_ft(200.0), m_from_ft(-210.0), "length_m", False, "FAA-S-ACS-7B"),
        ),
        not_observable=(
            NotObservable("speed_kcas", "no-airspeed-recorded"),
            NotObservable("standin", "no-power-recorded"),
            NotObservable("engine", "no-power-recorded"),
        ),
        findings=(
            Finding(
                "turn-to-base-late",
                Severity.NOTE,
                {
                    "late_s": 2.0,
                    "farther_m": m_from_ft(430.0),
                    "cost_m": m_from_ft(95.0),
                    "past_low_key_s": planned.legs.downwind_time_s,
                },
                time_s=float(times[1]) + 19.0,
                cost_m=m_from_ft(95.0),
            ),
            Finding(
                "low-at-gate",
                Severity.NOTE,
                {
                    "gate": "low key",
                    "low_m": m_from_ft(57.0),
                    "since_last_gate_m": m_from_ft(-32.0),
                    "outside_m": 0.0,
                },
                time_s=float(times[1]),
                cost_m=m_from_ft(57.0),
            ),
            Finding(
                "short-touchdown",
                Severity.NOTE,
                {"short_m": m_from_ft(210.0), "sd_m": m_from_ft(30.0)},
                time_s=float(path.time_s[-1]),
                cost_m=None,
            ),
        ),
    )


START_S = 137.0


def flown_path(pattern: Side = Side.LEFT, shape: Shape = FLOWN_SHAPE) -> FlownPath:
    """The racetrack as a smoothed flight at one fix a second, starting well into the recording."""
    columns = traced(shape, step_s=1.0)
    sign = pattern.sign
    speed = np.full_like(columns["time"], mps_from_kt(shape.ground_speed_kt))
    height_m = columns["height"] * 0.3048
    return FlownPath(
        time_s=columns["time"] + START_S,
        x_m=columns["x"] * 0.3048,
        y_m=sign * columns["y"] * 0.3048,
        height_m=height_m,
        track_rad=sign * columns["track"],
        ground_speed_mps=speed,
        vertical_speed_mps=np.gradient(height_m, columns["time"]),
        bank_rad=np.where(np.isin(columns["leg"], (1.0, 4.0, 6.0)), -sign * rad_from_deg(24.0), 0.0),
        cas_mps=None,
    )


def height_in_hand(path: FlownPath) -> HeightInHand:
    """Height in hand that goes from plenty through zero at the turn to base and comes partly back."""
    after_s = path.time_s - START_S
    in_hand_ft = np.interp(
        after_s,
        [0.0, 12.0, 20.0, 45.0, 60.0, 70.0, 78.0, 90.0, 130.0, 160.0],
        [430.0, 420.0, 330.0, 240.0, 170.0, 10.0, -110.0, -70.0, -40.0, -20.0],
    )
    in_hand_m = in_hand_ft * 0.3048
    in_hand_m[path.height_m < m_from_ft(50.0)] = np.nan
    lowest = int(np.nanargmin(in_hand_m))
    negative = np.flatnonzero(in_hand_m < 0.0)
    return HeightInHand(
        time_s=path.time_s,
        height_m=path.height_m,
        in_hand_m=in_hand_m,
        sd_m=np.full_like(in_hand_m, m_from_ft(79.0)),
        room_above_m=np.maximum(m_from_ft(500.0) - in_hand_m, 0.0),
        minimum_m=float(in_hand_m[lowest]),
        minimum_time_s=float(path.time_s[lowest]),
        first_negative_time_s=float(path.time_s[negative[0]]) if negative.size else None,
    )


def _flown_gate(planned: Plan, path: FlownPath, name: GateName, time_s: float) -> FlownGate:
    wished = planned.gate(name)
    assert wished is not None
    height_m = float(np.interp(time_s, path.time_s, path.height_m))
    return FlownGate(
        name=name,
        time_s=time_s,
        x_m=float(np.interp(time_s, path.time_s, path.x_m)),
        y_m=float(np.interp(time_s, path.time_s, path.y_m)),
        height_m=height_m,
        height_sd_m=m_from_ft(20.0),
        planned_m=wished.height_m,
        lowest_m=wished.lowest_m,
        highest_m=wished.highest_m,
        altimeter_msl_m=float(planned.exercise.weather.atmosphere.altimeter_msl_m(height_m)),
        cas_mps=None,
        ground_speed_mps=mps_from_kt(108.0),
    )


def _glide() -> GlideEstimate:
    phases = {
        "half turn": (8.1, 1215.0),
        "downwind": (9.3, 965.0),
        "turn to base": (8.4, 1175.0),
        "final": (8.9, 975.0),
    }
    return GlideEstimate(
        ratio=8.7,
        ratio_sd=0.4,
        sink_mps=m_from_ft(1080.0) / 60.0,
        cas_mps=mps_from_kt(105.0),
        by_phase=tuple(
            PhaseGlide(phase, ratio, 0.5, m_from_ft(sink) / 60.0, mps_from_kt(105.0))
            for phase, (ratio, sink) in phases.items()
        ),
    )


def debrief(*attempts: Attempt) -> Debrief:
    """A recording with the attempts given, one landing when none is."""
    found = attempts or (attempt(),)
    return Debrief(
        RecordingFacts(
            sha256="0" * 64,
            format="GPX 1.1",
            start_unix_s=1778767200.0,
            end_unix_s=1778767200.0 + float(found[-1].end_time_s) + 60.0,
            fixes=420,
            altitude_source="GPS altitude",
            altitude_correction_m=m_from_ft(-12.0),
            problems=(),
        ),
        found,
    )
