"""Which exercises can be flown many times by the pilot who errs: his hand knows the one from overhead alone."""

from __future__ import annotations

from volplane.domain.exercise.exercise import ShapeName
from volplane.domain.exercise.shape_search import Solution
from volplane.errors import Refusal


class ShapeNotDispersed(Refusal):
    """The erring pilot does not know how to fly this shape, or whole circles before the high key."""

    code = "shape-not-dispersed"

    def __init__(self, shape: ShapeName, circles: int) -> None:
        super().__init__(f"an exercise {shape} with {circles} circles is not flown many times")
        self.shape = shape
        self.circles = circles


def refuse_other_shapes(solution: Solution) -> None:
    """Only the exercise from overhead, without whole circles, is flown many times. :raises ShapeNotDispersed: else."""
    shape = solution.shape
    if shape.name is not ShapeName.OVERHEAD or shape.before.circles:
        raise ShapeNotDispersed(shape.name, shape.before.circles)
