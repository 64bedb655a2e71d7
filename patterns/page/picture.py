"""The head as paths for the browser: from the side, from above, along the edge.

Coordinates are millimetres, y downwards as a screen has it; x runs from the back of the poll, and
0 is the centre line. All three are at one scale, and the same contours as on the sheets.
"""

from __future__ import annotations

from typing import Any

from ..contour import Contour
from ..derived import poll_height
from ..drawing import Purpose
from ..head import Head
from ..views import bevel_line, bit_line, edge_silhouette, eye_lines, plan_contour
from ..writers.common import number, path

Line = tuple[Purpose, Contour]


def picture(head: Head) -> dict[str, Any]:
    """The three views, each with its box and its paths."""
    return outline(head) | {"edge": _view(_along(head))}


def outline(head: Head) -> dict[str, Any]:
    """Side view and plan view alone, with little detail: for a shelf."""
    return {"side": _view(_side(head)), "plan": _view(_above(head))}


def _view(lines: list[Line]) -> dict[str, Any]:
    boxes = [contour.bounds for _, contour in lines]
    box = boxes[0]
    for other in boxes[1:]:
        box = box.joined(other)
    return {
        "box": [float(number(v)) for v in (box.left, -box.top, box.width, box.height)],
        "paths": [{"purpose": p.value, "d": path(contour, 0.0, 0.0)} for p, contour in lines],
    }


def _side(head: Head) -> list[Line]:
    lines = [(Purpose.OUTLINE, head.side.contour)]
    lines += [(Purpose.HIDDEN, line) for line in eye_lines(head)]
    lines.append((Purpose.THIN, bevel_line(head)))
    if head.ahead.bit.volume > 0.0:
        lines.append((Purpose.HIDDEN, bit_line(head)))
    plate, half = head.design.plate.thickness, poll_height(head.design) / 2.0
    if plate is not None:
        lines.append((Purpose.THIN, Contour.line((plate, -half), (plate, half))))
    return lines


def _above(head: Head) -> list[Line]:
    view = head.plan
    lines = [
        (Purpose.OUTLINE, plan_contour(head)),
        (Purpose.OUTLINE, head.eye.contour.moved(view.eye_back, 0.0)),
    ]
    plate, half = head.design.plate.thickness, view.poll_width / 2.0
    if plate is not None:
        lines.append((Purpose.THIN, Contour.line((plate, -half), (plate, half))))
    return lines


def _along(head: Head) -> list[Line]:
    """From the edge: the body at the eye behind the blade."""
    view = head.plan
    behind = [v.y for v in head.side.contour.vertices if v.x < view.eye_front]
    half = head.eye.width / 2.0 + view.wall
    body = Contour.rectangle(-half, min(behind), half, max(behind))
    return [(Purpose.THIN, body), (Purpose.OUTLINE, edge_silhouette(head))]
