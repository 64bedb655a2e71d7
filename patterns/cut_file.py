"""A DXF file as a cutter's program sees it, read back into lines and true arcs in millimetres.

Nothing of the model is asked: what is not in the file is not here. Polylines, lines, arcs and
circles become runs; loose lines and arcs that meet end to end are joined. Everything else that the
file holds is named in ``others``.
"""

from __future__ import annotations

import logging
import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from .contour import Contour, Piece, Point, Vertex
from .errors import BadInputError, Fault
from .layers import Layers
from .units import MM_PER_INCH

JOINED = 0.01
"""Loose pieces whose ends are no further apart [mm] are joined; so is a run that ends there."""
MOST_ENTITIES = 100_000
"""A file with more entities, vertices of old polylines among them, is not loaded."""
MOST_BYTES = 50_000_000
FARTHEST = 1e7
"""No coordinate lies further from the origin [mm], and no radius is larger."""

UNITS: dict[int, tuple[str, float]] = {
    1: ("in", MM_PER_INCH), 2: ("ft", 12.0 * MM_PER_INCH), 4: ("mm", 1.0), 5: ("cm", 10.0),
    6: ("m", 1000.0), 8: ("microinch", MM_PER_INCH / 1e6), 9: ("thou", MM_PER_INCH / 1000.0),
    10: ("yd", 36.0 * MM_PER_INCH), 13: ("micron", 0.001), 14: ("dm", 100.0),
}  # fmt: skip
"""Codes of ``$INSUNITS`` with the unit's name and its length [mm]."""

ROLES = ("outside", "inside", "mark")

_BINARY = b"AutoCAD Binary DXF"
_ENTITY = re.compile(rb"(?:^|\n)[ \t]*0[ \t]*\r?\n[ \t]*[0-9]?[A-Za-z_]")
_UNIT_IN_NAME = re.compile(r"-(in|mm)$", re.IGNORECASE)
_UNIT_CODE = re.compile(
    rb"\n[ \t]*9[ \t]*\r?\n[ \t]*\$INSUNITS[ \t]*\r?\n[ \t]*70[ \t]*\r?\n[ \t]*(\d{1,4})[ \t]*\r?\n"
)
_BLOCK = 1 << 20
_NO_NAMES = frozenset({"SECTION", "ENDSEC", "EOF", "VERTEX", "SEQEND", "ATTRIB"})


@dataclass(frozen=True)
class Run:
    """A run of lines and arcs [mm] on one layer, closed or open.

    ``role`` is what the layer is for: outside, inside or mark; empty for a layer of no known name.
    Where outside and inside share a layer, a contour that lies in an even number of others is an
    outside one. ``entities`` are the handles of what it was made from. ``lead`` is the open piece
    by which the tool comes to a closed contour, where the file has one.
    """

    contour: Contour
    layer: str
    role: str
    entities: tuple[str, ...] = ()
    lead: Contour | None = None


@dataclass(frozen=True)
class Other:
    """Something in the file that no cutter should meet: its kind, layer, handle and place [mm].

    ``why`` is empty for a kind that is never cut. What is otherwise cut is here because it stands
    on ``paper``, on a layer that is ``off`` or ``frozen``, or is itself ``hidden``, ``thick``,
    ``raised`` off the plane, ``turned`` out of it, a polyline in ``space`` or a ``fitted`` one.
    """

    kind: str
    layer: str
    handle: str = ""
    at: Point | None = None
    why: str = ""


@dataclass(frozen=True)
class CutFile:
    """What a DXF holds.

    ``units`` are those that everything was turned into mm from: ``in`` or ``mm``, or another name
    of :data:`UNITS`. Empty means that the file declares none, and its numbers stand as they are.
    ``declared`` says where the unit was found: in the file's ``header``, or, for R12, which has no
    place for it there, at the end of its ``name``; empty for nowhere.
    """

    name: str
    version: str
    units: str
    runs: tuple[Run, ...]
    others: tuple[Other, ...] = ()
    declared: str = ""


