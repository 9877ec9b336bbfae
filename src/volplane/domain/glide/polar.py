"""The polar: drag in parts of weight against equivalent airspeed, for any weight, load factor and configuration.

The curve f(V) is drag to weight at one g and the reference weight. An airplane at the same lift coefficient has the
same ratio of drag to lift, so D/W(n, V) = n f(V / sqrt n), and another weight shifts every speed by sqrt(W / W_ref).
"""

from __future__ import annotations

from typing import Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from volplane.domain.glide.configuration import Configuration

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
