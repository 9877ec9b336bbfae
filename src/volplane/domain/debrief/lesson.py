"""One exercise flown, looked at from every side and joined into what the debrief says of it; nothing is kept between
two.

The order is that of the data: gates, then the wind between them, then everything that needs the wind (glide, height in
hand, budget, causes, what would have mended it), then the power channels, then standards and findings.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.attempts import FoundAttempt
from volplane.domain.debrief.budget import Polar, budget_from_low_key, budget_items
from volplane.domain.debrief.causes import gate_causes
from volplane.domain.debrief.findings import Flown, findings_of
from volplane.domain.debrief.flight import Flight
from volplane.domain.debrief.glide_found import DOWNWIND, FINAL, HALF_TURN, TURN_TO_BASE, Span, glide_found
from volplane.domain.debrief.in_hand import (
    FIFTY_FEET_M,
    Judged,
    RequiredHeightsIn,
    air_state,
    height_in_hand,
    verdict_of,
)
from volplane.domain.debrief.mending import AsFlown, mending_of
from volplane.domain.debrief.observed import Seen, greatest_lasting_rad, observed
from volplane.domain.debrief.results import (
    Attempt,
    BudgetCourse,
    BudgetItem,
    FlownGate,
    FlownPath,
    GateCauses,
    GlideEstimate,
    GoAround,
    HeightInHand,
    Mending,
    NotObservable,
    Outcome,
    StandardItem,
    StandInFlown,
    Touchdown,
    Verdict,
)
from volplane.domain.debrief.standards import Standard, judged
from volplane.domain.debrief.standin_flown import (
    PowerRecorded,
    SinksCompared,
    engine_care,
    sink_sd_mps,
    sinks_compared,
    stand_in_flown,
)
from volplane.domain.debrief.touchdown import go_around_of, touchdown_of
from volplane.domain.debrief.turns_begun import turn_to_base_s
from volplane.domain.debrief.what_if import FlyingOn, flying_on
from volplane.domain.debrief.wind import LEAST_TURN_RAD, WindFound, given_wind, turned_rad, wind_from_track
from volplane.domain.debrief.windows_there import windows_there
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.gates import GateCrossing, find_gates, high_keys
from volplane.domain.exercise.pilot_limits import glide_of, pilot_limits
from volplane.domain.exercise.plan import Plan
from volplane.domain.finding import Finding
from volplane.domain.glide.guided_flight import Air
from volplane.errors import Refusal, WindNotBelowAirspeed

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class InThisWind:
    """What depends on the wind found; nothing of it without one."""

    air: Air | None = None
    glide: GlideEstimate | None = None
    series: HeightInHand | None = None
    verdict: Verdict | None = None
    course: BudgetCourse | None = None
    causes: GateCauses | None = None
    mending: Mending | None = None
    stand_in: StandInFlown | None = None
    flying: FlyingOn | None = None

    @property
    def budget(self) -> tuple[BudgetItem, ...]:
        """The budget from the low key to the least height in hand."""
        if self.course is None or self.series is None:
            return ()
        return budget_items(self.course, self.series.minimum_time_s)


@dataclass(frozen=True, slots=True)
class Lesson:
    """One exercise flown, about to be looked at. `given` fixes the wind; `power` is None where not recorded."""

    flight: Flight
    found: FoundAttempt
    plan: Plan
    given: WindProfile | None
    power: PowerRecorded | None
    standard: Standard

    def attempt(self) -> Attempt:
        """Everything that can be said of the exercise."""
        wind = self._wind(self._gates(None))
        crossings = self._gates(wind)
        gates = tuple(self._flown_gate(crossing) for crossing in crossings)
        path = self._path(self.flight.between(self.found.start_s, self.found.end_s), wind)
        touchdown, go_around = self._ending(wind)
        there = InThisWind() if wind is None else _Windy(self, wind, gates, path, touchdown).all()
        glide_part = self.glide_flight()
        return Attempt(
            start_time_s=float(path.time_s[0]),
            end_time_s=float(path.time_s[-1]),
            plan=self.plan,
            pattern=self.found.pattern,
            outcome=self.found.outcome,
            path=path,
            verdict=there.verdict,
            gates=gates,
            wind=() if wind is None else wind.estimates(self.flight.bearing_true_rad),
            glide=there.glide,
            height_in_hand=there.series,
            budget=there.budget,
            touchdown=touchdown,
            go_around=go_around,
            maximum_bank_rad=greatest_lasting_rad(self._path(glide_part, wind).bank_rad),
            minimum_cas_mps=_least(glide_part.recorded.cas_mps),
            standard=self._judged(path, gates, touchdown, go_around),
            not_observable=self._not_observable(wind, there, gates),
            findings=findings_of(
                Flown(
                    self.plan,
                    path,
                    self._bank_sd(),
                    gates,
                    there.series,
                    there.budget,
                    touchdown,
                    go_around,
                    there.mending,
                    there.flying,
                )
            ),
            air=there.air,
            budget_course=there.course,
            causes=there.causes,
            mending=there.mending,
            stand_in=there.stand_in,
            circles=self.found.circles,
            power_off_time_s=self.found.power_off_s,
            engine=self._engine(),
            standard_name=self.standard.name,
        )

    def glide_flight(self) -> Flight:
        """From the start to the event, less what is flown under 50 ft."""
        part = self.flight.between(self.found.start_s, self.found.glide_end_s)
        low = np.flatnonzero(part.smoothed.height_m < FIFTY_FEET_M)
        if self.found.outcome is not Outcome.LANDED or len(low) == 0 or low[0] < 3:
            return part
        return self.flight.between(self.found.start_s, float(part.time_s[low[0]]) - 0.5)

    def _ending(self, wind: WindFound | None) -> tuple[Touchdown | None, GoAround | None]:
        exercise = self.plan.exercise
        if self.found.outcome is Outcome.LANDED:
            return touchdown_of(self.flight, exercise, self.found, wind), None
        if self.found.outcome is Outcome.WENT_AROUND:
            return None, go_around_of(self.flight, exercise, self.found)
        return None, None

    def _gates(self, wind: WindFound | None) -> tuple[GateCrossing, ...]:
        path = self._path(self.flight.between(self.found.start_s, self.found.event_s), wind)
        planned_y_m = -self.found.pattern.sign * self.plan.exercise.high_key_offset_m
        where = (path.time_s, path.x_m, path.y_m, path.track_rad, path.bank_rad, planned_y_m)
        return find_gates(*where) if self.found.has_low_key else high_keys(*where)[:1]

    def _path(self, part: Flight, wind: WindFound | None) -> FlownPath:
        smoothed = part.smoothed
        bank = smoothed.bank_rad() if wind is None else air_state(part, wind).bank_rad
        if wind is None and part.recorded.bank_rad is not None:
            bank = np.where(np.isfinite(part.recorded.bank_rad), part.recorded.bank_rad, bank)
        return FlownPath(
            time_s=part.time_s,
            x_m=smoothed.x_m,
            y_m=smoothed.y_m,
            height_m=smoothed.height_m,
            track_rad=smoothed.track_rad,
            ground_speed_mps=smoothed.ground_speed_mps,
            vertical_speed_mps=smoothed.climb_mps,
            bank_rad=bank,
            cas_mps=part.recorded.cas_mps,
        )

    def _wind(self, gates: tuple[GateCrossing, ...]) -> WindFound | None:
        """The given wind, or the one found between the first gate and the final."""
        if self.given is not None:
            high_m = float(np.nanmax(self.flight.between(self.found.start_s, self.found.event_s).smoothed.height_m))
            return given_wind(self.given, self.flight.bearing_true_rad, self.flight.base_above_field_m, high_m)
        part = self._wind_part(gates)
        times = [gate.time_s for gate in gates if gate.name is not GateName.FINAL]
        return wind_from_track(part, np.searchsorted(np.array(times), part.time_s).astype(np.int64))

    def _wind_part(self, gates: tuple[GateCrossing, ...]) -> Flight:
        final_s = next((gate.time_s for gate in gates if gate.name is GateName.FINAL), None)
        glide = self.glide_flight()
        return glide if final_s is None else glide.between(self.found.start_s, final_s)

    def _flown_gate(self, gate: GateCrossing) -> FlownGate:
        smoothed = self.flight.smoothed

        def at(channel: Array) -> float:
            return float(np.interp(gate.time_s, smoothed.time_s, channel))

        planned = self.plan.gate(gate.name)
        height_m = at(smoothed.height_m)
        cas = None if self.flight.recorded.cas_mps is None else at(self.flight.recorded.cas_mps)
        altimeter = self.flight.atmosphere.altimeter_msl_m(height_m + self.flight.base_above_field_m)
        return FlownGate(
            name=gate.name,
            time_s=gate.time_s,
            x_m=gate.x_m,
            y_m=gate.y_m,
            height_m=height_m,
            height_sd_m=float(np.hypot(at(smoothed.height_sd_m), at(smoothed.height_slow_sd_m))),
            planned_m=None if planned is None else planned.height_m,
            lowest_m=None if planned is None else planned.lowest_m,
            highest_m=None if planned is None else planned.highest_m,
            altimeter_msl_m=float(altimeter),
            cas_mps=None if cas is None or not np.isfinite(cas) else cas,
            ground_speed_mps=at(smoothed.ground_speed_mps),
        )

    def _bank_sd(self) -> float:
        if self.flight.recorded.bank_rad is not None:
            return 0.0
        part = self.flight.smoothed.between(self.found.start_s, self.found.event_s)
        return float(np.median(part.bank_sd_rad))

    def _judged(
        self,
        path: FlownPath,
        gates: tuple[FlownGate, ...],
        touchdown: Touchdown | None,
        go_around: GoAround | None,
    ) -> tuple[StandardItem, ...]:
        """The standard's items with the values flown."""
        exercise = self.plan.exercise
        part = self.flight.between(self.found.start_s, self.found.event_s).smoothed
        ground_m = exercise.ground_msl_m - exercise.runway.elevation_msl_m
        height_sd_m = float(np.nanmedian(np.hypot(part.height_sd_m, part.height_slow_sd_m)))
        at_s = {gate.name: gate.time_s for gate in gates}
        is_from_abeam = GateName.HIGH_KEY not in at_s
        seen = Seen(
            plan=self.plan,
            path=path.until(self.found.event_s),
            gate_s=at_s,
            outcome=self.found.outcome,
            touchdown=touchdown,
            go_around=go_around,
            bank_sd_rad=self._bank_sd(),
            height_sd_m=height_sd_m,
            base_above_ground_m=ground_m,
        )
        return judged(self.standard.rules_for(exercise), observed(seen), is_from_abeam=is_from_abeam)

    def _engine(self) -> tuple[Finding, ...] | None:
        if self.power is None:
            return None
        return engine_care(self.flight, self.plan.exercise, self.power, self.found)

    def _not_observable(
        self, wind: WindFound | None, there: InThisWind, gates: tuple[FlownGate, ...]
    ) -> tuple[NotObservable, ...]:
        missing = []
        has_low_key = any(gate.name is GateName.LOW_KEY for gate in gates)
        if self.flight.recorded.cas_mps is None:
            missing.append(NotObservable("speed_kcas", "no-airspeed-recorded"))
        if wind is None:
            turned_little = turned_rad(self._wind_part(self._gates(None))) < LEAST_TURN_RAD
            reason = "turned-too-little" if turned_little else "too-short"
            missing.append(NotObservable("wind", reason))
            missing += [NotObservable(key, "wind-unknown") for key in ("glide", "height_in_hand", "verdict", "budget")]
        elif there.series is None:
            missing += [NotObservable(key, "wind-too-strong") for key in ("height_in_hand", "verdict", "budget")]
        elif not has_low_key:
            missing += [NotObservable(key, "no-low-key") for key in ("verdict", "budget")]
        if wind is not None and there.glide is None:
            missing.append(NotObservable("glide", "too-short"))
        if self.power is None:
            return (*missing, *(NotObservable(key, "no-power-recorded") for key in ("standin", "engine")))
        missing.append(NotObservable("engine.temperatures", "no-temperature-recorded"))
        if self.power.engine_speed_radps is None:
            missing.append(NotObservable("engine.rpm", "no-rpm-recorded"))
        if there.stand_in is None:
            missing.append(NotObservable("standin", "wind-unknown" if wind is None else "no-stand-in-configuration"))
        return tuple(missing)


