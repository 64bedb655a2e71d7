"""A second model of the head, made by other means: Shapely's offsets and hulls, Manifold's solids.

Nothing here uses the package's plan view, its integration or its bit: eye, wall, poll corners and
cheeks are built from the parameters as unions of polygons, the blade as the intersection of a side
prism, a plan prism and a double cone, and the bit as a turned plate with a scarf inside it. The
side view's outline is the package's own; test_shape.py measures it by itself.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
import trimesh
from manifold3d import Manifold, Mesh64
from scipy.special import gamma
from shapely import LineString, Polygon

from patterns.derived import eye_heights, eye_size, poll_left
from patterns.head import Head
from patterns.parameters import Eye

SAGITTA = 0.002
FACETS = 1000
QUARTER = 400
"""Sides of a quarter circle in Shapely's offsets: a chord stands r/(8 x 2.5^2 x 400^2) off."""


def eye_points(eye: Eye) -> np.ndarray:
    """Half the eye from its back to its nose, on the upper side, 2000 points, from its equation."""
    length, width = eye_size(eye)
    turn = np.linspace(math.pi, 0.0, 2001)
    if eye.form in ("circle", "ellipse", "superellipse"):
        n = {"superellipse": eye.exponent}.get(eye.form, 2.0)
        c, s = np.cos(turn), np.abs(np.sin(turn))
        x = np.sign(c) * np.abs(c) ** (2.0 / n) * length / 2.0 + length / 2.0
        return np.stack([x, s ** (2.0 / n) * width / 2.0], axis=1)
    nose = width / 2.0 if eye.form == "stadium" else eye.front_radius
    circles = [
        shapely.Point(at, 0.0).buffer(radius, quad_segs=QUARTER)
        for at, radius in ((width / 2.0, width / 2.0), (length - nose, nose))
    ]
    hull = np.array(shapely.union_all(circles).convex_hull.exterior.coords)
    upper = hull[hull[:, 1] >= -1e-9]
    return upper[np.argsort(upper[:, 0], kind="stable")]


def both_sides(upper: np.ndarray) -> Polygon:
    return Polygon(np.concatenate([upper, (upper * (1.0, -1.0))[::-1]])).buffer(0)


def _kept(solid: trimesh.Trimesh) -> Manifold:
    """In double precision. trimesh hands its own over in single, and where the edge's arc lies on
    the rim of the turned bevel a boolean then lost up to 0.14 % of the blade."""
    return Manifold(
        Mesh64(
            vert_properties=np.array(solid.vertices, np.float64),
            tri_verts=np.array(solid.faces, np.uint64),
        )
    )


def _given(solid: Manifold) -> trimesh.Trimesh:
    mesh = solid.to_mesh64()
    return trimesh.Trimesh(mesh.vert_properties, mesh.tri_verts, process=False)


def met(one: trimesh.Trimesh, other: trimesh.Trimesh) -> trimesh.Trimesh:
    """What both solids hold."""
    return _given(_kept(one) ^ _kept(other))


def joined(first: trimesh.Trimesh, *others: trimesh.Trimesh) -> trimesh.Trimesh:
    """What any of the solids holds."""
    return _given(sum((_kept(o) for o in others), start=_kept(first)))


