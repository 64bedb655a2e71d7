"""The check of files to cut: a cold process, and how its time grows with the number of pieces.

Run it as ``python tests/bench/check.py [ROUNDS]``. See README.md beside this.
"""

from __future__ import annotations

import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import ezdxf

from patterns.contour import Contour
from patterns.cut_check import faults
from patterns.cut_file import Run
from patterns.processes import rules

ROOT = Path(__file__).resolve().parents[2]
SIZES = (500, 1000, 2000, 4000, 8000, 16000, 32000, 64000)
LASER = rules("laser", 1.519)


def plates(pieces: int) -> list[Run]:
    """Plates of eight lines with a notch, each with a round hole of two arcs."""
    side = math.isqrt(pieces // 10) + 1
    runs = []
    for i in range(pieces // 10):
        x, y = (i % side) * 50.0, (i // side) * 40.0
        corners = [(0, 0), (20, 0), (22, 4), (24, 0), (40, 0), (40, 30), (20, 31), (0, 30)]
        runs.append(Run(Contour.polygon((x + a, y + b) for a, b in corners), "CUT", "outside"))
        runs.append(Run(Contour.circle(x + 12, y + 15, 4), "CUT", "inside"))
    return runs


def holes(pieces: int) -> list[Run]:
    """One plate with square holes."""
    side = math.isqrt(pieces // 4) + 1
    runs = [Run(Contour.rectangle(-5, -5, side * 8 + 5, side * 8 + 5), "CUT", "outside")]
    for i in range(pieces // 4 - 1):
        x, y = (i % side) * 8.0, (i // side) * 8.0
        runs.append(Run(Contour.rectangle(x, y, x + 5, y + 5), "CUT", "inside"))
    return runs


def teeth(pieces: int) -> list[Run]:
    """One contour with a row of teeth: no two narrow places are tried at once."""
    count = pieces // 2 - 1
    points = [(0.0, -20.0), (count * 6.0, -20.0)]
    for i in range(count - 1, -1, -1):
        points += [(i * 6 + 6.0, 0.0), (i * 6 + 3.0, 8.0)]
    return [Run(Contour.polygon(points), "CUT", "outside")]


def file_of(entities: int, file: Path) -> None:
    """As many entities as asked for: plates of polylines with round holes, and marks on them."""
    doc = ezdxf.new("R2000", units=4)
    space = doc.modelspace()
    for run in plates(entities * 2)[: entities * 2 // 5]:
        space.add_lwpolyline([tuple(v) for v in run.contour.vertices], format="xyb", close=True,
                             dxfattribs={"layer": "CUT"})  # fmt: skip
    for i in range(entities - len(space)):
        x, y = (i % 3) * 2.0 + 24.0, 10.0 + (i // 300) * 2.0
        column = i // 3 % (math.isqrt(entities // 5) + 1)
        row = i // 3 // (math.isqrt(entities // 5) + 1) % 9
        space.add_line((x + 50 * column, y + 40 * row), (x + 1 + 50 * column, y + 1 + 40 * row),
                       dxfattribs={"layer": "MARK"})  # fmt: skip
    doc.saveas(file)


def cold(rounds: int) -> None:
    with tempfile.TemporaryDirectory() as temp:
        file = Path(temp) / "part.dxf"
        file_of(500, file)
        command = [sys.executable, "-m", "patterns.cli", "check", str(file), "--process", "laser",
                   "--thickness", "16 ga"]  # fmt: skip
        taken = []
        for lap in range(rounds + 1):
            start = time.perf_counter()
            done = subprocess.run(
                command, cwd=ROOT, capture_output=True, text=True, check=False,
                env={**os.environ, "PYTHONPATH": str(ROOT)},
            )  # fmt: skip
            if lap:
                taken.append(time.perf_counter() - start)
        print(done.stdout.splitlines()[0])
        print(f"500 entities, cold: median {statistics.median(taken) * 1e3:.0f} ms, "
              f"least {min(taken) * 1e3:.0f} ms (wanted: under 1 s)")  # fmt: skip


def grown(title: str, make: Callable[[int], list[Run]]) -> None:
    print(f"\n{title:<10}{'pieces':>8}{'form':>10}{'rules':>10}{'times n':>9}")
    times = []
    faults(make(SIZES[0]), LASER)  # the first fills the caches
    for size in SIZES:
        runs = make(size)
        start = time.perf_counter()
        faults(runs)
        middle = time.perf_counter()
        faults(runs, LASER)
        times.append(time.perf_counter() - middle)
        ratio = f"{times[-1] / times[-2]:.2f}" if len(times) > 1 else ""
        print(f"{'':<10}{size:>8}{middle - start:>8.3f} s{times[-1]:>8.3f} s{ratio:>9}")
    exponents = [math.log(b / a, 2) for a, b in pairwise(times)]
    print(f"each doubling, on the whole: {2 ** statistics.mean(exponents):.2f} "
          f"(n log n: 2.0 to 2.2)")  # fmt: skip


if __name__ == "__main__":
    cold(int(sys.argv[1]) if len(sys.argv) > 1 else 9)
    for made in (plates, holes, teeth):
        grown(made.__name__, made)
