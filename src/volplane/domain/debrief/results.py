"""What a debrief says, as SI values; the faces write the document and the sentences."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import Plan
from volplane.domain.finding import Finding
from volplane.domain.geometry.airfield import Side
from volplane.domain.glide.guided_flight import Air

Array = NDArray[np.float64]


class Outcome(StrEnum):
    """How an exercise ended."""

    LANDED = "landed"
    WENT_AROUND = "went around"
    DISCONTINUED = "discontinued"
    NOT_RECORDED_TO_THE_END = "not recorded to the end"


class VerdictText(StrEnum):
    """Would a dead engine have made it; decided by a 90 % band, never by a bare sign."""

    MADE_IT = "made it"
    TOO_CLOSE_TO_CALL = "too close to call"
    WOULD_NOT_HAVE_MADE_IT = "would not have made it"


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdict with the height in hand it rests on (the least from the low key on) and its standard deviation."""

    text: VerdictText
    in_hand_m: float
    sd_m: float
    time_s: float


@dataclass(frozen=True, slots=True)
class FlownGate:
    """A gate as flown against the plan; None is not observable."""

    name: GateName
    time_s: float
    x_m: float
    y_m: float
    height_m: float
    height_sd_m: float
    planned_m: float | None
    lowest_m: float | None
    highest_m: float | None
    altimeter_msl_m: float
    cas_mps: float | None
    ground_speed_mps: float | None

    @property
    def is_within(self) -> bool | None:
        """Whether the height lay in the gate's window; None without a plan."""
        if self.lowest_m is None or self.highest_m is None:
            return None
        return self.lowest_m <= self.height_m <= self.highest_m


@dataclass(frozen=True, slots=True)
class WindEstimate:
    """Wind found from the flight at one height above the touchdown point; `sd_mps` per component."""

    height_m: float
    from_true_rad: float
    speed_mps: float
    sd_mps: float


@dataclass(frozen=True, slots=True)
class PhaseGlide:
    """The glide through the air over one phase, energy corrected; `cas_mps` None without recorded airspeed."""

    phase: str
    ratio: float
    ratio_sd: float
    sink_mps: float
    cas_mps: float | None


@dataclass(frozen=True, slots=True)
class GlideEstimate:
    """The glide through the air from the high key to the final, energy corrected, and by phase.

    The ratio is air distance by height lost, whatever the turns; `cas_mps` None without recorded airspeed.
    """

    ratio: float
    ratio_sd: float
    sink_mps: float
    cas_mps: float | None
    by_phase: tuple[PhaseGlide, ...]


@dataclass(frozen=True, slots=True)
class HeightInHand:
    """Height in hand and room above along the flight; arrays (n,), NaN where they are not known.

    Times count from the track's start like every `time_s` of a debrief. `sd_m` is one standard deviation.
    """

    time_s: Array
    height_m: Array
    in_hand_m: Array
    sd_m: Array
    room_above_m: Array
    minimum_m: float
    minimum_time_s: float
    first_negative_time_s: float | None


@dataclass(frozen=True, slots=True)
class FlownPath:
    """The smoothed flight in the runway frame of the runway flown; arrays (n,). `cas_mps` None if not observable."""

    time_s: Array
    x_m: Array
    y_m: Array
    height_m: Array
    track_rad: Array
    ground_speed_mps: Array
    vertical_speed_mps: Array
    bank_rad: Array
    cas_mps: Array | None

    def until(self, time_s: float) -> FlownPath:
        """The path up to a time, that second included."""
        inside = self.time_s <= time_s + 1e-9
        cas = None if self.cas_mps is None else self.cas_mps[inside]
        known = {name: getattr(self, name)[inside] for name in FlownPath.__dataclass_fields__ if name != "cas_mps"}
        return FlownPath(**known, cas_mps=cas)


@dataclass(frozen=True, slots=True)
class Touchdown:
    """Where the wheels met the runway, along it from the touchdown point (beyond it positive) and left of the line."""

    x_m: float
    x_sd_m: float
    y_m: float
    time_s: float
    sink_mps: float | None


@dataclass(frozen=True, slots=True)
class GoAround:
    """The lowest height of the exercise and the start of the sustained climb."""

    height_m: float
    time_s: float
    is_timely: bool


@dataclass(frozen=True, slots=True)
class BudgetItem:
    """A cause and the height in hand it took (negative) or gave, from the low key on."""

    cause: str
    height_m: float


@dataclass(frozen=True, slots=True)
class BudgetCourse:
    """The budget second by second from the low key on; arrays (n,), heights added up since the low key.

    `in_hand_m` is the change of the height in hand, `by_cause_m` the part of each cause in the order of `causes`: at
    every second the parts add up to the change.
    """

    time_s: Array
    in_hand_m: Array
    causes: tuple[str, ...]
    by_cause_m: tuple[Array, ...]