# The file ----------------------------------------------------------------------------------------


def read(path: Path, layers: Layers = Layers()) -> CutFile:  # noqa: B008 - it is frozen
    """Read a DXF of text, of any version from R12 on.

    Lines, arcs, circles and polylines of lines and arcs become runs, arcs with their bulge. Loose
    lines and arcs of one layer are joined where two of them, and no third, end within
    :data:`JOINED`. A run is closed by its own flag or because it ends where it begins. To cut, an
    open polyline whose end meets one of its own corners is a lead-in and a closed contour.

    Raises
    ------
    BadInputError
        For what is no such file, is cut short, has more than :data:`MOST_ENTITIES` entities or a
        coordinate that is no number.
    """
    data = _bytes(path)
    listed = _looked_through(path, data)
    document = _document(path, data)
    code = _unit_code(data)
    version = str(document.dxfversion)
    units, scale, declared = "", 1.0, ""
    if code:
        units, scale = UNITS.get(code, (f"unit {code}", 1.0))
        declared = "header"
    elif version <= "AC1009" and (named := _UNIT_IN_NAME.search(path.stem)):
        units = named[1].lower()
        scale, declared = (MM_PER_INCH if units == "in" else 1.0), "name"
    try:
        reader = _Reader(document, scale, layers)
        runs, others = reader.runs(), reader.others
    except _NotANumberError as error:
        raise _fault(path, str(error), f"numbers within {FARTHEST:.0f} mm of the origin",
                     "draw it anew, or take it out") from None  # fmt: skip
    except Exception as error:  # a library's own, of any kind, for what no reader foresaw
        raise _broken(path, error) from None
    if reader.met != listed:
        raise _fault(path, f"{listed} entities, of which {reader.met} can be read",
                     "a whole DXF file", "write the file anew")  # fmt: skip
    return CutFile(path.name, version, units, runs, tuple(others), declared)


def _fault(path: Path, given: str, allowed: str, change: str) -> BadInputError:
    return BadInputError([Fault(str(path), given, allowed, change)])


def _broken(path: Path, error: Exception) -> BadInputError:
    words = next(iter(str(error).strip().splitlines()), "") or type(error).__name__
    plain = "".join(sign if sign.isprintable() else "?" for sign in words)[:120]
    return _fault(path, f"a broken DXF ({plain})", "a whole DXF file", "write the file anew")


def _bytes(path: Path) -> bytes:
    """The file's bytes, if it may be one; only counted, not kept, where it is far too large."""
    what = "a DXF file"
    try:
        if path.is_dir():
            raise _fault(path, "a folder", what, "name the file in it")
        with path.open("rb") as stream:
            found, blocks, tail = 0, list[bytes](), b""
            while block := stream.read(_BLOCK):
                if not blocks and block.startswith(_BINARY):
                    raise _fault(path, "a binary DXF", "a DXF of text", "save it as text (ASCII)")
                # what is cut in two by a block's end is counted with the next
                found += sum(1 for _ in _ENTITY.finditer(tail + block))
                found -= sum(1 for _ in _ENTITY.finditer(tail))
                tail = block[-64:]
                blocks.append(block)
                if found > 2 * MOST_ENTITIES or len(blocks) * _BLOCK > 2 * MOST_BYTES:
                    break
    except BadInputError:
        raise
    except (OSError, ValueError) as error:  # ValueError: a name that no file system takes
        reason = getattr(error, "strerror", None) or str(error)
        raise _fault(path, reason, f"{what} that can be read", "name another") from None
    if found > MOST_ENTITIES:
        # tables and objects of an ordinary file are some hundreds
        raise _fault(path, f"more than {MOST_ENTITIES} entities", f"up to {MOST_ENTITIES}",
                     "send the parts in several files")  # fmt: skip
    if len(blocks) * _BLOCK > MOST_BYTES + _BLOCK:
        raise _fault(path, "a file that is too large",
                     f"up to {MOST_BYTES // 1_000_000} million bytes",
                     "send the parts in several files")  # fmt: skip
    data = b"".join(blocks)
    if not data.strip():
        raise _fault(path, "an empty file", what, "write the file anew")
    if b"\0" in data:
        raise _fault(path, "a file that is not text", what, "save it as DXF, as text (ASCII)")
    return data


