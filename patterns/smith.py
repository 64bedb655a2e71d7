"""The smith's own file: the factors that pieces have taught, laid over what a profile says.

It is TOML, written by ``eyewrap learn`` and read by every command that takes ``--smith``. Its
factors take the place of the profile's; ``--set`` comes after both.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from . import reading
from .errors import BadInputError, Fault
from .parameters import Allowances, Hand
from .schema import count_field, in_full, length_field, number_field, percent_field, spec_at
from .schema import text_field as text

FACTORS = ("hand.spread", "hand.wrap", "allowances.scale_per_heat", "allowances.weld_loss")
"""Keys of a design that a log of pieces can teach."""


def _same(owner: type, name: str) -> Any:
    """A field as the design has it, but with no default: what is not there is not laid over."""
    spec = spec_at(owner, name)
    return field(default=None, metadata={"spec": dataclasses.replace(spec, default_text=None)})


@dataclass(frozen=True, kw_only=True)
class SmithHand:
    """Of the design's hand."""

    spread: float | None = _same(Hand, "spread")
    wrap: float | None = _same(Hand, "wrap")


@dataclass(frozen=True, kw_only=True)
class SmithAllowances:
    """Of the design's allowances."""

    scale_per_heat: float | None = _same(Allowances, "scale_per_heat")
    weld_loss: float | None = _same(Allowances, "weld_loss")


@dataclass(frozen=True, kw_only=True)
class Lesson:
    """Where the factors come from, and how sure they are: bounds that hold 19 times in 20."""

    version: str = text("Version", 40, "of the program that wrote the file", "")
    pieces: int | None = count_field("Pieces", 0, 1_000_000, "in the log")
    spread_low: float | None = number_field("Spread, low", -10, 10, "lower bound")
    spread_high: float | None = number_field("Spread, high", -10, 10, "upper bound")
    wrap_low: float | None = length_field("Wrap, low", "-100 mm", "100 mm", "lower bound")
    wrap_high: float | None = length_field("Wrap, high", "-100 mm", "100 mm", "upper bound")
    scale_per_heat_low: float | None = percent_field("Scale, low", 0, 100, "lower bound")
    scale_per_heat_high: float | None = percent_field("Scale, high", 0, 100, "upper bound")
    weld_loss_low: float | None = percent_field("Weld loss, low", 0, 100, "lower bound")
    weld_loss_high: float | None = percent_field("Weld loss, high", 0, 100, "upper bound")


@dataclass(frozen=True, kw_only=True)
class SmithFile:
    """A smith's own factors."""

    hand: SmithHand = field(default_factory=SmithHand)
    allowances: SmithAllowances = field(default_factory=SmithAllowances)
    learnt: Lesson = field(default_factory=Lesson)


GROUPS = ("hand", "allowances")
"""What is laid over a profile."""


def as_toml(smith: SmithFile) -> str:
    """The file's text, every figure in full.

    >>> print(as_toml(SmithFile(hand=SmithHand(spread=1.25))))
    # A smith's own factors, learnt from a log of pieces. Give it to draw, plan and predict:
    # --smith FILE. Its factors take the place of the profile's; --set comes after both.
    <BLANKLINE>
    [hand]
    # Spread of the hand, spread in drawing over what the tables say
    spread = 1.25
    <BLANKLINE>
    """
    lines = [
        "# A smith's own factors, learnt from a log of pieces. Give it to draw, plan and predict:",
        "# --smith FILE. Its factors take the place of the profile's; --set comes after both.",
    ]
    for group in dataclasses.fields(smith):
        held = getattr(smith, group.name)
        told = [
            (entry.name, getattr(held, entry.name), entry.metadata["spec"])
            for entry in dataclasses.fields(held)
            if getattr(held, entry.name) not in (None, "")
        ]
        if not told:
            continue
        lines += ["", f"[{group.name}]"]
        if group.name == "learnt":
            lines.append("# bounds that hold 19 times in 20, if the pieces to come are like these")
        for name, value, spec in told:
            if group.name in GROUPS:
                lines.append(f"# {spec.label}, {spec.help.partition(':')[0].partition(';')[0]}")
            lines.append(f"{name} = {in_full(value, spec)}")
    return "\n".join(lines) + "\n"


def load(path: Path, units: str = "in") -> SmithFile:
    """Read a smith's file; raises :class:`BadInputError` with every fault."""
    raw = reading.toml_file(path, "--smith")
    table = reading.table(SmithFile, raw, units)
    found = reading.in_order(SmithFile, table.faults, raw)
    if found:
        raise BadInputError(
            dataclasses.replace(fault, field=f"--smith, {fault.field}") for fault in found
        )
    smith: SmithFile = table.value
    if all(value is None for value in _factors(smith).values()):
        raise BadInputError(
            [Fault("--smith", f"{path.name!r}, which holds none of the smith's factors",
                   f"at least one of {', '.join(FACTORS)}",
                   "name the file that eyewrap learn wrote")]
        )  # fmt: skip
    return smith


def overlay(raw: Mapping[str, Any], smith: SmithFile) -> dict[str, Any]:
    """The table of a profile or a piece with the smith's factors in place of its own."""
    merged = dict(raw)
    for key, value in _factors(smith).items():
        group, _, name = key.partition(".")
        at = merged.get(group, {})
        if value is None or not isinstance(at, Mapping):
            continue  # the wrong table is reported when the whole is read
        written = in_full(value, spec_at(SmithFile, key))
        merged[group] = {**at, name: reading.toml(f"value = {written}")["value"]}
    return merged


def _factors(smith: SmithFile) -> dict[str, float | None]:
    groups = {name: getattr(smith, name) for name in GROUPS}
    return {key: getattr(groups[key.partition(".")[0]], key.partition(".")[2]) for key in FACTORS}
