"""Tables of figures with their sources, in ``tables/``: how they are read.

A table lists its works under ``[work.KEY]``, each with the basis on which it is trusted; an entry
names one as ``of = "KEY"``, with its place ``at`` and a ``basis`` of its own where that differs.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from .sources import Basis, Work


@dataclass(frozen=True)
class Origin:
    """Where a figure comes from, how far it may be trusted, and whose it is if not its own."""

    work: Work | None
    locator: str
    basis: Basis
    stand_in: str = ""

    def __str__(self) -> str:
        place = ", ".join(str(part) for part in (self.work, self.locator) if part)
        trust = f"{place}; {self.basis.value}" if place else self.basis.value
        return f"{trust}; figures of {self.stand_in}" if self.stand_in else trust

    @property
    def short(self) -> str:
        """In a few words, to tell two sources apart."""
        return self.locator or self.basis.value


@cache
def table(name: str) -> dict[str, Any]:
    """A table by its file's name, without the ending."""
    path = resources.files(__package__) / "tables" / f"{name}.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


@cache
def works(name: str) -> dict[str, tuple[Work, Basis]]:
    """Every work that a table cites, by its key, in the table's order, with its basis."""
    found = {}
    for key, entry in table(name)["work"].items():
        kept = {field: value for field, value in entry.items() if field != "basis"}
        found[key] = (Work(**kept), Basis(entry["basis"]))
    return found


def origin(name: str, entry: Mapping[str, Any], unsaid: Basis | None = None) -> Origin:
    """The origin of an entry of a table; ``unsaid`` is the basis of one that names none.

    Raises :class:`ValueError` for an entry that has neither work nor basis.
    """
    work, basis = works(name)[entry["of"]] if "of" in entry else (None, unsaid)
    basis = Basis(entry["basis"]) if "basis" in entry else basis
    if basis is None:
        raise ValueError(f"{entry} has neither work nor basis")
    return Origin(work, entry.get("at", ""), basis, entry.get("stand_in", ""))