def _looked_through(path: Path, data: bytes) -> int:
    """How many entities the model and its paper list; a fault for what is no whole DXF."""
    lines = data.decode("latin-1").split("\n")
    lines = [line.strip() for line in lines]
    whole = "a whole DXF file, up to its EOF"
    if not _is_code(lines[0]):
        raise _fault(path, "no DXF: it does not begin with a group", "a DXF file", "name another")
    names: list[tuple[str, int]] = []
    for at in range(0, len(lines) - 1, 2):
        if lines[at] == "0":
            names.append((lines[at + 1].upper(), at))
            if lines[at + 1] == "EOF":
                break
        elif not _is_code(lines[at]):
            raise _fault(path, f"a broken DXF: line {at + 1} is {_shown(lines[at])}, and no group",
                         "a whole DXF file", "write the file anew")  # fmt: skip
    if not any(name == "SECTION" for name, _ in names):
        raise _fault(path, "no DXF: it has no sections", "a DXF file", "name another")
    if names[-1][0] != "EOF":
        raise _fault(path, "a DXF cut short: it has no EOF", whole, "write the file anew")
    section, listed = "", None
    for name, at in names:
        if name == "SECTION":
            if section:
                raise _fault(path, f"a section {_shown(section)} that does not end", whole,
                             "write the file anew")  # fmt: skip
            section = lines[at + 3].upper() if at + 3 < len(lines) else ""
            if section == "ENTITIES":
                listed = listed or 0
        elif name == "ENDSEC":
            section = ""
        elif section == "ENTITIES" and name not in _NO_NAMES:
            assert listed is not None
            listed += 1
    if section or listed is None:
        raise _fault(path, f"a section {_shown(section)} that does not end"
                     if section else "a DXF without a section ENTITIES", whole,
                     "write the file anew")  # fmt: skip
    return listed


def _unit_code(data: bytes) -> int:
    """``$INSUNITS`` as the file has it, 0 for none: the library fills in one of its own."""
    found = _UNIT_CODE.search(data)
    return int(found[1]) if found else 0


def _is_code(text: str) -> bool:
    return text.lstrip("-").isdigit() and len(text) < 6


def _shown(text: str) -> str:
    return repr(text[:40])


@contextmanager
def _silent() -> Iterator[None]:
    """What ezdxf has to say while it loads is kept from the terminal."""
    logger, mute = logging.getLogger("ezdxf"), logging.NullHandler()
    kept = logger.propagate
    logger.addHandler(mute)
    logger.propagate = False
    try:
        yield
    finally:
        logger.removeHandler(mute)
        logger.propagate = kept


def _document(path: Path, data: bytes) -> Any:
    import io

    from ezdxf.filemanagement import dxf_stream_info
    from ezdxf.filemanagement import read as load

    try:
        with _silent():
            info = dxf_stream_info(io.StringIO(data.decode("latin-1").replace("\r\n", "\n")))
            text = data.decode(info.encoding, errors="surrogateescape").replace("\r\n", "\n")
            return load(io.StringIO(text))
    except Exception as error:  # a library's own, of any kind, for what no reader foresaw
        raise _broken(path, error) from None


# Its entities ------------------------------------------------------------------------------------


class _NotANumberError(ValueError):
    """A coordinate that is none, or far off any sheet."""


@dataclass
class _Loose:
    """One entity as a contour; ``joins`` where its ends may be joined to others'."""

    contour: Contour
    layer: str
    handle: str
    joins: bool


