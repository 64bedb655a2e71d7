"""Faults in what was asked for: all of them are found first, then raised together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with the input, and what to do about it.

    ``field`` is the profile's key (``"eye.width"``), ``given`` what was found there, ``allowed``
    what may stand there and ``change`` what to alter, all in the user's units.
    """

    field: str
    given: str
    allowed: str
    change: str = ""

    def __str__(self) -> str:
        text = f"{self.field}: given {self.given}; allowed: {self.allowed}"
        return f"{text}; {self.change}" if self.change else text


class BadInputError(ValueError):
    """Every fault of one input at once.

    >>> print(BadInputError([Fault("bar.section", "1/4 in", "more than the wall, 3/8 in")]))
    bar.section: given 1/4 in; allowed: more than the wall, 3/8 in
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class NotFitToCutError(ValueError):
    """A drawing that a cutting machine would take the wrong way."""


class MissingLibraryError(RuntimeError):
    """A library outside Python that one output format needs is not there."""
