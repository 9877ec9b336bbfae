"""Boxes of labels and the search for a free place: by importance, the first place that touches nothing wins."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from volplane.faces.report import svg
from volplane.faces.report.lettering import ASCENT_FRACTION, DESCENT_FRACTION, Lettering
from volplane.faces.report.svg import Element, Point

Array = NDArray[np.float64]

GAP_PX = 4.0
LINE_GAP_PX = 5.0


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of the drawing, in px, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def touches(self, other: Box, gap_px: float = 0.0) -> bool:
        """Whether two boxes come nearer than a gap."""
        return (
            self.left < other.right + gap_px
            and other.left < self.right + gap_px
            and self.top < other.bottom + gap_px
            and other.top < self.bottom + gap_px
        )

    def is_inside(self, frame: Box) -> bool:
        """Whether the box lies wholly in a frame."""
        return (
            frame.left <= self.left
            and frame.top <= self.top
            and self.right <= frame.right
            and self.bottom <= frame.bottom
        )

    def moved(self, across_px: float, down_px: float) -> Box:
        """The box moved."""
        return Box(self.left + across_px, self.top + down_px, self.right + across_px, self.bottom + down_px)

    def grown(self, by_px: float) -> Box:
        """The box with a margin all round."""
        return Box(self.left - by_px, self.top - by_px, self.right + by_px, self.bottom + by_px)


def around(boxes: Iterable[Box]) -> Box:
    """The box around boxes."""
    many = list(boxes)
    return Box(
        min(box.left for box in many),
        min(box.top for box in many),
        max(box.right for box in many),
        max(box.bottom for box in many),
    )


@dataclass(frozen=True, slots=True)
class Line:
    """A line of text of a label: where its baseline starts against the label's own point, and how it is set."""

    words: str
    lettering: Lettering
    across_px: float = 0.0
    down_px: float = 0.0
    anchor: str = "start"

    def box(self, at: Point) -> Box:
        """The box of its ink when the label's point is there."""
        width = self.lettering.width_px(self.words)
        shift = {"start": 0.0, "middle": -width / 2.0, "end": -width}[self.anchor]
        left, baseline = at[0] + self.across_px + shift, at[1] + self.down_px
        size = self.lettering.size_px
        return Box(left, baseline - ASCENT_FRACTION * size, left + width, baseline + DESCENT_FRACTION * size)


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text that are placed together, against one point."""

    lines: tuple[Line, ...]

    def box(self, at: Point) -> Box:
        """The box around all lines."""
        return around(line.box(at) for line in self.lines)

    def drawn(self, at: Point) -> list[Element]:
        """The lines as elements; each carries its box, so that a test can see that none touches another."""
        return [
            svg.text((at[0] + line.across_px, at[1] + line.down_px), line.words, line.lettering, anchor=line.anchor)
            for line in self.lines
        ]


def single(words: str, lettering: Lettering, anchor: str = "start") -> Label:
    """A label of one line."""
    return Label((Line(words, lettering, anchor=anchor),))


@dataclass(frozen=True, slots=True)
class Candidate:
    """A label at a place it could take."""

    label: Label
    at: Point

    @property
    def box(self) -> Box:
        """Its box there."""
        return self.label.box(self.at)


@dataclass(slots=True)
class Placer:
    """Keeps the boxes taken so far and finds places; lines are kept clear of where that is possible.

    `frame` bounds every label. `clear_of` are points along lines, dense enough that none slips through a label.
    """

    frame: Box
    clear_of: Sequence[Point] | Array = ()
    taken: list[Box] = field(default_factory=list)

    def take(self, box: Box) -> None:
        """Mark a box as taken."""
        self.taken.append(box)

    def is_free(self, box: Box, *, over_lines: bool = False) -> bool:
        """Whether a box lies in the frame, touches nothing taken and, unless allowed, crosses no line."""
        if not box.is_inside(self.frame) or any(box.touches(other, GAP_PX) for other in self.taken):
            return False
        return over_lines or not self._crosses_a_line(box.grown(LINE_GAP_PX))

    def _crosses_a_line(self, box: Box) -> bool:
        if len(self.clear_of) == 0:
            return False
        points = self.clear_of = np.asarray(self.clear_of, dtype=np.float64)
        x, y = points[:, 0], points[:, 1]
        return bool(np.any((box.left <= x) & (x <= box.right) & (box.top <= y) & (y <= box.bottom)))

    def place(self, candidates: Sequence[Candidate], *, over_lines: bool = False) -> Candidate | None:
        """The first candidate that is free, its box taken; None when there is none."""
        for candidate in candidates:
            if self.is_free(candidate.box, over_lines=over_lines):
                self.take(candidate.box)
                return candidate
        return None

    def place_surely(self, candidates: Sequence[Candidate]) -> Candidate:
        """A place for what must not be left out: free, or over lines, or the first one pushed until it is free."""
        found = self.place(candidates) or self.place(candidates, over_lines=True)
        if found is not None:
            return found
        pushed = self._pushed(candidates[0])
        self.take(pushed.box)
        return pushed

    def _pushed(self, candidate: Candidate) -> Candidate:
        """The candidate moved outwards in a widening search until it touches no other label."""
        for distance in range(4, 400, 4):
            for eighth in range(8):
                angle = eighth * math.pi / 4.0
                x = candidate.at[0] + distance * math.cos(angle)
                y = candidate.at[1] + distance * math.sin(angle)
                moved = Candidate(candidate.label, (x, y))
                if self.is_free(moved.box, over_lines=True):
                    return moved
        return candidate