class _Reader:
    """The entities of one document, scaled to mm."""

    def __init__(self, document: Any, scale: float, layers: Layers) -> None:
        self.scale = scale
        self.others: list[Other] = []
        self.met = 0
        self._document = document
        self._roles: dict[str, list[str]] = defaultdict(list)
        for role in ROLES:
            self._roles[getattr(layers, role).name.lower()].append(role)

    def runs(self) -> tuple[Run, ...]:
        loose: list[_Loose] = []
        for entity in self._document.modelspace():
            self.met += 1
            found = self._loose(entity)
            if found is not None:
                loose.append(found)
        for layout in self._document.layouts:
            if layout.name != "Model":
                for entity in layout:
                    if entity.dxftype() != "VIEWPORT":
                        self.others.append(self._other(entity, "paper"))
        self.met += sum(
            1
            for layout in self._document.layouts
            if layout.name != "Model" and layout.is_active_paperspace
            for _ in layout
        )
        return _with_roles(_runs(loose), self._roles)

    def _loose(self, entity: Any) -> _Loose | None:
        """A line, arc, circle or polyline as a contour; anything else goes to the others."""
        kind = entity.dxftype()
        make = {
            "LINE": _line, "ARC": _arc, "CIRCLE": _circle, "LWPOLYLINE": _light_polyline,
            "POLYLINE": _polyline,
        }.get(kind)  # fmt: skip
        if make is None:
            self.others.append(self._other(entity))
            return None
        why = self._hidden(entity) or _odd_polyline(entity) or _out_of_plane(entity)
        vertices, closed = ([], False) if why else make(entity)
        if why or not vertices:
            self.others.append(self._other(entity, why))
            return None
        contour = Contour(tuple(self._vertex(kind, *each) for each in vertices), closed)
        for piece in contour.pieces:
            if not piece.is_line and not piece.radius <= FARTHEST:
                raise _NotANumberError(f"{_article(kind)} with a radius of {piece.radius:.4g} mm")
        return _Loose(contour, entity.dxf.layer, str(entity.dxf.handle or ""),
                      kind in ("LINE", "ARC"))  # fmt: skip

    def _vertex(self, kind: str, x: float, y: float, bulge: float = 0.0) -> Vertex:
        found = Vertex(x * self.scale, y * self.scale, bulge)
        if not (abs(found.x) <= FARTHEST and abs(found.y) <= FARTHEST and math.isfinite(bulge)):
            raise _NotANumberError(
                f"{_article(kind)} at {found.x:.6g}, {found.y:.6g} mm"
                + (f" with the bulge {bulge:.6g}" if bulge else "")
            )
        return found

    def _hidden(self, entity: Any) -> str:
        if entity.dxf.get("invisible", 0):
            return "hidden"
        layers = self._document.layers
        if entity.dxf.layer in layers:
            layer = layers.get(entity.dxf.layer)
            if layer.is_frozen():
                return "frozen"
            if layer.is_off():
                return "off"
        return ""

    def _other(self, entity: Any, why: str = "") -> Other:
        at = None
        for name in ("insert", "start", "center", "location", "defpoint"):
            if entity.dxf.is_supported(name) and entity.dxf.hasattr(name):
                at = entity.dxf.get(name)
                break
        else:
            at = _first(entity)
        place = None
        if at is not None and all(abs(c * self.scale) <= FARTHEST for c in (at[0], at[1])):
            place = (at[0] * self.scale, at[1] * self.scale)
        return Other(entity.dxftype(), str(entity.dxf.get("layer", "0")),
                     str(entity.dxf.handle or ""), place, why)  # fmt: skip


def _article(kind: str) -> str:
    return f"an {kind}" if kind == "ARC" else f"a {kind}"


def _first(entity: Any) -> Any:
    """The first point of something that has a list of them."""
    try:
        match entity.dxftype():
            case "LWPOLYLINE":
                return entity[0][:2]
            case "POLYLINE":
                return entity.vertices[0].dxf.location
            case "SPLINE":
                return entity.control_points[0]
    except (IndexError, AttributeError):
        pass
    return None


_FLAT = 1e-9
"""A height or thickness below this is none."""


