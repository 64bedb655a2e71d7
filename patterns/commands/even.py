"""``eyewrap even``: two straps as measured, each at its own heat, so which to draw?"""

from __future__ import annotations

import argparse
import json
import re
from typing import TYPE_CHECKING, Any

from ..errors import BadInputError, Fault
from .common import (
    DONE,
    STOPPED,
    Commands,
    add_profile,
    command,
    heat_of,
    length_of,
    planned,
    say,
    titled,
    units_of,
)

if TYPE_CHECKING:
    from ..fire import Evened, Measured, Side

EXAMPLES = """\
examples:
  eyewrap even belt-hatchet --left "1 47/64 in at orange" --right "1 11/16 in"
  eyewrap even camp-axe --left "54.1 mm at 950 C" --right "53.2 mm at 950 C" --units mm

A strap is measured from poll mark to shoulder mark. Each length may have its own heat behind
"at": cold, which it is if nothing is said, a colour or a temperature. What each strap should be is
the profile's divider setting.
"""

SIDES = ("left", "right")
_AT = re.compile(r"\s+at\b\s*|\s*@\s*", re.I)
FEWEST, MOST = 0.5, 2.0
"""A strap measured, over the length it should have: outside this it is a slip of the pen."""


def add(commands: Commands) -> None:
    parser = command(
        commands, "even", _even, brief="tell which strap to draw, and by how much",
        description="Tell which of two straps to draw, and by how much, from their lengths as "
        "measured, hot or cold; write no files.", epilog=EXAMPLES,
    )  # fmt: skip
    add_profile(parser)
    for side in SIDES:
        parser.add_argument(f"--{side}", metavar='"LENGTH at HEAT"',
                            help=f"the {side} strap as measured, and at what heat")  # fmt: skip
    parser.add_argument("--within", metavar="LENGTH", help="two lengths that differ by no more are "
                        "taken for the same (default 1/64 in)")  # fmt: skip
    parser.add_argument("--json", action="store_true", help="all figures as JSON, in mm and deg C")


def _even(options: argparse.Namespace) -> int:
    from .. import rounding
    from ..fire import TOLERANCE, even_up

    units, faults = units_of(options)
    forge = None
    try:
        _, forge = planned(options, units)
    except BadInputError as error:
        faults += error.faults
    if forge is not None and forge.fold.straps == 1:
        faults.append(
            Fault(
                "fold.form", forge.fold.name, "a fold with two straps",
                "a tongue stands alone: draw it until the dividers or a rule step "
                f"{rounding.beside(forge, 'dividers', units)}",
            )
        )  # fmt: skip
    if forge is not None and forge.undrawn:
        faults.append(
            Fault("fold.form", forge.fold.name, "a fold whose straps are drawn",
                  "a plate that is cut to its size is marked anew, not drawn")
        )  # fmt: skip
    if faults and forge is not None and (forge.fold.straps == 1 or forge.undrawn):
        raise BadInputError(faults)
    target = None if forge is None else rounding.aim(forge, "dividers", units)
    within: float | None = TOLERANCE
    if options.within is not None:
        within = length_of("--within", options.within, 0.01, 5.0, units, faults)
    found = [_measured(side, getattr(options, side), target, units, faults) for side in SIDES]
    left, right = found
    if faults or forge is None or target is None or left is None or right is None or within is None:
        raise BadInputError(faults)
    evened = even_up(
        left, right, target=target, tolerance=within,
        wall=forge.strap.drawn_thickness, spread=forge.spread.coefficient,
    )  # fmt: skip
    if options.json:
        print(json.dumps(_data(evened), indent=2, allow_nan=False, ensure_ascii=False))
    else:
        say(titled(_lines(evened, units)))
    return STOPPED if forge.stopped else DONE


def _measured(
    side: str, text: str | None, target: float | None, units: str, faults: list[Fault]
) -> Measured | None:
    """One side, ``LENGTH [at HEAT]``; None with its faults added."""
    from ..fire import COLD, Measured

    field = f"--{side}"
    if text is None or not text.strip():
        faults.append(Fault(field, "nothing", f"the {side} strap's length, and its heat if hot",
                            f'measure it: {field} "1 3/4 in at orange"'))  # fmt: skip
        return None
    size, *heats = _AT.split(text.strip(), maxsplit=1)
    least, most = (1.0, 1000.0) if target is None else (FEWEST * target, MOST * target)
    length = length_of(field, size, least, most, units, faults)
    heat = heat_of(field, heats[0], units, faults) if heats else COLD
    return None if length is None or heat is None else Measured(length, heat)


# What is said ------------------------------------------------------------------------------------


