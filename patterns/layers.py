"""Names and colours of the layers of a file to cut."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Layer:
    """A layer's name and its colour, a number of the DXF's own table, 1 to 255."""

    name: str
    colour: int


@dataclass(frozen=True)
class Layers:
    """What is cut round the outside, what is cut inside it, what is marked."""

    outside: Layer = Layer("CUT", 1)
    inside: Layer = Layer("CUT", 1)
    mark: Layer = Layer("MARK", 5)
