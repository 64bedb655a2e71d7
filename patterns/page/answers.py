"""A head's texts in; its picture, figures, doubts and faults out.

Everything here is a function of what was asked alone: no window comes into another's way.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from .. import profiles, reading, starting
from .. import texts as flat
from ..blank import ForgePlan, plan
from ..errors import BadInputError, Fault
from ..grips import grips, texts_moved
from ..parameters import Blade, Design, specs
from ..profiles import Profile
from ..report import revision
from ..units import length, mass, section
from . import figures, form
from .folders import Entry
from .picture import outline, picture

Texts = Mapping[str, str]


def profile_of(texts: Texts, slug: str, units: str) -> Profile:
    """The profile that some texts stand for.

    Raises :class:`BadInputError` with every fault.
    """
    raw, faults = flat.to_table(Design, texts, units)
    return profiles.read(raw, slug, units, faults)


def planned(texts: Texts, units: str) -> ForgePlan:
    """The plan of the head that some texts stand for; raises as :func:`profile_of`.

    Those asked for last are kept: a drag asks for the head that it began from again and again.
    """
    return _planned(tuple(texts.items()), units)


@lru_cache(4)
def _planned(texts: tuple[tuple[str, str], ...], units: str) -> ForgePlan:
    return plan(profile_of(dict(texts), "head", units).design, units)


def view(
    texts: Texts, units: str, grip: tuple[str, float, float] | None = None
) -> dict[str, Any]:  # fmt: skip
    """What the page shows of a head: all of it, or the faults that stand in the way.

    Parameters
    ----------
    texts : the head, as a form holds it
    units : ``"in"`` or ``"mm"``, of what is shown
    grip : a point of the side view that is dragged, and where to [mm], y downwards

    Returns
    -------
    dict
        ``texts`` as they are then, ``faults``, and without faults ``revision``, ``stopped``,
        ``picture``, ``grips``, ``figures``, ``doubts`` and what each key comes to, ``shown``.
    """
    found = dict(texts)
    try:
        forge = planned(found, units)
        if grip is not None:
            name, x, y = grip
            found |= texts_moved(forge.head, found, _known(name, forge), (x, -y), units)
            forge = planned(found, units)
    except BadInputError as error:
        return {"texts": found, "faults": in_words(error.faults)}
    return {"texts": found, "faults": [], **_shown(forge, units)}


def _known(name: str, forge: ForgePlan) -> str:
    """The name of a grip that is there; a fault for another."""
    known = [grip.name for grip in grips(forge.head)]
    if name in known:
        return name
    raise BadInputError([Fault("grip", reading.given(name), ", ".join(known), "choose one")])


def _shown(forge: ForgePlan, units: str) -> dict[str, Any]:
    return {
        "revision": revision(forge.design),
        "stopped": forge.stopped,
        "picture": picture(forge.head),
        "grips": [
            {"name": g.name, "label": g.label, "x": g.x, "y": -g.y, "along": g.along,
             "keys": list(g.keys)}
            for g in grips(forge.head)
        ],
        "figures": figures.figures(forge, units),
        "doubts": figures.doubts(forge, units),
        "shown": figures.values(forge, units),
    }  # fmt: skip


def further(texts: Texts, units: str) -> dict[str, Any]:
    """The figures that :func:`view` leaves for later; raises as :func:`profile_of`."""
    return {"figures": figures.further(planned(texts, units), units)}


def swap(texts: Texts, units: str, name: str, to: str) -> dict[str, str]:
    """The same head with a thing told in another way of :data:`form.EITHERS`.

    Raises :class:`BadInputError` where the head is at
    fault, since then there is nothing to tell.
    """
    either = next((each for each in form.EITHERS if each.name == name), None)
    way = next((way for way in either.ways if way.name == to), None) if either else None
    if either is None or way is None:
        known = [f"{each.name}: {', '.join(w.name for w in each.ways)}" for each in form.EITHERS]
        raise BadInputError([Fault("way", reading.given(f"{name}, {to}"), "; ".join(known),
                                   "choose one")])  # fmt: skip
    raw, faults = flat.to_table(Design, texts, units)
    forge = plan(profiles.read(raw, "head", units, faults).design, units)
    comes_to, inch = figures.lengths(forge), starting.in_inches(raw)
    found = {key: text for key, text in texts.items()
             if not any(key in other.keys for other in either.ways)}  # fmt: skip
    blade = forge.design.blade
    for key in way.keys:
        if key in ("eye.width", "eye.ratio") and forge.design.eye.form == "circle":
            continue
        if key == "blade.edge_centre" and _half_way(comes_to[key], blade):
            continue
        found[key] = _rounded(key, comes_to[key], key in inch)
    return found


def _half_way(height: float, blade: Blade) -> bool:
    """Whether the foremost point lies where it does if nobody says where."""
    return abs(height - (blade.toe - blade.heel) / 2.0) < 0.02


def _rounded(key: str, value: float, inch: bool) -> str:
    """To 0.001 in or 0.01 mm; the corners of an edge, which stand for its radius, ten times as
    fine."""
    if key == "eye.ratio":
        return f"{value:.3f}".rstrip("0").rstrip(".")
    return starting.near(value, inch, finer=key.endswith("_back"))


# The shelf ---------------------------------------------------------------------------------------


def shelf(entries: Iterable[Entry], units: str) -> list[dict[str, Any]]:
    """The heads to choose from, lightest first; those that cannot be made come last."""
    rows = [_row(entry, units) for entry in entries]
    return [row for _, row in sorted(rows, key=lambda row: row[0])]


@lru_cache(512)
def _row(entry: Entry, units: str) -> tuple[float, dict[str, Any]]:
    """A head's mass [g] and what the shelf shows of it; kept, for as long as its file is."""
    found: dict[str, Any] = {
        "id": entry.id, "slug": entry.slug, "own": entry.own, "name": entry.name,
        "note": entry.note, "lines": [], "picture": None, "fault": entry.fault,
    }  # fmt: skip
    if entry.profile is None:
        return math.inf, found
    try:
        head = plan(entry.profile.design, units).head
    except BadInputError as error:
        faults = in_words(error.faults)
        said = "; ".join(f"{f['field']}: given {f['given']}, {f['change']}" for f in faults[:3])
        return math.inf, found | {"fault": said}
    lines = [
        f"{mass(head.mass, units)}, bar {section(head.design.bar.section)}",
        f"edge {length(head.edge_length, units)}, {length(head.length, units)} long",
        f"fold: {head.design.fold.form}",
    ]
    return head.mass, found | {"lines": lines, "picture": outline(head)}


