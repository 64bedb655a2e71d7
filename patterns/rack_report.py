"""Bars chosen and cutting lists, to read and as data."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from .choice import RANKING, Choice
from .rack import Stock, prices_in
from .units import both, length, mass, section

if TYPE_CHECKING:  # the solver takes longer to load than bars take to choose
    from .cutlist import CutList, Order

WIDTH = 100
"""Columns of a terminal."""

LONGEST_NAME = 14
"""Letters of a bar's name in a table."""


# Choosing ----------------------------------------------------------------------------------------


def choice_lines(name: str, choices: Sequence[Choice], kerf: float, units: str) -> list[str]:
    """The bars that can make a head, by rank, and why the others cannot."""
    able = [each for each in choices if each.can]
    others = [each for each in choices if not each.can]
    lines = [f"{name}: {len(able)} of {len(choices)} rows of the rack can make it; "
             f"the saw takes {both(kerf, units)}"]  # fmt: skip
    if able:
        lines += _wrapped(f"Ranked by: {RANKING}", "")
        lines += ["", *_given(able, units), "", *_asked(able, units)]
    notes = _notes(able)
    if notes:
        lines += ["", "Notes"]
        lines += _listed((_ranks(ranks, len(able)), text) for text, ranks in notes.items())
    if others:
        lines += ["", "Cannot make it"]
        lines += _listed(
            (
                _short(each.stock.name),
                f"{section(each.stock.section)}, {length(each.stock.length, units)}: "
                + "; ".join(each.reasons),
            )
            for each in others
        )
    return lines


def _given(able: Sequence[Choice], units: str) -> list[str]:
    """What each bar gives."""
    priced = any(each.cost is not None for each in able)
    currency = prices_in(tuple(each.stock for each in able))
    head = ["", "bar", "section", "length", "bars", "cut", "each", "all", "left", "waste"]
    keys = ["section", "length", "count", "cut", "pieces", "all", "left", "waste"]
    if priced:
        head.append(f"cost {currency}".strip())
        keys.append("cost")
    rows = []
    for i, each in enumerate(able, 1):
        told = figures(each, units)
        rows.append([str(i), _short(each.stock.name), *(told[key] for key in keys)])
    return _table(head, rows)


def _asked(able: Sequence[Choice], units: str) -> list[str]:
    """What each bar asks of the smith, and what comes of it."""
    head = ["", "bar", "wall/bar", "spread needed", "drawing gives", "poll upset", "piece", "head",
            "doubts"]  # fmt: skip
    keys = ["wall over bar", "spread needed", "drawing gives", "upset", "piece", "head", "doubts"]
    rows = []
    for i, each in enumerate(able, 1):
        told = figures(each, units)
        rows.append([str(i), _short(each.stock.name), *(told[key] for key in keys)])
    return _table(head, rows)


def figures(choice: Choice, units: str) -> dict[str, str]:
    """Each figure of a bar that can make the head, as it is shown."""
    stock = choice.stock
    return {
        "section": section(stock.section),
        "length": length(stock.length, units),
        "count": str(stock.count),
        "cut": length(choice.cut_length, units),
        "pieces": str(choice.pieces),
        "all": str(choice.pieces_in_all),
        "left": length(choice.remnant, units),
        "waste": f"{choice.waste * 100:.0f} %",
        "cost": "-" if choice.cost is None else f"{choice.cost:.2f}",
        "wall over bar": f"{choice.thinning:.2f}",
        "spread needed": f"{choice.spread_needed:.2f}",
        "drawing gives": f"{choice.spread_drawing:.2f}",
        "upset": length(choice.upset, units) if choice.upset else "none",
        "piece": _mass(choice.mass, units),
        "head": _mass(choice.planned.head.mass, units),
        "doubts": str(len(choice.doubts)) if choice.doubts else "none",
    }


