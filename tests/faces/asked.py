"""What is asked of the hand-made plan: other runways, ways to lose height, many flights. Invented, but of one piece."""

from __future__ import annotations

from volplane.domain.exercise.dispersion_results import (
    Dispersion,
    GateSpread,
    GoAroundReason,
    GoArounds,
    Sensitivity,
)
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import ComparedRunway, WayFromGate
from volplane.domain.exercise.uncertainties import Source
from volplane.domain.exercise.ways import WayName, WhyNot
from volplane.domain.geometry.airfield import Side
from volplane.units import m_from_ft, mps_from_kt


def comparison() -> tuple[ComparedRunway, ...]:
    """Four: a runway with the wind, the same without it; the best is the third."""
    with_wind = {"headwind_mps": mps_from_kt(8.0), "crosswind_gust_mps": mps_from_kt(3.0)}
    against = {"headwind_mps": mps_from_kt(-8.0), "crosswind_gust_mps": mps_from_kt(3.0)}
    return (
        ComparedRunway(
            "07", Side.LEFT, True, True, **against, in_hand_m=m_from_ft(40.0), stops=("tailwind",), cautions=()
        ),
        ComparedRunway("07", Side.RIGHT, False, False, **against, in_hand_m=None, stops=("impossible",), cautions=()),
        ComparedRunway(
            "25",
            Side.LEFT,
            True,
            True,
            **with_wind,
            in_hand_m=m_from_ft(120.0),
            stops=(),
            cautions=("nothing-to-spare",),
            is_recommended=True,
        ),
        ComparedRunway(
            "25",
            Side.RIGHT,
            True,
            False,
            **with_wind,
            in_hand_m=m_from_ft(110.0),
            stops=(),
            cautions=("crosswind", "gusts"),
        ),
    )


def ways() -> tuple[WayFromGate, ...]:
    """Gear used up in the stand-in, and no room left for a wider turn on final."""
    found = []
    for gate, share in (
        (GateName.HIGH_KEY, 1.0),
        (GateName.LOW_KEY, 0.6),
        (GateName.BASE_KEY, 0.3),
        (GateName.FINAL, 0.1),
    ):
        real_m = m_from_ft(500.0 * share)
        found.append(WayFromGate(gate, WayName.GEAR, None, real_m, WhyNot.USED_UP))
        found.append(WayFromGate(gate, WayName.FASTER, m_from_ft(120.0 * share), m_from_ft(90.0 * share)))
        wider_m = None if gate is GateName.FINAL else m_from_ft(200.0 * share)
        why = WhyNot.NO_ROOM if wider_m is None else None
        found.append(WayFromGate(gate, WayName.WIDER, wider_m, wider_m, why, why))
    return tuple(found)


def dispersion(runs: int, seed: int) -> Dispersion:
    """Most in the zone, one in a hundred short, a few around again."""
    spread = tuple(m_from_ft(value) for value in (-150.0, -20.0, 60.0, 140.0, 420.0))
    heights = tuple(m_from_ft(value) for value in (1300.0, 1420.0, 1500.0, 1570.0, 1690.0))
    return Dispersion(
        runs=runs,
        seed=seed,
        short_of_runway_fraction=0.01,
        before_zone_fraction=0.2,
        in_zone_fraction=0.6,
        long_fraction=0.09,
        go_around_fraction=0.1,
        mean_x_m=m_from_ft(80.0),
        sd_x_m=m_from_ft(160.0),
        percentile_x_m=spread,
        gates=(GateSpread(GateName.LOW_KEY, m_from_ft(1500.0), m_from_ft(120.0), heights, 1.0),),
        go_arounds=(GoArounds(GoAroundReason.SHORT, 0.1),),
        sensitivities=(Sensitivity(next(iter(Source)), 0.4, m_from_ft(120.0), 0.005, 0.08),),
    )
