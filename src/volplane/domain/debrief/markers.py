"""What somebody on board marked during the flight: power off, gear, "my airplane". Facts of their own, beside the data.

A marked power reduction stands where no channel shows one. From "my airplane" on the instructor flew: what ends after
it is told as that, whoever had flown before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from volplane.domain.debrief.results import Attempt, Debrief, Marker, MarkerKind
from volplane.domain.finding import Finding, Severity


def with_markers(debrief: Debrief, marked: Sequence[tuple[float, MarkerKind]]) -> Debrief:
    """The debrief with every marker (seconds since 1970 UTC, what) in the exercise it falls into."""
    start = debrief.recording.start_unix_s
    markers = [Marker(unix_s - start, kind) for unix_s, kind in sorted(marked)]
    return replace(debrief, attempts=tuple(_marked(attempt, markers) for attempt in debrief.attempts))


def _marked(attempt: Attempt, markers: Sequence[Marker]) -> Attempt:
    own = tuple(each for each in markers if attempt.start_time_s <= each.time_s <= attempt.end_time_s)
    power_s = next((each.time_s for each in own if each.kind is MarkerKind.POWER_OFF), None)
    taken = next((each for each in own if each.kind is MarkerKind.MY_AIRPLANE), None)
    findings = attempt.findings if taken is None else (_taken_over(attempt, taken), *attempt.findings)
    power_off_s = power_s if attempt.power_off_time_s is None else attempt.power_off_time_s
    return replace(attempt, markers=own, power_off_time_s=power_off_s, findings=findings)


def _taken_over(attempt: Attempt, marker: Marker) -> Finding:
    height_m = float(np.interp(marker.time_s, attempt.path.time_s, attempt.path.height_m))
    return Finding("taken-over", Severity.NOTE, {"height_m": height_m}, time_s=marker.time_s)
