"""What the shape of an exercise asks of its file: where it begins, and the heights that go without saying."""

from __future__ import annotations

import math
from dataclasses import dataclass

from volplane.adapters.toml.airfield import read_position
from volplane.adapters.toml.tables import Table
from volplane.domain.exercise.exercise import ShapeName
from volplane.domain.geometry.airfield import Runway
from volplane.domain.geometry.local_frame import LocalFrame
from volplane.services.quantities import DISTANCE, write_quantity
from volplane.units import FOOT_M, NAUTICAL_MILE_M

# FAA Airplane Flying Handbook: the 180 begins at 1,000 ft or below, abeam the spot; the base key lies at some 800 ft
USUAL_ENTRY_HEIGHT_M = {ShapeName.POWER_OFF_180: 1000.0 * FOOT_M, ShapeName.NINETY_DEGREES: 800.0 * FOOT_M}
# nothing glides farther from the heights this file accepts (ours)
FARTHEST_START_M = 40.0 * NAUTICAL_MILE_M


@dataclass(frozen=True, slots=True)
class ShapeWishes:
    """The shape, where an en-route one begins, and the two heights that depend on the shape."""

    shape: ShapeName
    start_position_deg: tuple[float, float] | None
    entry_height_m: float
    low_key_height_m: float


def read_shape(top: Table, runway: Runway | None) -> ShapeWishes:
    """The shape of an exercise file with what belongs to it; what does not fit is filed."""
    shape = ShapeName(top.text("shape") or ShapeName.OVERHEAD)
    entry_m, low_key_m = top.quantity("entry_height"), top.quantity("low_key_height")
    if not shape.has_high_key:
        entry_m = low_key_m = _begins_at_m(top, shape, entry_m, low_key_m)
    return ShapeWishes(shape, _position_deg(top, shape, runway), entry_m, low_key_m)


def _begins_at_m(top: Table, shape: ShapeName, entry_m: float, low_key_m: float) -> float:
    """Height at which a shape without a high key begins: its entry; abeam the point that is the low key's too."""
    is_both = top.has("entry_height") and top.has("low_key_height") and shape.has_low_key
    if is_both and not math.isnan(entry_m + low_key_m) and abs(entry_m - low_key_m) > 1e-6:
        expected = f"the entry_height {top.typed('entry_height')}, since a {shape} begins at the low key"
        top.add(
            "low_key_height", top.typed("low_key_height"), expected, "Take one of the two out.", "entry-not-low-key"
        )
    if top.has("entry_height"):
        return entry_m
    if top.has("low_key_height") and shape.has_low_key:
        return low_key_m
    return USUAL_ENTRY_HEIGHT_M[shape]


def _position_deg(top: Table, shape: ShapeName, runway: Runway | None) -> tuple[float, float] | None:
    """Where an en-route exercise begins; another shape's file has no such place."""
    if shape is not ShapeName.EN_ROUTE:
        if top.has("position"):
            expected = f'no position, or shape = "{ShapeName.EN_ROUTE}"'
            top.add(
                "position", "a position", expected, "Take it out, or change the shape.", "position-without-en-route"
            )
        return None
    if not top.has("position"):
        expected = "the place where an en-route exercise begins"
        top.add("position", "nothing", expected, "Write for example position = [44.05, -40.05].", "key-missing")
        return None
    position_deg = read_position(top, "position")
    if runway is None or math.isnan(position_deg[0]):
        return None
    frame = LocalFrame(runway.threshold_latitude_deg, runway.threshold_longitude_deg, runway.bearing_true_rad)
    distance_m = math.hypot(*frame.xy_m(*position_deg))
    if distance_m > FARTHEST_START_M:
        found = f"{write_quantity(distance_m, DISTANCE, with_comma=True)} from the runway"
        expected = f"{write_quantity(FARTHEST_START_M, DISTANCE)} or less"
        top.add("position", found, expected, "Check the position; latitude comes first.", "out-of-range")
        return None
    return position_deg
