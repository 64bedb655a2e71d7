"""How dense and how quick the nests are: rows, boxes, the search, and a search ten times as long.

    python tests/bench/nests.py [10 25 50]

The parts are gauges of six shipped profiles, on a sheet 12 in wide and long enough for all, 3 mm
apart and off its edges. Density is the area of the parts over that of the sheet up to where they
end, windows counted as metal, since nothing is laid in them.
"""

from __future__ import annotations

import sys
import time

from patterns import blank, gauges, nest, profiles
from patterns.part import Part

PROFILES = ("belt-hatchet", "camp-axe", "carving-axe", "tomahawk", "felling-axe", "bow-tie-hatchet")
WIDTH, APART = 304.8, 3.0


def parts(count: int) -> list[Part]:
    found: list[Part] = []
    for name in PROFILES:
        plan = blank.plan(profiles.load(name).design)
        found += gauges.gauges(plan, "in")
    assert count <= len(found)
    return found[:count]


def main(counts: list[int]) -> None:
    for count in counts:
        wanted = [nest.Wanted(f"{i} {part.name}", part) for i, part in enumerate(parts(count))]
        area = sum(each.part.cuts[0].area for each in wanted)
        plate = nest.Stock(20 * area / WIDTH, WIDTH, APART, APART)

        def told(what: str, found: nest.Nest, begun: float, area: float = area) -> float:
            taken = time.monotonic() - begun
            (sheet,) = found.sheets
            density = area / (WIDTH * (sheet.reach + APART))
            print(f"{len(found.wanted):3} parts  {what:9} {density:.3f}  {taken:6.2f} s  "
                  f"{sheet.way}{', cut short' if found.cut_short else ''}", flush=True)  # fmt: skip
            return taken

        begun = time.monotonic()
        told("boxes", nest.nest(wanted, plate, APART, seconds=0.0), begun)
        begun = time.monotonic()
        taken = told("search", nest.nest(wanted, plate, APART), begun)
        begun = time.monotonic()
        told(
            "ten times", nest.nest(wanted, plate, APART, seconds=10.0 * taken, patient=True), begun
        )


if __name__ == "__main__":
    main([int(text) for text in sys.argv[1:]] or [10, 25, 50])