def _notes(able: Sequence[Choice]) -> dict[str, list[int]]:
    """Each thing to be said once, with the ranks of the bars that it is said of."""
    found: dict[str, list[int]] = {}
    said: list[Callable[[Choice], Iterable[str]]] = [
        lambda each: [f"ears: {each.planned.spread.verdict}"],
        lambda each: [f"doubt: {doubt.message}" for doubt in each.doubts],
        lambda each: each.remarks,
    ]
    for texts in said:
        for i, each in enumerate(able, 1):
            for text in texts(each):
                found.setdefault(text, []).append(i)
    return found


def _ranks(ranks: Sequence[int], every: int) -> str:
    """``1-3, 5``, or ``all``.

    >>> _ranks([1, 2, 3, 5], 6), _ranks([1, 2], 2), _ranks([4], 6)
    ('1-3, 5', 'all', '4')
    """
    if len(ranks) == every and every > 1:
        return "all"
    runs: list[list[int]] = []
    for rank in ranks:
        if runs and rank == runs[-1][-1] + 1:
            runs[-1].append(rank)
        else:
            runs.append([rank])
    return ", ".join(f"{r[0]}-{r[-1]}" if len(r) > 1 else str(r[0]) for r in runs)


def choice_data(name: str, choices: Sequence[Choice], kerf: float) -> dict[str, Any]:
    """All figures: lengths in mm, masses in g."""
    able = [each for each in choices if each.can]
    return {
        "units": {"length": "mm", "mass": "g"},
        "name": name,
        "kerf": kerf,
        "ranking": RANKING,
        "can": [
            {
                "rank": i,
                "bar": _bar(each.stock),
                "cut_length": each.cut_length,
                "pieces": {"from_one": each.pieces, "from_all": each.pieces_in_all},
                "remnant": each.remnant,
                "waste": each.waste,
                "wall_over_bar": each.thinning,
                "spread": {"needed": each.spread_needed, "drawing": each.spread_drawing,
                           "verdict": each.planned.spread.verdict},
                "poll": {"wanted": each.planned.head.poll_wanted,
                         "thickness": each.planned.head.plan.poll_thickness, "upset": each.upset},
                "work": each.work,
                "mass": each.mass,
                "head_mass": each.planned.head.mass,
                "cost": each.cost,
                "doubts": [
                    {"field": doubt.field, "message": doubt.message, "source": doubt.source}
                    for doubt in each.doubts
                ],
                "remarks": list(each.remarks),
            }
            for i, each in enumerate(able, 1)
        ],
        "cannot": [
            {"bar": _bar(each.stock), "reasons": list(each.reasons)}
            for each in choices
            if not each.can
        ],
    }  # fmt: skip


def _bar(stock: Stock) -> dict[str, Any]:
    return {
        "name": stock.name, "thickness": stock.section[0], "width": stock.section[1],
        "length": stock.length, "count": stock.count, "steel": stock.steel, "price": stock.price,
        "currency": stock.currency,
    }  # fmt: skip


# Cutting -----------------------------------------------------------------------------------------


def cut_lines(orders: Sequence[Order], found: CutList, kerf: float, units: str) -> list[str]:
    """The bars to be sawn and what becomes of each, or what the rack lacks."""
    if found.missing:
        return _missing(orders, found)
    pieces = sum(order.pieces for order in orders)
    lines = [f"Cut list: {_plural(pieces, 'piece')} from {_plural(found.bars, 'bar')}; the saw "
             f"takes {both(kerf, units)} at each cut"]  # fmt: skip
    rows = [
        [
            str(cut.bars), _short(cut.stock.name), section(cut.stock.section),
            length(cut.stock.length, units), length(cut.remnant, units),
            ", ".join(
                _kept(f"{n} {name} at {length(each, units)}") for name, each, n in cut.pieces
            ),
        ]
        for cut in found.cuts
    ]  # fmt: skip
    lines += ["", *_table(["bars", "bar", "section", "length", "left", "saw each into"], rows, 5)]
    doubts = _doubts(orders, found)
    if doubts:
        lines += ["", "Doubts", *_listed(doubts)]
    share = found.waste / found.mass
    lines += ["", f"Waste   {mass(found.waste, units)} of {mass(found.mass, units)}, "
                  f"{share * 100:.1f} %: kerfs and what is left"]  # fmt: skip
    if len({cut.stock.section for cut in found.cuts}) == 1:
        whole = sum(cut.bars * cut.stock.length for cut in found.cuts)
        lines.append(f"        {both(whole * share, units)} of {both(whole, units)} of bar")
    if not found.proven:
        lines.append(f"        not proven the least: no list wastes less than "
                     f"{mass(found.least, units)}")  # fmt: skip
    else:
        lines.append("        proven the least" + (
            "; of such lists, the fewest bars and the longest end left" if found.settled else
            "; fewer bars or a longer end may be had at the same waste"))  # fmt: skip
    return lines


