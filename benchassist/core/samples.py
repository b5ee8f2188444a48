"""Samples of one channel as columns."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Column = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """Times in seconds of the run (rising), values in the base unit, one count of each value.

    All three are float64 of one length. A value of +inf is an overload; a resolution of nan is not
    known. Equality is identity: compare the columns.
    """

    t_s: Column
    value: Column
    resolution: Column

    def __len__(self) -> int:
        """How many."""
        return len(self.t_s)

    @staticmethod
    def none() -> "Samples":
        """No samples."""
        empty = np.empty(0)
        return Samples(empty, empty, empty)
