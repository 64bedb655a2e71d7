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
from scipy.special import gamma
from shapely import LineString, Polygon

from patterns.derived import eye_heights, eye_size, poll_left
from patterns.head import Head
from patterns.parameters import Eye

SAGITTA = 0.002
FACETS = 4000
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


@dataclass(frozen=True)
class Solid:
    """The second model. x from the back of the poll, y along the handle, z across [mm]."""

    head: Head

    # Plan view -------------------------------------------------------------------------------

    @cached_property
    def back(self) -> float:
        """x of the eye's back: the poll's thickness, or what the bar leaves."""
        design = self.head.design
        asked = design.poll.thickness
        return poll_left(design) if asked is None else min(asked, poll_left(design))

    @cached_property
    def upper_eye(self) -> np.ndarray:
        return eye_points(self.head.design.eye) + np.array([self.back, 0.0])

    @cached_property
    def eye(self) -> Polygon:
        return both_sides(self.upper_eye)

    @cached_property
    def half_width(self) -> float:
        design = self.head.design
        return eye_size(design.eye)[1] / 2.0 + design.wall.thickness + design.poll.overhang / 2.0

    @cached_property
    def ahead_of_poll(self) -> Polygon:
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
        upper = np.array([(self.back, 0.0), (self.back, side), (far, side), (far + side, 0.0)])
        return both_sides(upper)

    @cached_property
    def cap_strip(self) -> Polygon:
        """The wall ahead of the shoulder steps, by points of the eye and their normals."""
        design = self.head.design
        t = design.wall.thickness
        step = design.hand.step * (design.bar.thickness - t)
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
        block = shapely.box(0.0, -self.half_width, self.back, self.half_width)
        wall = self.eye.buffer(design.wall.thickness, quad_segs=QUARTER)
        body = shapely.union(wall, self.corners).intersection(self.ahead_of_poll)
        first = stations[0]
        # the cheeks are tangents from the first station to what the corners leave bare of the wall
        points = np.array(body.exterior.coords)
        bare = shapely.distance(self.corners, shapely.points(points)) > 1e-9
        points = points[bare & (points[:, 0] > self.back) & (points[:, 0] < first[0])]
        slopes = (first[1] - points[:, 1]) / (first[0] - points[:, 0])
        touch = points[int(np.argmin(slopes))]
        cheek = both_sides(np.array([(touch[0], 0.0), touch, first, (first[0], 0.0)]))
        far = (self.head.length + 50.0, stations[-1][1])
        taper = both_sides(np.array([(first[0], 0.0), *stations, far, (far[0], 0.0)]))
        return shapely.union_all([block, body, cheek, taper]).difference(self.eye)

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
        whole = trimesh.boolean.union(solids, engine="manifold") if len(solids) > 1 else solids[0]
        return trimesh.boolean.intersection([self.side, whole], engine="manifold")

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
        parts = [trimesh.boolean.intersection([round_about, ahead], engine="manifold")]
        turn = np.array([[0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]], float)
        for side in (1.0, -1.0) if carried else ():
            bar = trimesh.creation.extrude_polygon(
                Polygon([(side * r, z) for r, z in ring]).buffer(0), 400.0
            )
            bar.apply_translation([0.0, 0.0, -400.0])
            bar.apply_transform(turn)
            parts.append(bar)
        solid = trimesh.boolean.union(parts, engine="manifold")
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
        """All ahead of the first station, ground to the edge."""
        rough = self.upright(self.plan.intersection(shapely.box(self.start, -500, 2000, 500)))
        blade = self.head.design.blade
        high = blade.edge_radius * math.tan(math.radians(blade.edge_angle) / 2.0)
        cone = self.turned([(blade.edge_radius, 0.0), (0.0, high)], carried=True)
        return trimesh.boolean.intersection([rough, cone], engine="manifold")

    @cached_property
    def bit(self) -> trimesh.Trimesh:
        bit, outer = self.head.design.bit, self.head.design.blade.edge_radius
        thick, thin = bit.thickness / 2.0, bit.tip / 2.0
        rim, end = outer - bit.insertion + bit.scarf, outer - bit.insertion
        plate = self.turned([(outer + 1.0, thick), (rim, thick), (end, thin)], carried=False)
        return trimesh.boolean.intersection([self.blade, plate], engine="manifold")

    def taper_void(self, layers: int = 600) -> tuple[float, float, float]:
        """What the taper takes out besides the plumb eye: volume [mm3], and its x and y moments.

        The handle's axis is cut into layers; in each the eye is offset and the metal between the
        two eyes counted where the side view has metal at that height.
        """
        design, outline = self.head.design, Polygon(self.head.side.contour.points(SAGITTA))
        lean = design.eye.taper / 2.0 / sum(eye_heights(design))
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
            eye = self.eye.buffer(lean * y, quad_segs=60)
            sign = 1.0 if lean * y > 0 else -1.0
            ring = eye.symmetric_difference(self.eye).intersection(shapely.union_all(slabs))
            metal = sign * ring.area * step
            volume += metal
            along += metal * (ring.centroid.x if not ring.is_empty else 0.0)
            lift += metal * y
        return volume, along, lift


def superellipse_area(length: float, width: float, exponent: float) -> float:
    """``4 a b G(1 + 1/n)^2 / G(1 + 2/n)``, with SciPy's gamma function."""
    return float(length * width * gamma(1 + 1 / exponent) ** 2 / gamma(1 + 2 / exponent))
