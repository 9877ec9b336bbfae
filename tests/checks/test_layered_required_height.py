"""Table D through the layered solver of cards and debriefs, its air made of one layer, in every wind column.

The layered solver meets the final on the air heading that holds its ground track along x. Table D meets it on the air
heading 0 and drifts: the same glide, seen in a frame turned by that drift.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.checks.records import Check, assert_check, check
from tests.checks.test_required_height import AIRPLANE_B, BANK_RAD, CASES, RATIO, TAS_MPS, Place
from volplane.domain.glide.practical_height_kernel import AIR_STEP_M, required_height
from volplane.units import ft_from_m, m_from_ft, mps_from_kt

LAYERED = [
    (
        check(f"{id}-layered", f"{quantity}, layered solver", feet, "ft", 0.06, "one decimal printed", AIRPLANE_B, "C"),
        place,
        wind,
    )
    for id, quantity, place, wind, feet in CASES
]


def layered_ft(place: Place, wind_kt: tuple[float, float]) -> float:
    """Height from a place of table D, in the frame turned onto the ground track of air heading 0."""
    wind_x, wind_y = (mps_from_kt(part) for part in wind_kt)
    drift_rad = math.atan2(wind_y, TAS_MPS + wind_x)
    cosine, sine = math.cos(drift_rad), math.sin(drift_rad)

    def turned(x: float, y: float) -> tuple[float, float]:
        return x * cosine + y * sine, -x * sine + y * cosine

    straight = 1.0 / RATIO
    turning = straight * (1.0 + 1.0 / math.cos(BANK_RAD) ** 2) / 2.0
    glide = np.array([TAS_MPS, straight, 1.0, BANK_RAD, turning, 1.0, 0.0, 0.0, 0.0, 0.0])
    layers = np.arange(300) * AIR_STEP_M
    along, across = turned(wind_x, wind_y)
    table = np.column_stack([np.ones(300), along * layers, across * layers, np.full(300, along), np.full(300, across)])
    x_m, y_m = turned(m_from_ft(place[0]), m_from_ft(place[1]))
    return ft_from_m(required_height(x_m, y_m, place[2] - drift_rad, 0.0, 300.0, glide, table))


@pytest.mark.parametrize(("record", "place", "wind"), LAYERED, ids=[record.id for record, _, _ in LAYERED])
def test_one_layer_of_air_requires_the_height_computed_elsewhere(
    record: Check, place: Place, wind: tuple[float, float]
) -> None:
    assert_check(record, layered_ft(place, wind))