def _lines(found: Evened, units: str) -> list[tuple[str, str]]:
    from ..fire import AGREE, UNTOLD
    from ..units import both, fine, length

    sides = (found.left, found.right)
    wanted = f"each strap {both(found.target, units)} cold, {fine(found.target, units)}"
    rows = [("Wanted", f"{wanted}; {length(found.tolerance, units)} either way is right")]
    rows += [(side.side.capitalize(), _side(side, units)) for side in sides]
    rows.append(("Together", _pair(found, units)))
    rows += [("Draw", _draw(side, units)) for side in found.to_draw]
    if found.match is not None:
        rows += _too_long(found, units)
    if UNTOLD in (found.pair, *(side.verdict for side in sides)):
        rows.append(("Not told", "the heat leaves more doubt than the difference: let both cool to "
                                 "the same colour, or measure again cold"))  # fmt: skip
    elif found.agree:
        rows.append(("Do", "nothing"))
    elif not found.to_draw and found.match is None:
        shorter = "right" if found.difference.mid > 0.0 else "left"
        by = _span(found.difference, units)
        rows.append(("Do", f"nothing; or, to make them alike, draw the {shorter} by {by} (cold)"))
    if found.pair not in (AGREE, UNTOLD):
        half = fine(abs(found.difference.mid) / 2.0, units)
        rows.append(("Left so", "one shoulder, and the end of its half, stands ahead of the other "
                                "by the difference; with the shoulders brought together, the back "
                                f"sits {half} out of the middle of the wrap"))  # fmt: skip
    seen = list(dict.fromkeys(side.measured.heat for side in sides))
    rows += [("Heat", heat.shown(units) + " [second-hand]") for heat in seen if heat.tables]
    if any(heat.open for heat in seen):
        rows.append(("", "expansion is known up to 1200 C (2190 F) only: cold lengths may be less"))
    return rows


def _side(side: Side, units: str) -> str:
    from ..fire import COLD, LONG, RIGHT, SHORT, bounds
    from ..units import both

    measured = side.measured
    heat, cold = measured.heat, measured.cold
    text = both(measured.length, units)
    if heat == COLD:
        text += " cold"
    else:
        less = " or less" if heat.open else ""
        text += f" at {heat.name}, which is {bounds(cold, units)}{less} cold"
    if side.verdict == RIGHT:
        return f"{text}: right"
    if side.verdict in (SHORT, LONG):
        return f"{text}: {side.verdict} by {_amount(side, units)}"
    low, high = side.missing.low, side.missing.high
    first, last = _gap(low, units), _gap(high, units)
    gap = f"{first} or shorter" if heat.open else f"{first} to {last}"
    return f"{text}: {gap}; cannot be told at this heat"


def _gap(missing: float, units: str) -> str:
    from ..units import fine

    return f"{fine(abs(missing), units)} {'short' if missing >= 0.0 else 'long'}"


def _amount(side: Side, units: str) -> str:
    """How much a side is short or long of what is wanted when cold: finely, since it is small."""
    return _span(side.missing, units) + (" or more" if side.measured.heat.open else "")


def _span(span: Any, units: str) -> str:
    """Bounds without sign, finer than a rule shows."""
    from ..units import fine

    low, high = sorted((abs(span.low), abs(span.high)))
    first, last = fine(low, units), fine(high, units)
    return last if first == last else f"{first.removesuffix(f' {units}')} to {last}"


def _pair(found: Evened, units: str) -> str:
    from ..fire import AGREE, LEFT_LONGER, UNTOLD
    from ..units import fine

    gap = found.difference
    if found.pair == AGREE:
        return "the two agree"
    if found.pair == UNTOLD:
        one, other = ("left", "right") if gap.mid >= 0.0 else ("right", "left")
        return f"the {one} longer than the {other} by about {fine(abs(gap.mid), units)}, if at all"
    one = "left" if found.pair == LEFT_LONGER else "right"
    return f"the {one} is longer by {_span(gap, units)} cold"


def _draw(side: Side, units: str) -> str:
    from ..fire import COLD, bounds
    from ..units import both, fine

    heat, missing = side.measured.heat, side.missing
    more = " or more" if heat.open else ""
    text = f"the {side.side} by {_span(missing, units)}{more} (cold measure)"
    if heat != COLD:
        text += (
            f": at {heat.name} until it reads {bounds(side.reads, units, heat.open)}, "
            f"{_span(side.missing_hot, units)}{more} more than now"
        )
    else:
        text += f", until it is {both(side.measured.length + missing.mid, units)}"
    if side.thins is not None:
        text += f". It thins by about {fine(side.thins, units)}"
    return text


def _too_long(found: Evened, units: str) -> list[tuple[str, str]]:
    from ..fire import AGREE, LONG
    from ..units import both, fine

    match = found.match
    assert match is not None
    over = [side for side in (found.left, found.right) if side.verdict == LONG]
    names = " and ".join(f"the {side.side} by {_amount(side, units)}" for side in over)
    grown = fine(match.eye_grows, units)
    larger = f"which makes the eye about {grown} longer round"
    if match.side:
        way = (f"draw the {match.side} to match, by about {fine(match.draw, units)} (cold measure) "
               f"to {both(match.length, units)}")  # fmt: skip
    elif found.pair == AGREE:
        way = "leave both as they are"
    else:
        way = "match them once it can be told which is shorter"
    return [("Too long", f"drawing shortens nothing: upset {names}; or {way}, {larger}")]


def _data(found: Evened) -> dict[str, Any]:
    from dataclasses import asdict

    from ..fire import heat_data

    def side(one: Side) -> dict[str, Any]:
        return {
            "measured": one.measured.length,
            "heat": heat_data(one.measured.heat),
            "cold": asdict(one.measured.cold),
            "verdict": one.verdict,
            "missing": asdict(one.missing),
            "reads": asdict(one.reads),
            "missing_hot": asdict(one.missing_hot),
            "thins": one.thins,
        }

    return {
        "units": {"length": "mm", "temperature": "deg C"},
        "wanted": found.target,
        "tolerance": found.tolerance,
        "left": side(found.left),
        "right": side(found.right),
        "difference": asdict(found.difference),
        "pair": found.pair,
        "one_heat": found.one_heat,
        "draw": [one.side for one in found.to_draw],
        "match": None if found.match is None else asdict(found.match),
    }