@dataclass(frozen=True)
class Solid:
    """The second model. x from the back of the poll, y along the handle, z across [mm]."""

    head: Head

    # Plan view -------------------------------------------------------------------------------

    @cached_property
    def back(self) -> float:
        """x of the eye's back: the poll's thickness, or what the bar leaves; else the wall's."""
        design = self.head.design
        asked = design.poll.thickness
        if design.fold.form == "block":
            most = poll_left(design) + (design.plate.thickness or 0.0)
            return most if asked is None else min(asked, most)
        return design.wall.thickness if asked is None else asked

    @cached_property
    def upper_eye(self) -> np.ndarray:
        return eye_points(self.head.design.eye) + np.array([self.back, 0.0])

    @cached_property
    def eye(self) -> Polygon:
        return both_sides(self.upper_eye)

    @cached_property
    def half_width(self) -> float:
        """Half the poll's width: the head's at the eye with its overhang, two bars of a fold that
        is folded shut, nothing where a wall runs round the back."""
        design = self.head.design
        match design.fold.form:
            case "block":
                wall, over = design.wall.thickness, design.poll.overhang
                return eye_size(design.eye)[1] / 2.0 + wall + over / 2.0
            case "closed":
                return design.bar.thickness
        return 0.0

    @cached_property
    def block(self) -> Polygon:
        """The poll, plate and all."""
        return shapely.box(0.0, -self.half_width, self.back, self.half_width)

    @cached_property
    def ahead_of_poll(self) -> Polygon:
        """Where walls are: ahead of the poll's front, and beside a poll narrower than the head."""
        design = self.head.design
        head = eye_size(design.eye)[1] / 2.0 + design.wall.thickness
        if self.half_width < head - 1e-6:
            return shapely.box(-100.0, -500.0, 2000.0, 500.0).difference(self.block)
        return shapely.box(self.back, -500.0, 2000.0, 500.0)

    @cached_property
    def band(self) -> Polygon:
        """The wall all round the eye, eye left open."""
        wall = self.head.design.wall.thickness
        return self.eye.buffer(wall, quad_segs=QUARTER).difference(self.eye)

    @cached_property
    def corners(self) -> Polygon:
        """Square sides carried forward, falling at 45 degrees; on both sides, eye not cut out."""
        far = self.back + self.head.design.poll.sides_forward
        side = self.half_width
        if side == 0.0:
            return Polygon()
        upper = np.array([(self.back, 0.0), (self.back, side), (far, side), (far + side, 0.0)])
        return both_sides(upper)

    @cached_property
    def cap_strip(self) -> Polygon:
        """The wall ahead of the shoulder steps, by points of the eye and their normals."""
        design = self.head.design
        t = design.wall.thickness
        # two shoulders, or one across both sides; the insert of two cheeks between them
        step = design.hand.step * (design.bar.thickness - t)
        step *= 0.5 if design.fold.form == "one-sided" else 1.0
        step += design.bit.tip / 2.0 if design.fold.form == "cheeks" else 0.0
        run = LineString(self.upper_eye)
        shares = np.linspace(run.length - step, run.length, 1500)
        here = np.array([run.interpolate(s).coords[0] for s in shares])
        ahead = np.array([run.interpolate(s + 1e-4).coords[0] for s in shares])
        behind = np.array([run.interpolate(s - 1e-4).coords[0] for s in shares])
        along = ahead - behind
        along /= np.hypot(*along.T)[:, None]
        along[-1] = (0.0, -1.0)
        outer = here + t * np.stack([-along[:, 1], along[:, 0]], axis=1)
        upper = Polygon(np.concatenate([here, outer[::-1]])).buffer(0)
        return shapely.union(upper, shapely.affinity.scale(upper, 1.0, -1.0, origin=(0, 0)))

    @cached_property
    def walls(self) -> Polygon:
        """Both walls with the corners' fill, from the eye's back to the shoulder steps."""
        filled = shapely.union(self.band, self.corners).difference(self.eye)
        return filled.difference(self.cap_strip).intersection(self.behind_steps)

    @cached_property
    def behind_steps(self) -> Polygon:
        """All ahead of the poll; the corners' fall may not reach through the eye to its front."""
        middle = self.back + eye_size(self.head.design.eye)[0] / 2.0
        fall = self.corners.difference(shapely.union(self.eye, self.band))
        stray = fall.intersection(shapely.box(middle, -500.0, 2000.0, 500.0))
        return self.ahead_of_poll.difference(stray)

    @cached_property
    def plan(self) -> Polygon:
        """All of the head at mid-height, with the taper carried on beyond the edge."""
        design = self.head.design
        front = self.back + eye_size(design.eye)[0]
        stations = sorted((front + x, t / 2.0) for x, t in design.blade.stations)
        wall = self.eye.buffer(design.wall.thickness, quad_segs=QUARTER)
        body = shapely.union(wall, self.corners).intersection(self.ahead_of_poll)
        first = stations[0]
        # the cheeks are tangents from the first station to what the corners leave bare of the wall
        points = np.array(body.exterior.coords)
        bare = np.ones(len(points), bool)
        if not self.corners.is_empty:
            bare = shapely.distance(self.corners, shapely.points(points)) > 1e-9
        points = points[bare & (points[:, 0] > self.back) & (points[:, 0] < first[0])]
        slopes = (first[1] - points[:, 1]) / (first[0] - points[:, 0])
        touch = points[int(np.argmin(slopes))]
        cheek = both_sides(np.array([(touch[0], 0.0), touch, first, (first[0], 0.0)]))
        far = (self.head.length + 50.0, stations[-1][1])
        taper = both_sides(np.array([(first[0], 0.0), *stations, far, (far[0], 0.0)]))
        return shapely.union_all([self.block, body, cheek, taper]).difference(self.eye)

    # Solids ----------------------------------------------------------------------------------

    @cached_property
    def side(self) -> trimesh.Trimesh:
        outline = Polygon(self.head.side.contour.points(SAGITTA))
        solid = trimesh.creation.extrude_polygon(outline, 400.0)
        solid.apply_translation([0.0, 0.0, -200.0])
        return solid

    def upright(self, region: shapely.Geometry) -> trimesh.Trimesh:
        """A plan region carried along the handle and cut to the side view."""
        turn = np.array([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]], float)
        parts = [p for p in getattr(region, "geoms", [region]) if p.area > 1e-9]
        solids = []
        for part in parts:
            solid = trimesh.creation.extrude_polygon(part.simplify(1e-5), 800.0)
            solid.apply_translation([0.0, 0.0, -400.0])
            solid.apply_transform(turn)
            solids.append(solid)
        return met(self.side, joined(*solids))

    def turned(self, section: list[tuple[float, float]], carried: bool) -> trimesh.Trimesh:
        """A section (distance from the edge's centre, z), given by its upper half, from the rim in.

        Ahead of the edge's centre it is turned about it; behind, carried straight back if wanted,
        so that a blade longer than its edge's radius does not grow thin again.
        """
        lower = [(r, -z) for r, z in section[::-1] if z > 0.0]
        ring = [*section, *lower, section[0]]
        round_about = trimesh.creation.revolve(np.array(ring), sections=FACETS)
        ahead = trimesh.creation.box(extents=[1000.0, 4000.0, 1000.0])
        ahead.apply_translation([500.0, 0.0, 0.0])
        parts = [met(round_about, ahead)]
        turn = np.array([[0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]], float)
        for side in (1.0, -1.0) if carried else ():
            bar = trimesh.creation.extrude_polygon(
                Polygon([(side * r, z) for r, z in ring]).buffer(0), 400.0
            )
            bar.apply_translation([0.0, 0.0, -400.0])
            bar.apply_transform(turn)
            parts.append(bar)
        solid = joined(*parts)
        edge = self.head.side.edge
        solid.apply_translation([edge.x, edge.y, 0.0])
        return solid

    @cached_property
    def start(self) -> float:
        """x of the first station."""
        design = self.head.design
        return self.back + eye_size(design.eye)[0] + min(x for x, _ in design.blade.stations)

    @cached_property
    def behind(self) -> trimesh.Trimesh:
        """All behind the first station, eye plumb."""
        return self.upright(self.plan.intersection(shapely.box(-10.0, -500.0, self.start, 500.0)))

    @cached_property
    def blade(self) -> trimesh.Trimesh:
        """All ahead of the first station, ground to the edge as a grinder would.

        One face flat: the whole taper stands on the other, and the cone on the flat face's plane.
        """
        return self.ground(self.head.design.blade.bevel)

    def ground(self, bevel: str) -> trimesh.Trimesh:
        """The blade with a bevel: both, one, convex; or ``bent``, of one face but even."""
        blade, radius = self.head.design.blade, self.head.side.edge.radius
        ahead = self.plan.intersection(shapely.box(self.start, -500, 2000, 500))
        angle = math.radians(blade.edge_angle)
        if bevel == "one":
            half = max(stations for _, stations in blade.stations) + 50.0
            upper = ahead.intersection(shapely.box(0.0, 0.0, 3000.0, half))
            rough = self.upright(shapely.affinity.scale(upper, 1.0, 2.0, origin=(0.0, 0.0)))
            section = [(radius, 0.0), (0.0, radius * math.tan(angle))]
        elif bevel == "convex":
            rough = self.upright(ahead)
            far, level = self.head.blade.bevel.reach, self.head.blade.bevel.apex
            depth = np.linspace(0.0, min(far, radius), 120)  # 2e-4 mm off the parabola
            high = math.tan(angle / 2.0) * depth * (1.0 - depth / (2.0 * level))
            section = list(zip((radius - depth).tolist(), high.tolist(), strict=True))
            if far < radius:  # beyond it nothing is ground
                section += [(radius - far, 400.0), (0.0, 400.0)]
        else:
            rough = self.upright(ahead)
            gained = math.tan(angle) / 2.0 if bevel == "bent" else math.tan(angle / 2.0)
            section = [(radius, 0.0), (0.0, radius * gained)]
        cone = self.turned(section, carried=True)
        return met(rough, cone)

    @cached_property
    def bit(self) -> trimesh.Trimesh:
        bit, outer = self.head.design.bit, self.head.side.edge.radius
        thick, thin = bit.thickness / 2.0, bit.tip / 2.0
        rim, end = outer - bit.insertion + bit.scarf, outer - bit.insertion
        plate = self.turned([(outer + 1.0, thick), (rim, thick), (end, thin)], carried=False)
        # a blade with one face flat is bent even about its middle first, which keeps every column
        one = self.head.design.blade.bevel == "one"
        blade = self.ground("bent") if one else self.blade
        return met(blade, plate)

    @cached_property
    def leaning(self) -> float:
        """Metal that taper and flare move [mm3]: half the perimeter by half the height by the mean
        of what they open at the ends."""
        eye, tall = self.head.design.eye, self.head.side.contour.bounds.height
        return (abs(eye.taper) + 2.0 * eye.flare) / 8.0 * self.head.eye.perimeter * tall

    def taper_void(self, layers: int = 600) -> tuple[float, float, float]:
        """What taper and flare take out besides the plumb eye: volume [mm3], its x and y moments.

        The handle's axis is cut into layers; in each the eye is offset and the metal between the
        two eyes counted where the side view has metal at that height.
        """
        design, outline = self.head.design, Polygon(self.head.side.contour.points(SAGITTA))
        above, below = eye_heights(design)
        low, high = outline.bounds[1], outline.bounds[3]
        step = (high - low) / layers
        volume = along = lift = 0.0
        for y in low + step * (np.arange(layers) + 0.5):
            cut = outline.intersection(LineString([(-10.0, y), (self.start, y)]))
            slabs = [
                shapely.box(x0, -500.0, x1, 500.0)
                for x0, _, x1, _ in (part.bounds for part in getattr(cut, "geoms", [cut]))
                if x1 > x0
            ]
            out = design.eye.taper / 2.0 * y / (above + below)
            out += design.eye.flare / 2.0 * abs(y) / (above if y > 0.0 else below)
            eye = self.eye.buffer(out, quad_segs=60)
            sign = 1.0 if out > 0 else -1.0
            ring = eye.symmetric_difference(self.eye).intersection(shapely.union_all(slabs))
            metal = sign * ring.area * step
            volume += metal
            along += metal * (ring.centroid.x if not ring.is_empty else 0.0)
            lift += metal * y
        return volume, along, lift