@dataclass(frozen=True, slots=True)
class _Windy:
    """The part of a lesson that needs the wind."""

    lesson: Lesson
    wind: WindFound
    gates: tuple[FlownGate, ...]
    path: FlownPath
    touchdown: Touchdown | None

    def all(self) -> InThisWind:
        """Everything that depends on the wind."""
        lesson, exercise = self.lesson, self.lesson.plan.exercise
        glide_part = lesson.glide_flight()
        low_s, final_s, turn_s = self._at_s(GateName.LOW_KEY), self._at_s(GateName.FINAL), self._turn_s()
        flight = lesson.flight
        profile = self.wind.profile(flight.bearing_true_rad, flight.base_above_field_m)
        air = Air(flight.atmosphere, profile, flight.bearing_true_rad, flight.base_above_field_m)
        spans = self._spans(turn_s, float(glide_part.time_s[-1]))
        found_glide = glide_found(glide_part, self.wind, spans)
        sinks = self._sinks(glide_part, final_s)
        stand_in = self._stand_in(glide_part, sinks, spans)
        series = self._series(glide_part, Judged(low_s, turn_s, final_s))
        if series is None or low_s is None:
            return InThisWind(air, found_glide, series, stand_in=stand_in)
        polar = Polar(glide_of(exercise), pilot_limits(exercise))
        course = budget_from_low_key(glide_part, self.wind, series, polar, low_s, sinks)
        verdict = verdict_of(series)
        eas = self._mean_eas_mps(glide_part, low_s)
        causes = gate_causes(lesson.plan, self.path, self.gates, air, turn_s, eas)
        flying = self._flying_on(air, low_s)
        mending = None
        if flying is not None:
            reserve_m = exercise.reserve_m
            flown = AsFlown(self.path, self.gates, series, verdict, self.touchdown, low_s, turn_s, eas, reserve_m)
            mending = mending_of(flown, flying)
        return InThisWind(air, found_glide, series, verdict, course, causes, mending, stand_in, flying)

    def _at_s(self, name: GateName) -> float | None:
        return next((gate.time_s for gate in self.gates if gate.name is name), None)

    def _turn_s(self) -> float | None:
        """When the turn to base began, None where none was flown."""
        low, base = self._at_s(GateName.LOW_KEY), self._at_s(GateName.BASE_KEY)
        return None if low is None or base is None else turn_to_base_s(self.path, low, base)

    def _series(self, glide_part: Flight, judged_at: Judged) -> HeightInHand | None:
        lesson = self.lesson
        windows_in: RequiredHeightsIn = functools.partial(windows_there, lesson.plan, lesson.flight.atmosphere)
        try:
            return height_in_hand(glide_part, self.wind, windows_in, judged_at)
        except WindNotBelowAirspeed:
            return None

    def _flying_on(self, air: Air, low_key_s: float) -> FlyingOn | None:
        try:
            return flying_on(self.lesson.plan, air, low_key_s)
        except Refusal:
            return None

    def _mean_eas_mps(self, glide_part: Flight, low_s: float) -> float | None:
        """Mean airspeed from the low key to the final, None where none was recorded; down here CAS is EAS."""
        cas = glide_part.recorded.cas_mps
        if cas is None:
            return None
        final_s = self._at_s(GateName.FINAL)
        inside = (glide_part.time_s >= low_s) & np.isfinite(cas)
        inside &= glide_part.time_s <= (glide_part.time_s[-1] if final_s is None else final_s)
        return float(cas[inside].mean()) if inside.sum() >= 5 else None

    def _sinks(self, glide_part: Flight, final_s: float | None) -> SinksCompared | None:
        power, exercise = self.lesson.power, self.lesson.plan.exercise
        if power is None:
            return None
        return sinks_compared(glide_part, self.wind, exercise, power, np.inf if final_s is None else final_s)

    def _stand_in(self, glide_part: Flight, sinks: SinksCompared | None, spans: list[Span]) -> StandInFlown | None:
        power, exercise = self.lesson.power, self.lesson.plan.exercise
        if sinks is None or power is None:
            return None
        return stand_in_flown(sinks, exercise, spans, sink_sd_mps(glide_part, exercise, power))

    def _spans(self, turn_s: float | None, end_s: float) -> list[Span]:
        """Phases between the gates that were flown."""
        high, low = self._at_s(GateName.HIGH_KEY), self._at_s(GateName.LOW_KEY)
        final = self._at_s(GateName.FINAL)
        spans = []
        if high is not None:
            spans.append(Span(HALF_TURN, high, end_s if low is None else low))
        if low is not None:
            spans.append(Span(DOWNWIND, low, end_s if turn_s is None else turn_s))
            if turn_s is not None:
                spans.append(Span(TURN_TO_BASE, turn_s, end_s if final is None else final))
        if final is not None:
            spans.append(Span(FINAL, final, end_s))
        return spans


def _least(values: Array | None) -> float | None:
    if values is None:
        return None
    known = values[np.isfinite(values)]
    return float(known.min()) if len(known) else None
