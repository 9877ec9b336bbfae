"""The debrief: from a track to every exercise flown in it, against the plan, with what cannot be known said so."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.attempts import FoundAttempt, find_attempts
from volplane.domain.debrief.budget import budget_from_low_key
from volplane.domain.debrief.findings import Flown, findings_of, turn_to_base_s
from volplane.domain.debrief.flight import NEARBY_M, Flight, prepared
from volplane.domain.debrief.glide_found import DOWNWIND, FINAL, HALF_TURN, TURN_TO_BASE, Span, glide_found
from volplane.domain.debrief.in_hand import (
    BAND_90_FACTOR,
    FIFTY_FEET_M,
    Judged,
    RequiredHeightsIn,
    air_state,
    height_in_hand,
    verdict_of,
)
from volplane.domain.debrief.refusals import RecordingFarFromAirfield, RecordingWithoutAltitude
from volplane.domain.debrief.results import (
    Attempt,
    BudgetItem,
    Debrief,
    FlownGate,
    FlownPath,
    GlideEstimate,
    HeightInHand,
    NotObservable,
    Outcome,
    RecordingFacts,
    Touchdown,
)
from volplane.domain.debrief.standards import (
    BANK_BELOW_LOW_KEY,
    BREAK_OFF_BANK,
    BREAK_OFF_SPEED,
    FASTEST,
    FINAL_HEIGHT,
    GREATEST_BANK,
    SLOWEST,
    TOUCHDOWN,
    judged,
    rules_of,
)
from volplane.domain.debrief.touchdown import go_around_of, touchdown_of
from volplane.domain.debrief.wind import LEAST_TURN_RAD, WindFound, given_wind, turned_rad, wind_from_track
from volplane.domain.debrief.windows_there import windows_there
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.gates import GateCrossing, find_gates, high_keys
from volplane.domain.exercise.pilot_limits import frame_of, glide_of, pilot_limits
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.solver import solve
from volplane.domain.exercise.speeds import cas_mps_from_ias_mps
from volplane.domain.track.cleaning import cleaned
from volplane.domain.track.track import Track
from volplane.errors import WindNotBelowAirspeed

Array = NDArray[np.float64]


def debrief_track(
    track: Track,
    exercise: Exercise,
    facts: RecordingFacts,
    *,
    wind: WindProfile | None = None,
    qnh_pa: float | None = None,
    plan_of: Callable[[Exercise], Plan] = solve,
) -> Debrief:
    """Debrief a recording against an exercise.

    `facts` tells what is known of the file; the correction of the altitudes and what cleaning found are filled in here.
    `wind` fixes the wind, otherwise it is found from the flight; the exercise's wind is only the plan's. `qnh_pa` is
    the flight's altimeter setting where it is not the exercise's. `plan_of` solves the exercise for the side flown.

    :raises RecordingFarFromAirfield: no fix within 20 km of the touchdown point.
    :raises RecordingWithoutAltitude: no altitude at all.
    """
    sound, notes = cleaned(track)
    atmosphere = exercise.weather.atmosphere
    if qnh_pa is not None:
        atmosphere = replace(atmosphere, qnh_pa=qnh_pa)
    flight = prepared(sound, exercise, atmosphere)
    if flight is None:
        raise RecordingFarFromAirfield(exercise.airfield.name, _nearest_m(sound, exercise), NEARBY_M)
    if not flight.smoothed.has_height:
        raise RecordingWithoutAltitude(len(sound.time_s))
    plans = functools.cache(lambda side: plan_of(replace(exercise, pattern=side)))
    attempts = []
    for found in find_attempts(flight, exercise):
        own = prepared(sound, exercise, atmosphere, found.event_s) or flight
        attempts.append(
            _Lesson(own, found, plans(found.pattern), wind, sound.manifold_pressure_pa is not None).attempt()
        )
    return Debrief(
        replace(
            facts,
            altitude_correction_m=flight.altitude_correction_m,
            problems=(*facts.problems, *track.notes, *notes),
        ),
        tuple(attempts),
    )


def _nearest_m(track: Track, exercise: Exercise) -> float:
    x_m, y_m = frame_of(exercise).xy_m(track.latitude_deg, track.longitude_deg)
    return float(np.nanmin(np.hypot(x_m, y_m)))


@dataclass(frozen=True, slots=True)
class _Judged:
    """What depends on the wind."""

    series: HeightInHand | None
    budget: tuple[BudgetItem, ...]
    glide: GlideEstimate | None


@dataclass(frozen=True, slots=True)
class _Lesson:
    """One exercise flown, about to be looked at; nothing is kept between lessons."""

    flight: Flight
    found: FoundAttempt
    plan: Plan
    given: WindProfile | None
    has_power: bool

    def attempt(self) -> Attempt:
        """Everything that can be said of the exercise."""
        rough = self._gates(None)
        wind = self._wind(rough)
        gates = self._gates(wind)
        path = self._path(self.flight.between(self.found.start_s, self.found.end_s), wind)
        landed = self.found.outcome is Outcome.LANDED
        touchdown = touchdown_of(self.flight, self.plan.exercise, self.found, wind) if landed else None
        climbed = self.found.outcome is Outcome.WENT_AROUND
        go_around = go_around_of(self.flight, self.plan.exercise, self.found) if climbed else None
        judged_part = self._judged(wind, gates, path)
        flown_gates = tuple(self._flown_gate(gate) for gate in gates)
        has_low_key = any(gate.name is GateName.LOW_KEY for gate in gates)
        series = judged_part.series
        flown = Flown(self.plan, path, self._bank_sd(), flown_gates, series, judged_part.budget, touchdown, go_around)
        glide_part = self._glide_flight()
        return Attempt(
            start_time_s=float(path.time_s[0]),
            end_time_s=float(path.time_s[-1]),
            plan=self.plan,
            pattern=self.found.pattern,
            outcome=self.found.outcome,
            path=path,
            verdict=verdict_of(series) if series is not None and has_low_key else None,
            gates=flown_gates,
            wind=() if wind is None else wind.estimates(self.flight.bearing_true_rad),
            glide=judged_part.glide,
            height_in_hand=series,
            budget=judged_part.budget,
            touchdown=touchdown,
            go_around=go_around,
            maximum_bank_rad=_greatest_lasting(self._path(glide_part, wind).bank_rad),
            minimum_cas_mps=_least(glide_part.recorded.cas_mps),
            standard=judged(rules_of(self.plan.exercise), self._values(path, gates, touchdown), self._blur(touchdown)),
            not_observable=self._not_observable(wind, judged_part, has_low_key),
            findings=findings_of(flown),
        )

    def _glide_flight(self) -> Flight:
        """From the start to the event, less what is flown under 50 ft."""
        part = self.flight.between(self.found.start_s, self.found.glide_end_s)
        low = np.flatnonzero(part.smoothed.height_m < FIFTY_FEET_M)
        if self.found.outcome is not Outcome.LANDED or len(low) == 0 or low[0] < 3:
            return part
        return self.flight.between(self.found.start_s, float(part.time_s[low[0]]) - 0.5)

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
            time_s=smoothed.time_s,
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
        glide = self._glide_flight()
        return glide if final_s is None else glide.between(self.found.start_s, final_s)

    def _judged(self, wind: WindFound | None, gates: tuple[GateCrossing, ...], path: FlownPath) -> _Judged:
        if wind is None:
            return _Judged(None, (), None)
        glide_part = self._glide_flight()
        by_name = {gate.name: gate.time_s for gate in gates}
        low_s, turn_s = by_name.get(GateName.LOW_KEY), self._turn_s(by_name, path)
        found_glide = glide_found(glide_part, wind, self._spans(by_name, turn_s, float(glide_part.time_s[-1])))
        windows_in: RequiredHeightsIn = functools.partial(windows_there, self.plan, self.flight.atmosphere)
        try:
            series = height_in_hand(glide_part, wind, windows_in, Judged(low_s, turn_s, by_name.get(GateName.FINAL)))
        except WindNotBelowAirspeed:
            return _Judged(None, (), found_glide)
        if series is None or low_s is None:
            return _Judged(series, (), found_glide)
        exercise = self.plan.exercise
        budget = budget_from_low_key(glide_part, wind, series, glide_of(exercise), pilot_limits(exercise), low_s)
        return _Judged(series, budget, found_glide)

    def _turn_s(self, at_s: dict[GateName, float], path: FlownPath) -> float | None:
        """When the turn to base began, None where none was flown."""
        low, base = at_s.get(GateName.LOW_KEY), at_s.get(GateName.BASE_KEY)
        return None if low is None or base is None else turn_to_base_s(path, low, base)

    def _spans(self, at_s: dict[GateName, float], turn: float | None, end_s: float) -> list[Span]:
        """Phases between the gates that were flown."""
        high, low = at_s.get(GateName.HIGH_KEY), at_s.get(GateName.LOW_KEY)
        final = at_s.get(GateName.FINAL)
        spans = []
        if high is not None:
            spans.append(Span(HALF_TURN, high, end_s if low is None else low))
        if low is not None:
            spans.append(Span(DOWNWIND, low, end_s if turn is None else turn))
            if turn is not None:
                spans.append(Span(TURN_TO_BASE, turn, end_s if final is None else final))
        if final is not None:
            spans.append(Span(FINAL, final, end_s))
        return spans

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

    def _blur(self, touchdown: Touchdown | None) -> dict[str, float]:
        """How far banks and touchdown may be off: half the 90 % band of what was derived from the recording."""
        bank_rad = BAND_90_FACTOR * self._bank_sd()
        banks = dict.fromkeys((BREAK_OFF_BANK, BANK_BELOW_LOW_KEY, GREATEST_BANK), bank_rad)
        return banks if touchdown is None else {**banks, TOUCHDOWN: BAND_90_FACTOR * touchdown.x_sd_m}

    def _values(
        self, path: FlownPath, gates: tuple[GateCrossing, ...], touchdown: Touchdown | None
    ) -> dict[str, float | None]:
        """What the standards ask for, None where not observed."""
        by_name = {gate.name: gate.time_s for gate in gates}
        airborne = path.height_m > FIFTY_FEET_M
        low_s, final_s = by_name.get(GateName.LOW_KEY), by_name.get(GateName.FINAL)
        below_low_key = None
        if low_s is not None:
            below_low_key = _greatest_lasting(path.bank_rad[airborne & (path.time_s >= low_s)])
        at_break_off = _first_below(path, self.plan.exercise.break_off_height_m, low_s)
        bank_there = None if at_break_off is None else float(abs(path.bank_rad[at_break_off]))
        speed_there = slowest = fastest = None
        if path.cas_mps is not None:
            rule = self.plan.break_off
            planned_ias = rule.ias_low_mps + (rule.ias_high_mps - rule.ias_low_mps) / 3.0
            planned = cas_mps_from_ias_mps(self.plan.exercise.airplane, planned_ias)
            speed_there = None if at_break_off is None else float(path.cas_mps[at_break_off]) - planned
            until_s = final_s if final_s is not None else self.found.event_s
            gliding = path.cas_mps[(path.time_s >= self.found.start_s) & (path.time_s <= until_s)]
            best = glide_of(self.plan.exercise).best_eas_mps
            slowest, fastest = _less(_least(gliding), best), _less(_greatest(gliding), best)
        return {
            TOUCHDOWN: None if touchdown is None else touchdown.x_m,
            BREAK_OFF_SPEED: speed_there,
            BREAK_OFF_BANK: bank_there,
            FINAL_HEIGHT: None if final_s is None else float(np.interp(final_s, path.time_s, path.height_m)),
            BANK_BELOW_LOW_KEY: below_low_key,
            GREATEST_BANK: _greatest_lasting(path.bank_rad[airborne]),
            SLOWEST: slowest,
            FASTEST: fastest,
        }

    def _not_observable(
        self, wind: WindFound | None, judged_part: _Judged, has_low_key: bool
    ) -> tuple[NotObservable, ...]:
        missing = []
        if self.flight.recorded.cas_mps is None:
            missing.append(NotObservable("speed_kcas", "no-airspeed-recorded"))
        if wind is None:
            turned_little = turned_rad(self._wind_part(self._gates(None))) < LEAST_TURN_RAD
            reason = "turned-too-little" if turned_little else "too-short"
            missing += [NotObservable("wind", reason), NotObservable("glide", "wind-unknown")]
            missing += [NotObservable("height_in_hand", "wind-unknown"), NotObservable("verdict", "wind-unknown")]
        elif judged_part.series is None:
            missing += [NotObservable(key, "wind-too-strong") for key in ("height_in_hand", "verdict")]
        elif not has_low_key:
            missing.append(NotObservable("verdict", "no-low-key"))
        if wind is not None and judged_part.glide is None:
            missing.append(NotObservable("glide", "too-short"))
        if not self.has_power:
            missing += [NotObservable(key, "no-power-recorded") for key in ("standin", "engine")]
        return tuple(missing)


def _first_below(path: FlownPath, height_m: float, from_s: float | None) -> int | None:
    """Index of the first sample below a height from a time on."""
    if from_s is None:
        return None
    below = np.flatnonzero((path.time_s >= from_s) & (path.height_m <= height_m))
    return int(below[0]) if len(below) else None


def _greatest(values: Array) -> float | None:
    known = np.abs(values[np.isfinite(values)])
    return float(known.max()) if len(known) else None


def _greatest_lasting(values: Array) -> float | None:
    """Greatest absolute value that lasts: of means over three samples, so that scatter does not make a record."""
    if len(values) < 3:
        return _greatest(values)
    return _greatest(np.convolve(values, np.full(3, 1.0 / 3.0), mode="valid"))


def _least(values: Array | None) -> float | None:
    if values is None:
        return None
    known = values[np.isfinite(values)]
    return float(known.min()) if len(known) else None


def _less(value: float | None, from_value: float) -> float | None:
    return None if value is None else value - from_value
