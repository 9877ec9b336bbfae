"""The polar: drag in parts of weight against equivalent airspeed, for any weight, load factor and configuration.

The curve f(V) is drag to weight at one g and the reference weight. An airplane at the same lift coefficient has the
same ratio of drag to lift, so D/W(n, V) = n f(V / sqrt n), and another weight shifts every speed by sqrt(W / W_ref).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import ClassVar, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.isa import SEA_LEVEL_DENSITY_KGPM3
from volplane.domain.glide.configuration import Configuration
from volplane.errors import Refusal

# numbers of different units in one row, as `GlideModel.kernel_table` lays them out
KernelTable: TypeAlias = NDArray[np.float64]


class GlideModel(Protocol):
    """How the airplane glides; implemented by the two-number parabola and by a measured curve."""

    @property
    def reference_weight_kg(self) -> float:
        """Weight at which the stated speeds hold."""
        ...

    @property
    def best_eas_mps(self) -> float:
        """Equivalent airspeed of the best glide at the reference weight."""
        ...

    @property
    def best_ratio(self) -> float:
        """Best glide ratio in still air, the same at every weight."""
        ...

    def at_weight(self, weight_kg: float) -> GlideModel:
        """The same airplane with `weight_kg` as its reference weight."""
        ...

    def drag_to_weight(self, eas_mps: float, load_factor: float, configuration: Configuration) -> float:
        """Drag less thrust in parts of weight at a load factor (lift in parts of weight) at the reference weight."""
        ...

    def kernel_table(self) -> KernelTable:
        """The curve as compiled kernels read it: best EAS, best ratio, first speed, step, f at equal steps.

        Only the first two entries for the parabola.
        """
        ...


class PolarNotSensible(Refusal):
    """Figures of a glide that no airplane can have: not finite, not positive, or a ratio that is no glide."""

    code = "polar-not-sensible"

    def __init__(self, quantity: str, value_si: float, least_si: float) -> None:
        super().__init__(f"{quantity} is {value_si:g}; it must be finite and above {least_si:g}")
        self.quantity = quantity
        self.value_si = value_si
        self.least_si = least_si


class MeasuredSpeedsTooFew(Refusal):
    """A measured curve needs several different speeds."""

    code = "measured-speeds-too-few"

    def __init__(self, speeds_count: int, least_count: int) -> None:
        super().__init__(f"{speeds_count} different speeds were measured, at least {least_count} are needed")
        self.speeds_count = speeds_count
        self.least_count = least_count


class BestGlideNotCovered(Refusal):
    """The drag still falls at the slowest or the fastest speed measured, so the best glide lies outside them."""

    code = "best-glide-not-covered"

    def __init__(self, edge_eas_mps: float, slowest_eas_mps: float, fastest_eas_mps: float) -> None:
        super().__init__(
            f"the best glide lies beyond {edge_eas_mps:.1f} m/s; measured were {slowest_eas_mps:.1f} m/s to "
            f"{fastest_eas_mps:.1f} m/s"
        )
        self.edge_eas_mps = edge_eas_mps
        self.slowest_eas_mps = slowest_eas_mps
        self.fastest_eas_mps = fastest_eas_mps


@dataclass(frozen=True, slots=True)
class ParabolaPolar:
    """The two-number glide: parabolic drag polar through best speed and best ratio of the handbook.

    D/W(n, V) = ((1 + a_c) (V/V*)^2 + b_c n^2 (V*/V)^2) / (2E); clean, dead engine and propeller coarse is a_c = 0 and
    b_c = 1. Needs no wing area. Within 1 to 5 % on an airplane whose polar is nearly parabolic when fitted over the
    speeds flown (Lowry, Performance of Light Aircraft, AIAA 1999, chapter 9).

    :raises PolarNotSensible: a weight, speed or ratio that is not positive and finite.
    """

    reference_weight_kg: float
    best_eas_mps: float
    best_ratio: float

    def __post_init__(self) -> None:
        _refuse_unless_above("weight", self.reference_weight_kg, 0.0)
        _refuse_unless_above("best glide speed", self.best_eas_mps, 0.0)
        _refuse_unless_above("glide ratio", self.best_ratio, 1.0)

    def at_weight(self, weight_kg: float) -> ParabolaPolar:
        """The same airplane at another weight: every speed goes with the root of the weight, the ratio stays."""
        _refuse_unless_above("weight", weight_kg, 0.0)
        scale = float((weight_kg / self.reference_weight_kg) ** 0.5)
        return ParabolaPolar(weight_kg, self.best_eas_mps * scale, self.best_ratio)

    def drag_to_weight(self, eas_mps: float, load_factor: float, configuration: Configuration) -> float:
        """Drag less thrust in parts of weight; thrust is that at sea-level density, where EAS and TAS are one."""
        speed_squared = (eas_mps / self.best_eas_mps) ** 2
        parasite = (1.0 + configuration.extra_drag_factor) * speed_squared
        induced = configuration.induced_factor * load_factor * load_factor / speed_squared
        return (parasite + induced) / (2.0 * self.best_ratio) - configuration.thrust_power_per_weight_mps / eas_mps

    def covers(self, eas_mps: float, load_factor: float = 1.0) -> bool:
        """Always: two numbers say nothing about the speeds they hold for."""
        return eas_mps > 0.0 and load_factor >= 0.0

    def kernel_table(self) -> KernelTable:
        """Best EAS and best ratio."""
        return np.array([self.best_eas_mps, self.best_ratio])


@dataclass(frozen=True, slots=True)
class MeasuredPolar:
    """A measured glide: drag to weight at one g and the reference weight, at several speeds; clean and dead engine.

    `eas_mps` and `drag_to_weight_factor` are (n,), n >= 3 different speeds in any order. Between the points f V^2 runs
    as a monotone cubic of V^4 (slopes after Fritsch and Butland 1984), a straight line for a parabolic polar, so an
    airplane that has one is met exactly; kernels read it at 96 equal steps. Outside the speeds measured, `covers` says
    no and the curve goes on as the parabola through the best point, scaled to meet the last point.

    :raises PolarNotSensible: a number that is not positive and finite.
    :raises MeasuredSpeedsTooFew: fewer than three different speeds.
    :raises BestGlideNotCovered: the least drag is at the first or last speed.
    """

    LEAST_POINTS: ClassVar[int] = 3
    TABLE_STEPS: ClassVar[int] = 96

    reference_weight_kg: float
    eas_mps: tuple[float, ...]
    drag_to_weight_factor: tuple[float, ...]
    best_eas_mps: float = field(init=False)
    best_ratio: float = field(init=False)
    _table: KernelTable = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        _refuse_unless_above("weight", self.reference_weight_kg, 0.0)
        if len(self.eas_mps) != len(self.drag_to_weight_factor):
            raise ValueError(f"{len(self.eas_mps)} speeds, {len(self.drag_to_weight_factor)} drags")
        for speed, drag in zip(self.eas_mps, self.drag_to_weight_factor, strict=True):
            _refuse_unless_above("measured speed", float(speed), 0.0)
            _refuse_unless_above("measured drag to weight", float(drag), 0.0)
        points = sorted(zip(map(float, self.eas_mps), map(float, self.drag_to_weight_factor), strict=True))
        object.__setattr__(self, "eas_mps", tuple(speed for speed, _ in points))
        object.__setattr__(self, "drag_to_weight_factor", tuple(drag for _, drag in points))
        if len(set(self.eas_mps)) < len(points) or len(points) < self.LEAST_POINTS:
            raise MeasuredSpeedsTooFew(len(set(self.eas_mps)), max(self.LEAST_POINTS, len(points)))
        self._find_best()

    def _find_best(self) -> None:
        """Best point of the curve on a fine grid, refined by the parabola through it and its neighbours."""
        speeds = np.linspace(self.eas_mps[0], self.eas_mps[-1], 4001)
        drags = _curve(speeds, np.array(self.eas_mps), np.array(self.drag_to_weight_factor))
        at = int(np.argmin(drags))
        if at in (0, len(speeds) - 1):
            raise BestGlideNotCovered(float(speeds[at]), self.eas_mps[0], self.eas_mps[-1])
        before, here, after = drags[at - 1 : at + 2]
        bend = before - 2.0 * here + after
        shift = 0.5 * (before - after) / bend if bend > 0.0 else 0.0
        object.__setattr__(self, "best_eas_mps", float(speeds[at] + shift * (speeds[1] - speeds[0])))
        object.__setattr__(self, "best_ratio", float(1.0 / (here - 0.25 * (before - after) * shift)))
        even = np.linspace(self.eas_mps[0], self.eas_mps[-1], self.TABLE_STEPS + 1)
        curve = _curve(even, np.array(self.eas_mps), np.array(self.drag_to_weight_factor))
        table = np.concatenate([[self.best_eas_mps, self.best_ratio, even[0], even[1] - even[0]], curve])
        table.flags.writeable = False
        object.__setattr__(self, "_table", table)

    @classmethod
    def from_glides(
        cls,
        reference_weight_kg: float,
        eas_mps: Sequence[float],
        sink_mps: Sequence[float],
        density_kgpm3: float = SEA_LEVEL_DENSITY_KGPM3,
    ) -> MeasuredPolar:
        """A polar from steady straight glides at the reference weight, sinks true ones in air of one density.

        Exact, not for small angles: sin gamma = sink / TAS = D/W and the wings carry cos gamma, so the point belongs to
        f = tan gamma at the speed V / sqrt(cos gamma). The small-angle form takes f = sink / TAS at V, and makes the
        drag of a 6 to 1 glide 1.4 % too low.

        :raises PolarNotSensible: a sink not below the airspeed, besides those of the class.
        """
        speeds, drags = [], []
        to_eas = (density_kgpm3 / SEA_LEVEL_DENSITY_KGPM3) ** 0.5
        for eas, sink in zip(eas_mps, sink_mps, strict=True):
            _refuse_unless_above("measured speed", eas, 0.0)
            _refuse_unless_above("airspeed of a measured glide", eas / to_eas, sink)
            sine = sink * to_eas / eas
            cosine = (1.0 - sine * sine) ** 0.5
            speeds.append(eas / cosine**0.5)
            drags.append(sine / cosine)
        return cls(reference_weight_kg, tuple(speeds), tuple(drags))

    def at_weight(self, weight_kg: float) -> MeasuredPolar:
        """The same airplane at another weight: every speed goes with the root of the weight, the drags stay."""
        _refuse_unless_above("weight", weight_kg, 0.0)
        scale = float((weight_kg / self.reference_weight_kg) ** 0.5)
        return MeasuredPolar(weight_kg, tuple(speed * scale for speed in self.eas_mps), self.drag_to_weight_factor)

    def drag_to_weight(self, eas_mps: float, load_factor: float, configuration: Configuration) -> float:
        """Drag less thrust in parts of weight; thrust is that at sea-level density, where EAS and TAS are one."""
        from volplane.domain.glide.polar_kernel import drag_to_weight

        drag = drag_to_weight(
            eas_mps, load_factor, self._table, configuration.extra_drag_factor, configuration.induced_factor
        )
        return float(drag) - configuration.thrust_power_per_weight_mps / eas_mps

    def covers(self, eas_mps: float, load_factor: float = 1.0) -> bool:
        """Whether the lift coefficient of this speed and load factor was measured; outside, the curve is a guess."""
        same_lift_mps = eas_mps / max(load_factor, 1e-9) ** 0.5
        return bool(self.eas_mps[0] <= same_lift_mps <= self.eas_mps[-1])

    def kernel_table(self) -> KernelTable:
        """Best EAS, best ratio, first speed, step, then f at equal steps; read-only."""
        return self._table


def implied_sink_mps(glide: GlideModel, density_kgpm3: float = SEA_LEVEL_DENSITY_KGPM3) -> float:
    """Sink that a best glide speed and ratio imply in still air of a density, exactly: V sin(atan(1/E))."""
    tas_mps = glide.best_eas_mps * (SEA_LEVEL_DENSITY_KGPM3 / density_kgpm3) ** 0.5
    return float(tas_mps / (1.0 + glide.best_ratio**2) ** 0.5)


def _refuse_unless_above(quantity: str, value_si: float, least_si: float) -> None:
    if not least_si < value_si < float("inf"):
        raise PolarNotSensible(quantity, value_si, least_si)


def _curve(
    eas_mps: NDArray[np.float64], point_eas_mps: NDArray[np.float64], point_drag_factor: NDArray[np.float64]
) -> NDArray[np.float64]:
    """f at speeds (m,) inside those of the points (n,): f V^2 as a monotone cubic of V^4."""
    knots, values = point_eas_mps**4, point_drag_factor * point_eas_mps**2
    width, rise = np.diff(knots), np.diff(values)
    secant = rise / width
    slope = np.empty_like(knots)
    slope[0], slope[-1] = secant[0], secant[-1]
    for i in range(1, len(knots) - 1):
        left, right = secant[i - 1], secant[i]
        if left * right <= 0.0:
            slope[i] = 0.0  # a turning point stays one
        else:
            heavy, light = 2.0 * width[i] + width[i - 1], width[i] + 2.0 * width[i - 1]
            slope[i] = (heavy + light) / (heavy / left + light / right)
    at = eas_mps**4
    cell = np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2)
    part = (at - knots[cell]) / width[cell]
    square, cube = part**2, part**3
    bent = values[cell] + rise[cell] * (3.0 * square - 2.0 * cube)
    bent += width[cell] * (slope[cell] * (cube - 2.0 * square + part) + slope[cell + 1] * (cube - square))
    return np.asarray(bent / eas_mps**2, dtype=np.float64)
