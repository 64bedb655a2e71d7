"""The shortest strip that holds some outlines: a search that is stopped by what it has done.

The search is spyrrow's. It runs in a process of its own, so that it can be broken off at once, and
so that a fault in it ends that process only. This file is both sides of it: imported, it starts
the process and listens; run as a script, it is that process, and then it knows nothing of the
package.

With one seed and one number of workers the search takes the same steps every time, however fast
the machine; only where it stops would depend on the clock. So it is stopped by its steps: when it
first fails to make the strip shorter, or has long not done so, or has taken as many steps as were
allowed. The clock is there for the machine that is too slow, and an answer that it cut short says
so.
"""

from __future__ import annotations

import json
import os
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

Point = tuple[float, float]

WORKERS = 2
"""Threads of the search. It is part of what the search does, so it does not follow the machine."""

SLACK = 0.02
"""What the search is asked for beyond the spacing, and given beyond the height [mm]: it reckons in
single precision, and never quite closes up."""

STALLED = 25
"""Steps in which the strip was not shortened, after which the search ends: it would go on for as
long again, for a hundredth of the length or less."""

_EVERY = 0.02  # seconds between two looks at what the search has done
_OVERTIME = 3.0  # seconds for which the process may outlive its time


@dataclass(frozen=True)
class Outline:
    """An outline to be placed so many times; ``turns`` [degrees] are those that it may take."""

    points: tuple[Point, ...]
    quantity: int
    turns: tuple[float, ...]


@dataclass(frozen=True)
class Strip:
    """The shortest strip found.

    ``placed`` are the outline's number, the turn about the origin [degrees] and the shift after it
    [mm]; the lower left corner of the room is at 0, 0. ``ended`` says why the search stopped:
    ``settled``, ``steps``, ``enough``, ``time``, or ``broken`` if its process failed.
    """

    length: float
    placed: tuple[tuple[int, float, float, float], ...]
    steps: int
    ended: str


def shortest(
    outlines: Sequence[Outline], height: float, spacing: float, *, seed: int, seconds: float,
    steps: int, patient: bool = False, stalled: int = STALLED, enough: float = 0.0,
    watch: Callable[[float, int], None] = lambda length, steps: None,
) -> Strip | None:  # fmt: skip
    """The shortest strip of a height [mm] that holds the outlines ``spacing`` [mm] apart.

    The search ends when it fails to shorten the strip, or has not done so for ``stalled`` steps,
    unless it is ``patient``; after so many ``steps``; at a length of ``enough`` [mm] or less; or
    after so many ``seconds``. ``watch`` is told the length and the steps as it goes. None if no
    strip was found.
    """
    asked = {
        "height": height + 2.0 * (spacing + SLACK) + SLACK,
        "spacing": spacing + SLACK,
        "seed": seed,
        "seconds": seconds,
        "steps": steps,
        "patient": patient,
        "stalled": stalled,
        # the search keeps the spacing to the strip's ends too
        "enough": enough + 2.0 * spacing if enough else 0.0,
        "items": [[list(each.points), each.quantity, list(each.turns)] for each in outlines],
    }
    best: Strip | None = None
    ended = "broken"
    for told in _told(asked, seconds):
        ended = told.get("ended", ended)
        if "placed" in told:
            placed = tuple(
                (int(name), float(turn), x - spacing, y - spacing)
                for name, turn, x, y in told["placed"]
            )
            best = Strip(told["length"] - 2.0 * spacing, placed, told["steps"], ended)
        if best is not None:
            best = Strip(best.length, best.placed, told["steps"], ended)
            watch(best.length, best.steps)
    return best


def _told(asked: dict[str, Any], seconds: float) -> Iterator[dict[str, Any]]:
    """What the search says of itself, line by line, until it ends or its time is up."""
    process = subprocess.Popen(
        [sys.executable, "-P", __file__],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        encoding="ascii",
    )  # fmt: skip
    assert process.stdin is not None
    assert process.stdout is not None
    lines: queue.SimpleQueue[str] = queue.SimpleQueue()
    out, steps, end = process.stdout, 0, time.monotonic() + seconds

    def listen() -> None:
        for line in out:
            lines.put(line)
        lines.put("")

    listener = threading.Thread(target=listen, daemon=True)
    try:
        with process.stdin as to:
            to.write(json.dumps(asked))
        listener.start()
        while line := lines.get(timeout=max(end - time.monotonic(), 0.0) + 1e-3):
            told = json.loads(line)
            steps = told["steps"]
            yield told
    except queue.Empty:
        yield {"ended": "time", "steps": steps}
    except BrokenPipeError:  # the process could not so much as begin
        return
    finally:
        process.kill()
        process.wait()
        if listener.is_alive():
            listener.join()
        out.close()


# The other side ------------------------------------------------------------------------------


def _serve() -> None:
    """Search as asked on standard input; say on standard output how it goes."""
    import spyrrow

    asked = json.load(sys.stdin)
    items = [
        spyrrow.Item(str(i), [(x, y) for x, y in points], quantity, turns)
        for i, (points, quantity, turns) in enumerate(asked["items"])
    ]
    strip = spyrrow.StripPackingInstance("strip", asked["height"], items)
    settings = spyrrow.StripPackingConfig(
        early_termination=True, min_items_separation=asked["spacing"],
        total_computation_time=None, compression_time=1,
        exploration_time=int(asked["seconds"] + _OVERTIME), num_workers=WORKERS,
        seed=asked["seed"],
    )  # fmt: skip
    reports = spyrrow.ProgressQueue()
    search = threading.Thread(target=strip.solve, args=(settings, reports), daemon=True)
    search.start()
    steps = last = 0
    failed = False
    best = float("inf")
    kinds = spyrrow.ReportType
    while True:
        running = search.is_alive()
        for kind, found in reports.drain():
            if kind in (kinds.CmprFeas, kinds.Final):
                running = False  # exploring ended by the clock
                break
            steps += 1
            failed = failed or kind == kinds.ExplInfeas or steps - last >= asked["stalled"]
            told: dict[str, Any] = {"steps": steps}
            if kind == kinds.ExplFeas and found.width < best:
                best, last = found.width, steps
                told["length"] = best
                told["placed"] = [[p.id, p.rotation, *p.translation] for p in found.placed_items]
            if best <= asked["enough"]:
                told["ended"] = "enough"
            elif failed and not asked["patient"] and best < float("inf"):
                told["ended"] = "settled"
            elif steps >= asked["steps"] and best < float("inf"):
                told["ended"] = "steps"
            if len(told) > 1 or steps % 10 == 0:
                print(json.dumps(told), flush=True)
            if "ended" in told:
                os._exit(0)
        if not running:
            os._exit(1)
        search.join(_EVERY)


if __name__ == "__main__":
    try:
        _serve()
    except BaseException:
        os._exit(1)
