"""The head at mid-height, looking down the handle: what the wrap is computed from.

Only the half with positive z is built; the other is its mirror image. From the back forwards the
half shows the poll's flat back and side, the corner's fill, the wall ``t`` thick round the eye, the
shoulder step, and the cheek as far as the blade's first thickness station.

The wall's own outside is the eye offset by ``t``. Behind, the poll's square sides are carried
forward as far as wanted and then fall to the wall at 45 degrees: what they enclose fills the
corners between the round of the eye and the square of the poll, and is metal that the straps must
bring. Round a poll narrower than the head the walls run back to its sides, or its sides run into
them. Where the fold leaves no poll the wall runs on round the back; where the back is folded shut,
two shoulder steps of the poll close a part of the eye's back as two others close its nose.
Ahead, the cheek is the tangent from the first station to the wall; what it encloses belongs to the
blade.

Bending moves metal but makes none, so the plan's area ahead of the poll, as far as the shoulders,
is what the two drawn straps were: ``2 l t = A``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from .contour import Contour, Piece, Point
from .eye import EyeForm
from .sources import HOT_NEUTRAL


class PlanError(ValueError):
    """The plan view cannot be drawn. ``reason`` is one of those below."""

    MEETING = "the shoulders would meet behind the eye"
    SIDES = "the poll's sides reach past the shoulders"
    REAR = "the poll's steps would close more of the eye than its back half"
    STATION = "the first thickness station lies inside the wall round the eye's front"

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(reason)


@dataclass(frozen=True)
class PlanView:
    """Half the plan view [mm]: x from the back of the poll, z (second coordinate) across.

    Every run goes from back to front. ``eye`` is the eye's side, ``skin`` the outside of the head
    from the poll's back to the first station. ``cap`` is the eye's point at which the front cap
    begins and ``shoulder`` the point square across the wall from it; ``eye_wall`` and ``skin_wall``
    are the wall's two faces as far as these. ``cap_length`` is the length of eye that the shoulders
    close, ``rear_length`` what the poll's steps close, ``turning`` the angle [rad] that the eye
    turns through between. Without a poll ``poll_width`` is 0 and ``poll_thickness`` the wall's.
    """

    form: EyeForm
    wall: float
    poll_width: float
    poll_thickness: float
    eye: tuple[Piece, ...]
    skin: tuple[Piece, ...]
    cap: Point
    shoulder: Point
    eye_wall: tuple[Piece, ...]
    skin_wall: tuple[Piece, ...]
    cap_length: float
    rear_length: float
    turning: float

    @property
    def eye_back(self) -> float:
        return self.poll_thickness

    @property
    def eye_front(self) -> float:
        return self.poll_thickness + self.form.length

    @property
    def width(self) -> float:
        """Greatest width of the head at the eye or the poll [mm]."""
        return 2.0 * max(y for piece in self.skin for _, y in piece.extremes())

    @cached_property
    def wall_half(self) -> Contour:
        """One wall from the poll to its shoulder, as a closed contour."""
        begin, step = self._ends()
        back = [p.backwards() for p in reversed(self.eye_wall)]
        return Contour.of_pieces([begin, *self.skin_wall, step, *back])

    @cached_property
    def wall_area(self) -> float:
        """Area of both walls from the poll as far as the shoulders [mm2]."""
        begin, step = self._ends()
        outside = sum(p.under for p in self.skin_wall) + begin.under + step.under
        return 2.0 * (outside - sum(p.under for p in self.eye_wall))

    def _ends(self) -> tuple[Piece, Piece]:
        """Across the wall where it begins, outwards, and where it ends, inwards."""
        begin = Piece(*self.eye_wall[0].at(0.0), *self.skin_wall[0].at(0.0))
        return begin, Piece(*self.shoulder, *self.cap)

    def drawn_strap(self, *, neutral: float, offset: float = 0.0) -> float:
        """What each strap must be drawn to [mm]: half of the walls' area over their thickness.

        A neutral line beside the wall's middle, as a share of it from the inside, shifts it; so
        does the smith's own ``offset`` [mm].
        """
        shift = self.turning * (neutral - HOT_NEUTRAL.value) * self.wall / 2.0
        return self.wall_area / (2.0 * self.wall) + shift + offset

    @cached_property
    def outside(self) -> Contour:
        """The skin on both sides, closed across the first station."""
        other = [p.flipped() for p in self.skin]
        end = self.skin[-1]
        across = Piece(end.x1, -end.y1, end.x1, end.y1)
        back = [p.backwards() for p in reversed(self.skin)]
        return Contour.of_pieces([*other, across, *back])


def plan_view(
    *,
    form: EyeForm,
    wall: float,
    step: float,
    poll_width: float | None,
    poll_thickness: float,
    sides_forward: float,
    station: Point,
    rear: float = 0.0,
) -> PlanView:
    """Lay down half the plan view.

    Parameters
    ----------
    form : the eye
    wall : thickness of the wall [mm]
    step : length along the eye that the shoulders close on each side of its nose [mm]
    poll_width, poll_thickness : the poll's block across and along the head [mm]; without a width
        there is no poll, and the wall runs round the back
    sides_forward : how far its sides are carried forward of the eye's back [mm]
    station : the first thickness station: x [mm] and half the thickness there [mm]
    rear : length along the eye that the poll closes on each side of its back [mm]

    Raises
    ------
    PlanError
        If the steps would meet behind the eye's widest place, the poll's sides reach past them, its
        own steps pass that place, or the station lies inside the wall.
    """
    thick = wall if poll_width is None else poll_thickness
    eye = tuple(p.moved(thick) for p in form.half)
    half_length = sum(p.length for p in eye)
    if step >= half_length:
        raise PlanError(PlanError.MEETING)
    band = [_offset(p, wall) for p in eye]
    whole, share = _reached(eye, half_length - step)
    to_cap = [*eye[:whole], eye[whole].part(0.0, share)]
    to_shoulder = [*band[:whole], band[whole].part(0.0, share)]
    if _turned(to_cap) < math.pi - 1e-9:
        raise PlanError(PlanError.MEETING)
    whole, share = _reached(to_cap, rear)
    closed = _turned([*to_cap[:whole], to_cap[whole].part(0.0, share)])
    if closed > math.pi + 1e-9:
        raise PlanError(PlanError.REAR)

    if poll_width is None:
        skin, skin_wall = _reaching(band, 0, station), to_shoulder
    else:
        half = poll_width / 2.0
        narrow = half < form.width / 2.0 + wall - 1e-6
        begun = _met(band, thick + sides_forward, half) if narrow else None
        ahead = _from_poll(band, begun, thick, half, sides_forward)
        skin_wall = _from_poll(to_shoulder, begun, thick, half, sides_forward)
        side, *rest = _reaching(ahead, 2, station)  # a narrow poll's side may end behind the eye
        skin = [Piece(0.0, 0.0, 0.0, half), Piece(0.0, half, *side.at(1.0)), *rest]
    return PlanView(
        form, wall, poll_width or 0.0, thick, eye, _solid(skin), to_cap[-1].at(1.0),
        skin_wall[-1].at(1.0), _solid(to_cap), _solid(skin_wall), 2.0 * step, 2.0 * rear,
        _turned(to_cap) - closed,
    )  # fmt: skip


def _turned(half: list[Piece]) -> float:
    """The angle that a half of the eye and its like on the other side turn through [rad]."""
    return 2.0 * abs(sum(p.sweep for p in half))


def _from_poll(
    band: list[Piece], begun: tuple[int, float] | None, thick: float, half: float, forward: float
) -> list[Piece]:
    """The outside from the eye's back on: the poll's side, its fall if any, and the band.

    ``begun`` is where the side of a poll narrower than the head meets the band.
    """
    corner = (thick + forward, half)
    if begun is None:
        return [Piece(thick, half, *corner), *_fallen(band, corner)]
    whole, share = begun
    rest = _from(band, whole, share)
    at = rest[0].at(0.0)
    return [Piece(thick, half, *at), Piece(*at, *at), *rest]


def _solid(pieces: list[Piece]) -> tuple[Piece, ...]:
    return tuple(p for p in pieces if p.chord > 1e-9)


def _offset(p: Piece, by: float) -> Piece:
    """The piece shifted to its left by ``by``; an arc that turns right grows."""
    middle, half = p.angle_at(0.5) + math.pi / 2.0, p.sweep / 2.0
    a, b = middle - half, middle + half
    return Piece(
        p.x0 + by * math.cos(a), p.y0 + by * math.sin(a),
        p.x1 + by * math.cos(b), p.y1 + by * math.sin(b), p.bulge,
    )  # fmt: skip


def _reached(pieces: Sequence[Piece], at: float) -> tuple[int, float]:
    """How many whole pieces, and which share of the next, a length along a run takes."""
    for i, piece in enumerate(pieces):
        length = piece.length
        if at <= length:
            return i, at / length
        at -= length
    return len(pieces) - 1, 1.0


def _met(band: list[Piece], corner: float, half: float) -> tuple[int, float] | None:
    """Where the side of a poll narrower than the head meets the band's outside: piece and share.

    None where the side ends at ``corner`` before it meets.
    """
    for i, p in enumerate(band):
        for share in sorted(_crossings(p, corner, half, 1.0, 0.0)):
            return (i, share) if p.at(share)[0] < corner else None
    return None


def _from(band: list[Piece], whole: int, share: float) -> list[Piece]:
    """The band from a share of one of its pieces on; a band that ends before it cannot be."""
    if whole >= len(band):
        raise PlanError(PlanError.SIDES)
    return [band[whole].part(share, 1.0), *band[whole + 1 :]]


def _fallen(band: list[Piece], corner: Point) -> list[Piece]:
    """From the poll's corner down at 45 degrees to the wall's outside, and along that."""
    u = math.sqrt(0.5)
    for i, p in enumerate(band):
        if p.x1 < corner[0] - 1e-9:  # behind the corner: the band runs forward
            continue
        for share in _crossings(p, *corner, u, -u):
            x, y = p.at(share)
            if x >= corner[0] - 1e-9:
                return [Piece(*corner, x, y), p.part(share, 1.0), *band[i + 1 :]]
    raise PlanError(PlanError.SIDES)


def _reaching(run: list[Piece], first: int, station: Point) -> list[Piece]:
    """The run as far as where a line from the first station touches the wall, and that line.

    The wall begins with the piece ``first``; the poll's side and its fall before it are not
    touched: a cheek that began at the poll's corner would bury the wall.
    """
    px, py = station
    best: tuple[float, int, float] | None = None
    for i, p in enumerate(run[first:], first):
        for share in (0.0, 1.0, *_tangents(p, px, py)):
            x, y = p.at(share)
            if x < px and (best is None or (py - y) / (px - x) < best[0]):
                best = ((py - y) / (px - x), i, share)
    if best is None or run[-1].x1 >= px:  # the wall runs forward as far as it goes
        raise PlanError(PlanError.STATION)
    _, i, share = best
    return [*run[:i], run[i].part(0.0, share), Piece(*run[i].at(share), px, py)]


def _tangents(p: Piece, px: float, py: float) -> list[float]:
    """Shares of an arc at which a line from a point touches it."""
    if p.is_line:
        return []
    cx, cy = p.centre
    away = math.hypot(px - cx, py - cy)
    if away <= p.radius:
        return []
    towards, lean = math.atan2(py - cy, px - cx), math.acos(p.radius / away)
    start = math.atan2(p.y0 - cy, p.x0 - cx)
    sign = 1.0 if p.bulge > 0 else -1.0
    turns = ((sign * (a - start)) % math.tau for a in (towards + lean, towards - lean))
    return [turn / abs(p.sweep) for turn in turns if turn < abs(p.sweep)]


def _crossings(p: Piece, ox: float, oy: float, ux: float, uy: float) -> list[float]:
    """Shares of a piece at which it meets an endless line."""
    slack = 1e-9
    if p.is_line:
        d0 = (p.x0 - ox) * uy - (p.y0 - oy) * ux
        d1 = (p.x1 - ox) * uy - (p.y1 - oy) * ux
        if d0 == d1:
            return []
        share = d0 / (d0 - d1)
        return [min(max(share, 0.0), 1.0)] if -slack <= share <= 1.0 + slack else []
    cx, cy = p.centre
    off = (cx - ox) * uy - (cy - oy) * ux
    if abs(off) > p.radius:
        return []
    along = (cx - ox) * ux + (cy - oy) * uy
    half = math.sqrt(p.radius**2 - off**2)
    start = math.atan2(p.y0 - cy, p.x0 - cx)
    sign = 1.0 if p.bulge > 0 else -1.0
    found = []
    for s in (along - half, along + half):
        turn = (sign * (math.atan2(oy + s * uy - cy, ox + s * ux - cx) - start)) % math.tau
        if turn > math.tau - slack:
            turn = 0.0
        share = turn / abs(p.sweep)
        if share <= 1.0 + slack:
            found.append(min(share, 1.0))
    return found