def _out_of_plane(entity: Any) -> str:
    dxf = entity.dxf
    if dxf.hasattr("extrusion"):
        x, y, z = dxf.extrusion
        if abs(x) > _FLAT or abs(y) > _FLAT or not z > 0.0:
            return "turned"
    heights = [
        getattr(dxf.get(name), "z", dxf.get(name))
        for name in ("start", "end", "center", "elevation")
        if dxf.is_supported(name) and dxf.hasattr(name)
    ]
    if entity.dxftype() == "POLYLINE" and entity.is_2d_polyline:
        heights += [vertex.dxf.location.z for vertex in entity.vertices]
    if any(not abs(height) <= _FLAT for height in heights):
        return "raised"
    if not abs(dxf.get("thickness", 0.0)) <= _FLAT:
        return "thick"
    return ""


def _odd_polyline(entity: Any) -> str:
    """Whether a polyline of the old kind is in ``space``, or stands for a ``fitted`` curve."""
    curve, spline = 2, 4
    if entity.dxftype() != "POLYLINE":
        return ""
    if not entity.is_2d_polyline:
        return "space"
    return "fitted" if entity.dxf.flags & (curve | spline) else ""


_Vertices = tuple[list[tuple[float, ...]], bool]


def _line(entity: Any) -> _Vertices:
    start, end = entity.dxf.start, entity.dxf.end
    return [(start.x, start.y), (end.x, end.y)], False


def _arc(entity: Any) -> _Vertices:
    """An arc runs counter-clockwise; in two halves where it is longer than half a circle."""
    dxf = entity.dxf
    (x, y, _), radius = dxf.center, dxf.radius
    start, sweep = math.radians(dxf.start_angle), dxf.end_angle - dxf.start_angle
    if not (math.isfinite(sweep) and radius > 0.0):
        raise _NotANumberError(f"an ARC of radius {radius:.6g} and sweep {sweep:.6g}")
    sweep = math.radians(sweep % 360.0)
    if sweep == 0.0 and dxf.end_angle != dxf.start_angle:
        return _circle(entity)
    parts = 1 if sweep <= math.pi else 2
    bulge = math.tan(sweep / parts / 4.0)
    found: list[tuple[float, ...]] = []
    for part in range(parts + 1):
        angle = start + sweep * part / parts
        found.append((x + radius * math.cos(angle), y + radius * math.sin(angle), bulge))
    return found, False


def _circle(entity: Any) -> _Vertices:
    (x, y, _), radius = entity.dxf.center, entity.dxf.radius
    if not radius >= 0.0:
        raise _NotANumberError(f"a circle of radius {radius:.6g}")
    return [(x + radius, y, 1.0), (x - radius, y, 1.0)], True


def _light_polyline(entity: Any) -> _Vertices:
    points = [tuple(map(float, each)) for each in entity.get_points("xyb")]
    return points, bool(entity.closed)


def _polyline(entity: Any) -> _Vertices:
    """A polyline of the old kind, in the plane."""
    return [
        (vertex.dxf.location.x, vertex.dxf.location.y, vertex.dxf.get("bulge", 0.0))
        for vertex in entity.vertices
    ], bool(entity.is_closed)


# Runs --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Chain:
    contour: Contour
    layer: str
    entities: tuple[str, ...]


def _runs(loose: Sequence[_Loose]) -> list[_Chain]:
    """Loose pieces joined, in the order in which the file has the first of each run."""
    by_layer: dict[str, list[int]] = defaultdict(list)
    placed: list[tuple[int, _Chain]] = []
    for number, one in enumerate(loose):
        whole = one.contour.closed or not one.joins
        if whole or math.dist(*_ends(one.contour)) <= JOINED:
            contour = one.contour if len(one.contour.vertices) == 2 else _closed(one.contour)
            placed.append((number, _Chain(contour, one.layer, (one.handle,))))
        else:
            by_layer[one.layer.lower()].append(number)
    for numbers in by_layer.values():
        for copies in _copies([loose[number] for number in numbers]):
            these = [numbers[copy] for copy in copies]
            for path in _paths([loose[each].contour for each in these]):
                pieces = [
                    piece
                    for at, forwards in path
                    for piece in _directed(loose[these[at]].contour, forwards)
                ]
                first = min(these[at] for at, _ in path)
                handles = tuple(loose[these[at]].handle for at, _ in path)
                chain = _Chain(_joined(pieces), loose[first].layer, handles)
                placed.append((first, chain))
    return [chain for _, chain in sorted(placed, key=lambda each: each[0])]