def _doubts(orders: Sequence[Order], found: CutList) -> list[tuple[str, str]]:
    """What is doubtful of a head from a bar that the list takes, each once."""
    of = {order.name: order.doubts for order in orders}
    return list(
        dict.fromkeys(
            (name, f"from {section(cut.stock.section)}: {doubt}")
            for cut in found.cuts
            for name, _, _ in cut.pieces
            for doubt in of[name].get((cut.stock.section, cut.stock.steel), ())
        )
    )


def _missing(orders: Sequence[Order], found: CutList) -> list[str]:
    lack = sum(n for _, n in found.missing)
    lines = [
        f"The rack does not suffice, so there is no cut list. However it is sawn, it lacks {lack};",
        "with the heads served in the order named:",
    ]
    wanted = {order.name: order for order in orders}
    for name, n in found.missing:
        order = wanted[name]
        why = "" if order.cuts else ": no bar on hand can make one"
        lines.append(f"  {n} of {order.pieces} {name}{why}")
    return lines


def cut_data(orders: Sequence[Order], found: CutList, kerf: float) -> dict[str, Any]:
    """All figures: lengths in mm, masses in g."""
    return {
        "kerf": kerf,
        "orders": [{"head": order.name, "pieces": order.pieces} for order in orders],
        "missing": [{"head": name, "pieces": n} for name, n in found.missing],
        "cuts": [
            {
                "bar": _bar(cut.stock),
                "bars": cut.bars,
                "pieces": [
                    {"head": name, "length": each, "pieces": n} for name, each, n in cut.pieces
                ],
                "kerf": cut.kerf,
                "remnant": cut.remnant,
            }
            for cut in found.cuts
        ],
        "doubts": [{"head": name, "doubt": text} for name, text in _doubts(orders, found)],
        "waste": {"mass": found.waste, "least": found.least, "proven": found.proven,
                  "settled": found.settled},
        "bars": {"count": found.bars, "mass": found.mass},
    }  # fmt: skip


# Setting -----------------------------------------------------------------------------------------


def _table(
    head: Sequence[str], rows: Iterable[Sequence[str]], last: int | None = None
) -> list[str]:
    """Columns two blanks apart, figures to the right; the ``last`` one is wrapped."""
    every = [list(head), *(list(row) for row in rows)]
    widths = [max(len(row[i]) for row in every) for i in range(len(head))]
    lines = []
    for row in every:
        cells = [
            cell.ljust(width) if i in (1, 2, last) else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines += _wrapped(cells[-1], "  ".join(cells[:-1]) + "  ") if last else ["  ".join(cells)]
    return [line.rstrip() for line in lines]


def _listed(rows: Iterable[tuple[str, str]]) -> list[str]:
    """What each text is about, in a column of its own."""
    every = list(rows)
    width = max(len(about) for about, _ in every)
    return [
        line for about, text in every for line in _wrapped(text, f"  {about.ljust(width)}  ")
    ]  # fmt: skip


def _kept(text: str) -> str:
    """The text, not to be broken."""
    return text.replace(" ", "\u00a0")


def _wrapped(text: str, before: str) -> list[str]:
    """Lines no wider than a terminal, set in by what stands before the first."""
    lines = textwrap.wrap(
        text, WIDTH, initial_indent=before, subsequent_indent=" " * len(before),
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    return [line.replace("\u00a0", " ") for line in lines]


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 3]}..."


def _mass(grams: float, units: str) -> str:
    return mass(grams, units).split(" (")[0]


def _plural(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
