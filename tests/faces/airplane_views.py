"""Measurements by hand for tests of figures and pages: invented points about an invented airplane's glide."""

from __future__ import annotations

import numpy as np

from volplane.faces.report.calibration_charts import SpeedChecked
from volplane.faces.report.polar_charts import MeasuredGlideView, PolarLine, PolarPoint
from volplane.faces.report.stand_in_charts import HonestyRow, SettingFlown, StandInView
from volplane.units import mps_from_fpm, mps_from_kt, pa_from_inhg


def polar_line(name: str = "3,350 lb", best_kt: float = 104.0, *, has_band: bool = True) -> PolarLine:
    """A parabolic polar of 9.6 to 1 with a band that widens away from the best speed."""
    speed_kt = np.linspace(78.0, 145.0, 60)
    part = speed_kt / best_kt
    sink = np.array([mps_from_kt(speed) for speed in speed_kt]) * (part**2 + part**-2) / (2.0 * 9.6)
    width = mps_from_fpm(35.0) + mps_from_fpm(60.0) * (part - 1.0) ** 2 * 8.0
    ias = np.array([mps_from_kt(speed) for speed in speed_kt])
    return PolarLine(
        name=name,
        ias_mps=ias,
        sink_mps=sink,
        best_ias_mps=mps_from_kt(best_kt),
        best_sink_mps=mps_from_kt(best_kt) / 9.6,
        best_ratio=9.6,
        low_mps=sink - width if has_band else None,
        high_mps=sink + width if has_band else None,
        best_sd_mps=mps_from_kt(1.6) if has_band else None,
    )


def glide_view(*, left_out: tuple[tuple[float, float, str], ...] = ()) -> MeasuredGlideView:
    """Twelve glides used, and those left out as (kt, fpm, why)."""
    used = [(82, 1035), (85, 1010), (90, 1030), (95, 1065), (100, 1060), (104, 1110), (109, 1130), (114, 1190)]
    used += [(120, 1250), (125, 1320), (130, 1410), (138, 1560)]
    points = [PolarPoint(mps_from_kt(float(kt)), mps_from_fpm(float(fpm))) for kt, fpm in used]
    points += [PolarPoint(mps_from_kt(kt), mps_from_fpm(fpm), False, why) for kt, fpm, why in left_out]
    return MeasuredGlideView(polar_line(), tuple(points), (mps_from_kt(109.0), mps_from_fpm(1150.0)))


LEFT_OUT = ((92.0, 640.0, "rising air"), (112.0, 1620.0, "gear down"), (128.0, 980.0, "power on"))


def stand_in_view(*, is_estimate: bool = False) -> StandInView:
    """Three settings flown, one left out, a match at 14.4 in."""
    pressure = np.linspace(11.5, 16.5, 40)
    sink = np.array([mps_from_fpm(1115.0 - 170.0 * (value - 14.4)) for value in pressure])
    width = np.array([mps_from_fpm(40.0 + 14.0 * (value - 14.0) ** 2) for value in pressure])
    points = ((12.0, 1540.0, ""), (14.0, 1170.0, ""), (16.0, 850.0, ""), (15.0, 1330.0, "gear up"))
    return StandInView(
        manifold_pressure_pa=np.array([pa_from_inhg(value) for value in pressure]),
        sink_mps=sink,
        wished_sink_mps=mps_from_fpm(1115.0),
        match_pa=pa_from_inhg(14.4),
        match_sd_pa=pa_from_inhg(0.25),
        low_mps=None if is_estimate else sink - width,
        high_mps=None if is_estimate else sink + width,
        points=()
        if is_estimate
        else tuple(SettingFlown(pa_from_inhg(mp), mps_from_fpm(fpm), not why, why) for mp, fpm, why in points),
        is_estimate=is_estimate,
    )


HONESTY = tuple(
    HonestyRow(name, mps_from_fpm(real), mps_from_fpm(standin))
    for name, real, standin in (
        ("94 kt", 1065.0, 1010.0),
        ("104 kt, best glide", 1115.0, 1115.0),
        ("114 kt", 1195.0, 1265.0),
        ("124 kt", 1310.0, 1460.0),
        ("15° of bank", 1150.0, 1160.0),
        ("30° of bank", 1290.0, 1310.0),
        ("45° of bank", 1660.0, 1690.0),
        ("final, power off, full flap", 1480.0, 2190.0),
    )
)
SPEEDS = (
    SpeedChecked(mps_from_kt(80.0), mps_from_kt(1.8), mps_from_kt(0.7)),
    SpeedChecked(mps_from_kt(95.0), mps_from_kt(1.1), mps_from_kt(0.5)),
    SpeedChecked(mps_from_kt(110.0), mps_from_kt(0.2), mps_from_kt(0.4)),
    SpeedChecked(mps_from_kt(125.0), mps_from_kt(-0.6), mps_from_kt(0.5)),
    SpeedChecked(mps_from_kt(140.0), mps_from_kt(-1.4), mps_from_kt(0.8)),
    SpeedChecked(mps_from_kt(150.0), mps_from_kt(2.9), None, False, "two directions only"),
)