def _ends(contour: Contour) -> tuple[Point, Point]:
    first, last = contour.vertices[0], contour.vertices[-1]
    return (first.x, first.y), (last.x, last.y)


def _closed(contour: Contour) -> Contour:
    """Closed where an open contour ends where it begins."""
    if contour.closed or len(contour.vertices) < 3:
        return contour
    if math.dist(*_ends(contour)) > JOINED:
        return contour
    return Contour(contour.vertices[:-1])


def _directed(contour: Contour, forwards: bool) -> Iterable[Piece]:
    if forwards:
        return contour.pieces
    return [piece.backwards() for piece in reversed(contour.pieces)]


def _joined(pieces: Sequence[Piece]) -> Contour:
    """Pieces that follow one another; where two ends differ, the later one's counts."""
    vertices = [Vertex(piece.x0, piece.y0, piece.bulge) for piece in pieces]
    vertices.append(Vertex(pieces[-1].x1, pieces[-1].y1))
    return _closed(Contour(tuple(vertices), closed=False))


class _Places:
    """Points told apart by more than :data:`JOINED`, each with a number; found by a grid."""

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], list[int]] = defaultdict(list)
        self._points: list[Point] = []

    def number(self, point: Point) -> int:
        i, j = (math.floor(c / JOINED) for c in point)
        near = [
            each
            for di in (-1, 0, 1)
            for dj in (-1, 0, 1)
            for each in self._cells.get((i + di, j + dj), ())
            if math.dist(self._points[each], point) <= JOINED
        ]
        if near:
            return min(near, key=lambda each: math.dist(self._points[each], point))
        self._points.append(point)
        self._cells[i, j].append(len(self._points) - 1)
        return len(self._points) - 1


def _copies(loose: Sequence[_Loose]) -> list[list[int]]:
    """First all that are there once, then what is there a second time, and so on.

    So that a line drawn twice is a run of its own, and does not keep the others from joining.
    """
    places = _Places()
    seen: dict[tuple[int, ...], int] = defaultdict(int)
    found: list[list[int]] = []
    for number, one in enumerate(loose):
        start, end = _ends(one.contour)
        middle = one.contour.pieces[0].at(0.5 if len(one.contour.pieces) == 1 else 1.0)
        ends = sorted((places.number(start), places.number(end)))
        key = (*ends, places.number(middle))
        if seen[key] == len(found):
            found.append([])
        found[seen[key]].append(number)
        seen[key] += 1
    return found


def _paths(contours: Sequence[Contour]) -> list[list[tuple[int, bool]]]:
    """Which contours follow one another, and whether each is run forwards.

    Two are joined where they meet and no third does.
    """
    places = _Places()
    ends = [tuple(places.number(point) for point in _ends(contour)) for contour in contours]
    meeting: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for number, pair in enumerate(ends):
        for side, place in enumerate(pair):
            meeting[place].append((number, side))

    def beyond(number: int, side: int) -> tuple[int, int] | None:
        """The contour that goes on from an end of this one, and which of its ends meets it."""
        these = meeting[ends[number][side]]
        if len(these) != 2:
            return None
        return these[1] if these[0] == (number, side) else these[0]

    used = [False] * len(contours)

    def walk(number: int, side: int) -> list[tuple[int, bool]]:
        """From an end of a contour along it and on, as far as it goes."""
        path: list[tuple[int, bool]] = []
        step: tuple[int, int] | None = (number, side)
        while step is not None and not used[step[0]]:
            number, side = step
            used[number] = True
            path.append((number, side == 0))
            step = beyond(number, 1 - side)
        return path

    found = []
    for number in range(len(contours)):  # first what begins at a loose end, then what is a ring
        for side in (0, 1):
            if not used[number] and beyond(number, side) is None:
                found.append(walk(number, side))
    found += [walk(number, 0) for number in range(len(contours)) if not used[number]]
    return found


