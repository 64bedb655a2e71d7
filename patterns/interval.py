"""A figure that is known within bounds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Interval:
    """Bounds and the likeliest figure between them, all of one unit.

    >>> Interval(1.0, 2.0, 4.0).spans(3.5)
    True
    """

    low: float
    mid: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.mid <= self.high:
            raise ValueError(f"bounds out of order: {self.low:g}, {self.mid:g}, {self.high:g}")

    def spans(self, value: float) -> bool:
        """Whether a value lies within the bounds."""
        return self.low <= value <= self.high

    def shifted(self, by: float) -> Interval:
        return Interval(self.low + by, self.mid + by, self.high + by)
