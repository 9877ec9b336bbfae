"""What a plan says: gates with windows, phases, path, ledger, findings. SI values; the faces write the document."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from volplane.domain.exercise.dispersion_results import Dispersion
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.finding import Finding
from volplane.domain.geometry.airfield import Side
from volplane.domain.glide.flight_path import FlightPath


@dataclass(frozen=True, slots=True)
class PlannedGate:
    """A gate: where it lies, what the altimeter reads there, and its window.

    Heights are true heights above the touchdown point. `required_m` is the practical required height, `lowest_m` adds
    the reserve, `highest_m` is the highest that can still be lost. `heading_true_rad` is where the nose points,
    `track_true_rad` the path over the ground. `altimeter_*_msl_m` are readings on today's setting.
    """

    name: GateName
    height_m: float
    altimeter_msl_m: float
    required_m: float
    lowest_m: float
    highest_m: float
    altimeter_lowest_msl_m: float
    altimeter_highest_msl_m: float
    x_m: float
    y_m: float
    latitude_deg: float
    longitude_deg: float
    heading_true_rad: float
    heading_magnetic_rad: float
    track_true_rad: float
    time_s: float
    ias_mps: float


@dataclass(frozen=True, slots=True)
class Phase:
    """One line of the phase table: from where, at which indicated airspeed, and what is done for real and as flown.

    `real` and `flown` are codes with quantities, put into words by the faces.
    """

    name: str
    start: str
    ias_mps: float
    real: str
    flown: str
    manifold_pressure_from_pa: float | None = None
    manifold_pressure_to_pa: float | None = None


@dataclass(frozen=True, slots=True)
class LedgerItem:
    """Where a part of the entry height goes; the items of a plan add up to the entry height."""

    item: str
    height_m: float


@dataclass(frozen=True, slots=True)
class FinePitchGate:
    """What a gate needs with the propeller in fine pitch from there on.

    `required_m` is the practical required height, `lowest_m` adds the reserve; `in_hand_m` is the planned height less
    the required one, negative where the plan would not come out.
    """

    name: GateName
    required_m: float
    lowest_m: float
    altimeter_lowest_msl_m: float
    in_hand_m: float


@dataclass(frozen=True, slots=True)
class FinePitch:
    """No oil pressure: the propeller goes to, or is stuck in, fine pitch. Extra height the glide needs, and the gates.

    `is_estimate` says that nobody has measured what fine pitch costs this airplane.
    """

    extra_to_low_key_m: float
    extra_to_touchdown_m: float
    is_estimate: bool = True
    gates: tuple[FinePitchGate, ...] = ()


@dataclass(frozen=True, slots=True)
class BreakOff:
    """At this height the picture must be right, or the exercise is a go-around."""

    height_m: float
    altimeter_msl_m: float
    ias_low_mps: float
    ias_high_mps: float
    bank_rad: float


@dataclass(frozen=True, slots=True)
class Binding:
    """The limit that makes the exercise impossible as wished."""

    code: str
    quantities: Mapping[str, float | str]


@dataclass(frozen=True, slots=True)
class Lever:
    """The smallest change of one input that makes the exercise possible; `key` is the key of the exercise file.

    `quantity` tells what `now` and `needed` are in SI: "length_m", "angle_rad", "speed_mps" or "mass_kg".
    """

    key: str
    now: float
    needed: float
    quantity: str


@dataclass(frozen=True, slots=True)
class TurnSummary:
    """A turn of the plan: mean ground radius and the bank over it."""

    radius_m: float
    mean_bank_rad: float
    least_bank_rad: float
    greatest_bank_rad: float
    duration_s: float


@dataclass(frozen=True, slots=True)
class Circles:
    """Whole circles before the high key: how many, and the turn over all of them."""

    count: int
    turn: TurnSummary


@dataclass(frozen=True, slots=True)
class Legs:
    """The plan over the ground, in metres: upwind, offset of the downwind line, downwind past abeam, base, final.

    `turn_no_later_x_m` is the x at which the turn to base must have begun lest the reserve is gone; None if nowhere.
    """

    upwind_m: float
    low_key_offset_m: float
    downwind_m: float
    downwind_time_s: float
    base_m: float
    final_m: float
    aim_point_x_m: float
    fifty_foot_x_m: float
    turn_no_later_x_m: float | None
    first_turn: TurnSummary
    base_turn: TurnSummary
    circles: Circles | None = None


@dataclass(frozen=True, slots=True)
class WayFromGate:
    """Height a way to lose height costs from a gate on beyond the plan; None where it is not offered, and why.

    `flown_m` is as flown in the stand-in, `real_m` with a dead engine. The reasons are words of `ways.WhyNot`.
    """

    gate: GateName
    way: str
    flown_m: float | None
    real_m: float | None
    flown_why_not: str | None = None
    real_why_not: str | None = None


@dataclass(frozen=True, slots=True)
class LegSpeed:
    """The indicated airspeed that carries farthest on a straight leg, and what the rule of thumb says.

    `tailwind_mps` is along the track, a headwind negative.
    """

    leg: str
    tailwind_mps: float
    farthest_ias_mps: float
    rule_ias_mps: float


@dataclass(frozen=True, slots=True)
class ComparedRunway:
    """The same exercise on one runway end and side: what speaks for and against it.

    Winds are at the field: `headwind_mps` of the mean wind, negative a tailwind; `crosswind_gust_mps` with the
    strongest gust. `in_hand_m` is the least height in hand over the lowest height of a gate, None without a gate.
    `stops` and `cautions` are codes of findings; `refusal` is the code where the wind or a bank forbids any plan.
    """

    runway: str
    pattern: Side
    is_feasible: bool
    is_published_side: bool
    headwind_mps: float
    crosswind_gust_mps: float
    in_hand_m: float | None
    stops: tuple[str, ...]
    cautions: tuple[str, ...]
    refusal: str | None = None
    is_recommended: bool = False


@dataclass(frozen=True, slots=True)
class Plan:
    """A solved exercise. An infeasible one carries the path that comes nearest, the binding limit and the levers."""

    exercise: Exercise
    feasible: bool
    gates: tuple[PlannedGate, ...]
    phases: tuple[Phase, ...]
    path: FlightPath
    legs: Legs
    ledger: tuple[LedgerItem, ...]
    surplus_m: float
    fine_pitch: FinePitch | None
    touchdown_x_m: float
    touchdown_time_s: float
    break_off: BreakOff
    findings: tuple[Finding, ...]
    binding: Binding | None = None
    levers: tuple[Lever, ...] = ()
    dispersion: Dispersion | None = None
    comparison: tuple[ComparedRunway, ...] = ()
    ways: tuple[WayFromGate, ...] = ()
    leg_speeds: tuple[LegSpeed, ...] = ()

    @property
    def ends_in_go_around(self) -> bool:
        """Whether the path ends in a go-around over a practice floor instead of a touchdown."""
        return self.exercise.flies_to_practice_floor

    def gate(self, name: GateName) -> PlannedGate | None:
        """The gate of that name, None when the shape lacks it."""
        return next((gate for gate in self.gates if gate.name is name), None)