@dataclass(frozen=True, slots=True)
class GateCauses:
    """Why a gate was passed higher (positive) or lower than planned; the causes add up to `off_m`."""

    gate: GateName
    off_m: float
    causes: tuple[BudgetItem, ...]


@dataclass(frozen=True, slots=True)
class Remedy:
    """One action that would have mended it, flown by the integrator from the second it went wrong, or later.

    `time_s` is when it had to be begun. `change_s` is how much later than flown, negative earlier, where the action is
    a matter of time. `worth_m` is the height it wins, or loses where the exercise was high. `is_enough` tells whether
    it mends alone.
    """

    action: str
    time_s: float
    worth_m: float
    is_enough: bool
    change_s: float | None = None
    speed_mps: float | None = None


@dataclass(frozen=True, slots=True)
class Mending:
    """When it first went wrong, by how much it would have ended off, and what would have mended it, best first.

    `off_m` is the height missing at the final, or too much there, with the pattern flown on as it was. `gate` is the
    gate from which on it was off, None where it went wrong between gates.
    """

    time_s: float
    is_high: bool
    off_m: float
    gate: GateName | None
    remedies: tuple[Remedy, ...]


@dataclass(frozen=True, slots=True)
class StandInPhase:
    """One phase with power: sink of the dead engine at the speeds and banks flown, and of the stand-in as recorded.

    `height_error_m` is what the stand-in loses more over the phase; negative where it loses less.
    `manifold_pressure_pa` is the mean one recorded. `is_engine_idling` tells that it was taken to brake, throttle shut.
    """

    phase: str
    duration_s: float
    manifold_pressure_pa: float
    real_sink_mps: float
    stand_in_sink_mps: float
    height_error_m: float
    is_engine_idling: bool = False


@dataclass(frozen=True, slots=True)
class StandInFlown:
    """How honest the stand-in was: phase by phase, with the spread of its sink by the model of the engine."""

    configuration: str
    phases: tuple[StandInPhase, ...]
    sink_sd_mps: float


@dataclass(frozen=True, slots=True)
class StandardItem:
    """One item of a standard: its limit in SI, the value flown, and whether it was met; None is not observable.

    `reason` is the code of why it was not judged. An item `is_for_information` belongs to another exercise than the one
    flown: its value is told and counts for nothing.
    """

    item: str
    limit_low: float | None
    limit_high: float | None
    value: float | None
    quantity: str
    is_met: bool | None
    source: str
    reason: str | None = None
    is_for_information: bool = False


class MarkerKind(StrEnum):
    """What is marked on board."""

    POWER_OFF = "power off"
    GEAR = "gear"
    MY_AIRPLANE = "my airplane"


@dataclass(frozen=True, slots=True)
class Marker:
    """Something marked during the flight, at a second of the recording."""

    time_s: float
    kind: MarkerKind


@dataclass(frozen=True, slots=True)
class NotObservable:
    """A key of the document that this recording cannot answer, and the code of the reason."""

    key: str
    reason: str


@dataclass(frozen=True, slots=True)
class Attempt:
    """One exercise flown. All `time_s` count from the track's start.

    `circles` counts the whole circles flown gliding before the high key, `power_off_time_s` is None where no channel
    shows it. `air` is the air it was flown in as found, None where no wind was found. `engine` is None where nothing of
    the engine was recorded, empty where nothing stands out.
    """

    start_time_s: float
    end_time_s: float
    plan: Plan
    pattern: Side
    outcome: Outcome
    path: FlownPath
    verdict: Verdict | None
    gates: tuple[FlownGate, ...]
    wind: tuple[WindEstimate, ...]
    glide: GlideEstimate | None
    height_in_hand: HeightInHand | None
    budget: tuple[BudgetItem, ...]
    touchdown: Touchdown | None
    go_around: GoAround | None
    maximum_bank_rad: float | None
    minimum_cas_mps: float | None
    standard: tuple[StandardItem, ...]
    not_observable: tuple[NotObservable, ...]
    findings: tuple[Finding, ...]
    air: Air | None = None
    budget_course: BudgetCourse | None = None
    causes: GateCauses | None = None
    mending: Mending | None = None
    stand_in: StandInFlown | None = None
    engine: tuple[Finding, ...] | None = None
    circles: int = 0
    power_off_time_s: float | None = None
    standard_name: str = "lesson"
    markers: tuple[Marker, ...] = ()

    def gate(self, name: GateName) -> FlownGate | None:
        """The flown gate of that name, None when it was not flown."""
        return next((gate for gate in self.gates if gate.name is name), None)


@dataclass(frozen=True, slots=True)
class RecordingFacts:
    """What is known of the recording itself."""

    sha256: str
    format: str
    start_unix_s: float
    end_unix_s: float
    fixes: int
    altitude_source: str
    altitude_correction_m: float
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Debrief:
    """The debrief of a recording: the recording's facts and every exercise found in it."""

    recording: RecordingFacts
    attempts: tuple[Attempt, ...]
