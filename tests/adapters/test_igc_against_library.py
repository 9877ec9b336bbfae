"""A sound IGC record comes out of our reader as out of the library `aerofiles` (a reference, not a publication)."""

from __future__ import annotations

import io

import numpy as np
from aerofiles.igc import Reader

from volplane import bootstrap

EVERY_S = 7


def record() -> str:
    """A record over midnight with extensions, south and west, below the sea and above it."""
    lines = ["AXXX001", "HFDTEDATE:311226,01", "HFALG:GEO", "I023638FXA3940SIU"]
    for count in range(1200):
        clock_s = (86_400 - 600 + EVERY_S * count // 7) % 86_400
        clock = f"{clock_s // 3600:02d}{clock_s // 60 % 60:02d}{clock_s % 60:02d}"
        south, west = f"12{count % 60:02d}{count * 37 % 1000:03d}S", f"071{count * 3 % 60:02d}{count * 91 % 1000:03d}W"
        pressure, gnss = (f"-{abs(height):04d}" if height < 0 else f"{height:05d}" for height in (count - 40, count))
        lines.append(f"B{clock}{south}{west}A{pressure}{gnss}{count % 200:03d}{count % 13:02d}")
    return "\n".join(lines) + "\n"


def test_a_sound_record_comes_out_as_the_library_reads_it() -> None:
    text = record()
    theirs = Reader().read(io.StringIO(text))["fix_records"][1]
    ours = bootstrap.read_recording("flight.igc", text.encode()).track
    assert ours is not None
    assert len(ours.time_s) == len(theirs) == 1200
    unix_s = np.array([fix["datetime"].timestamp() for fix in theirs])
    np.testing.assert_allclose(ours.start_unix_s + ours.time_s, unix_s, atol=1e-6)
    np.testing.assert_allclose(ours.latitude_deg, [fix["lat"] for fix in theirs], atol=1e-9)
    np.testing.assert_allclose(ours.longitude_deg, [fix["lon"] for fix in theirs], atol=1e-9)
    assert ours.altitude_m is not None
    np.testing.assert_allclose(ours.altitude_m, [fix["gps_alt"] for fix in theirs], atol=1e-9)