# Faults ------------------------------------------------------------------------------------------

_COMMAND = re.compile(r" ?\((?:--set [^)]*)\)|; see: eyewrap \w+|see: eyewrap \w+")
_QUOTES = re.compile(r", in quotes|(?<=write it) in quotes")
_PAIRS = re.compile(r", written with its unit, as \[\[.*\]\]")
_LABELS = {key: spec.label for key, spec in specs() if "." in key}
_KEY = re.compile(
    rf"\b({'|'.join(re.escape(key) for key in sorted(_LABELS, key=len, reverse=True))})\b"
    r'(?: = "([^"]*)")?'
)


def _plain(text: str) -> str:
    """A message without what belongs to a file or a terminal: keys by their labels, no quotes."""
    for what in (_COMMAND, _QUOTES, _PAIRS):
        text = what.sub("", text)
    return _KEY.sub(lambda m: _LABELS[m[1]] + (f": {m[2]}" if m[2] is not None else ""), text)


def in_words(faults: Iterable[Fault]) -> list[dict[str, str]]:
    """Faults for a form: without what one would write in a file or type at a terminal.

    >>> in_words([Fault("fold.lap", "1 in", "none", "take it out (--set fold.lap=)")])[0]["change"]
    'take it out'
    >>> in_words([Fault("ears.above", "nothing", "", 'or choose ears.form = "none"')])[0]["change"]
    'or choose Form of the ears: none'
    """
    return [
        {
            "field": fault.field.removeprefix("--"),
            "given": _plain(fault.given),
            "allowed": _plain(fault.allowed),
            "change": _plain(fault.change),
        }
        for fault in faults
    ]