# Roles -------------------------------------------------------------------------------------------


def _with_roles(chains: Sequence[_Chain], roles: dict[str, list[str]]) -> tuple[Run, ...]:
    """Runs with their roles by layer, and by nesting where two roles share one layer."""
    found: list[Run] = []
    shared: list[int] = []
    for chain in chains:
        names = roles.get(chain.layer.lower(), [])
        contour, lead = chain.contour, None
        if {"outside", "inside"} & set(names):
            contour, lead = _led(contour)
        if {"outside", "inside"} <= set(names):
            shared.append(len(found))
        role = names[0] if names else ""
        found.append(Run(contour, chain.layer, role, chain.entities, lead))
    if shared:
        depths = nesting([found[number].contour for number in shared])
        for number, depth in zip(shared, depths, strict=True):
            if depth % 2:
                found[number] = replace(found[number], role="inside")
    return tuple(found)


def _led(contour: Contour) -> tuple[Contour, Contour | None]:
    """The closed contour in an open one whose end meets one of its own corners, and the lead."""
    if contour.closed:
        return contour, None
    *inner, last = contour.vertices
    for k, vertex in enumerate(inner[:-1]):
        if k and math.dist(vertex[:2], last[:2]) <= JOINED:
            return Contour(tuple(inner[k:])), Contour(contour.vertices[: k + 1], closed=False)
    return contour, None


def nesting(contours: Sequence[Contour]) -> list[int]:
    """In how many larger closed contours each one lies, by a point within it.

    >>> plate = Contour.rectangle(0, 0, 30, 20)
    >>> nesting([plate, Contour.circle(10, 10, 5), Contour.circle(10, 10, 2)])
    [0, 1, 2]
    """
    import numpy as np
    import shapely

    rings, numbers = [], []
    for number, contour in enumerate(contours):
        points = contour.points()
        if contour.closed and len(points) > 2:
            rings.append(shapely.Polygon(points))
            numbers.append(number)
    depths = [0] * len(contours)
    if not rings:
        return depths
    areas = np.array([abs(contours[number].area) for number in numbers])
    once = ~_repeated(shapely.bounds(rings), areas)
    inner = shapely.point_on_surface(rings)
    outer, within = shapely.STRtree(inner).query(rings, predicate="contains")
    for one in within[once[outer] & (areas[outer] > areas[within] * (1.0 + 1e-6))]:
        depths[numbers[one]] += 1
    # an open run belongs where it begins
    loose = [number for number, contour in enumerate(contours) if not contour.closed]
    if not loose:
        return depths
    starts = shapely.points([contours[number].vertices[0][:2] for number in loose])
    outer, held = shapely.STRtree(starts).query(rings, predicate="contains")
    for one in held[once[outer]]:
        depths[loose[one]] += 1
    return depths


def _repeated(boxes: Any, areas: Any) -> Any:
    """Which rings are an earlier one drawn again: a thing that is there twice holds no deeper."""
    import numpy as np
    import shapely

    corners = shapely.points(boxes[:, :2])
    one, other = shapely.STRtree(corners).query(corners, predicate="dwithin", distance=JOINED)
    alike = (
        (one < other)
        & (np.abs(boxes[one] - boxes[other]).max(axis=1, initial=0.0) <= JOINED)
        & (np.abs(areas[one] - areas[other]) <= 1e-3 * areas[one])
    )
    found = np.zeros(len(areas), dtype=bool)
    found[other[alike]] = True
    return found