def columns(solid: Solid, step: float = 0.1) -> dict[str, float]:
    """Blade and bit by brute force [mm3, mm2]: a grid over the side view, from the parameters.

    ``steel`` and ``bit`` are volumes, ``area`` that of the side view and ``shows`` that over which
    bit is on the face.
    """
    h, design = solid.head, solid.head.design
    outline = Polygon(h.side.contour.points(SAGITTA))
    _, low, right, high = outline.bounds
    x, y = np.meshgrid(
        np.arange(solid.start + step / 2.0, right, step), np.arange(low + step / 2.0, high, step)
    )
    inside = shapely.contains_xy(outline, x.ravel(), y.ravel()).reshape(x.shape)
    edge, blade, bit = h.side.edge, design.blade, design.bit
    front = solid.back + eye_size(design.eye)[0]
    places, thick = zip(*sorted((front + at, t) for at, t in blade.stations), strict=True)
    depth = np.maximum(edge.radius - np.hypot(np.maximum(x - edge.x, 0.0), y - edge.y), 0.0)
    angle = np.radians(blade.edge_angle)
    bevel = depth * (np.tan(angle) if blade.bevel == "one" else 2.0 * np.tan(angle / 2.0))
    if blade.bevel == "convex":
        far, level = h.blade.bevel.reach, h.blade.bevel.apex
        bevel = np.where(depth < far, bevel * (1.0 - depth / (2.0 * level)), 1e9)
    steel = np.where(inside, np.minimum(np.interp(x, places, thick), bevel), 0.0)
    cell = step * step
    found = {"steel": float(steel.sum()) * cell, "area": float(inside.sum()) * cell}
    if bit.form == "none" or bit.thickness is None or bit.insertion is None:
        return {**found, "bit": 0.0, "shows": 0.0}
    scarf = np.clip((bit.insertion - depth) / bit.scarf, 0.0, 1.0)
    plate = bit.tip + (bit.thickness - bit.tip) * scarf
    reaches = inside & (depth < bit.insertion) & (x >= edge.x)
    if bit.form == "overlaid":  # a leg under each face, and all of it where both meet
        metal = 2.0 * np.minimum(plate, steel / 2.0)
        shows = reaches
    else:  # where the ground bevel has cut through the body, the bit shows
        metal = np.minimum(plate, steel)
        shows = reaches & (steel < plate)
    return {
        **found,
        "bit": float(np.where(reaches, metal, 0.0).sum()) * cell,
        "shows": float(shows.sum()) * cell,
    }


def superellipse_area(length: float, width: float, exponent: float) -> float:
    """``4 a b G(1 + 1/n)^2 / G(1 + 2/n)``, with SciPy's gamma function."""
    return float(length * width * gamma(1 + 1 / exponent) ** 2 / gamma(1 + 2 / exponent))
