"""A profile to start from: every key of the schema, explained, as TOML to edit.

Keys that are given stand as they were written; the others stand behind a ``#`` at their default, so
that a smith has only to take the ``#`` away.
"""

from __future__ import annotations

import copy
import dataclasses
import json
import re
from collections.abc import Iterator, Mapping
from textwrap import wrap
from typing import Any

from .parameters import Design, specs
from .schema import Spec, group_type, in_full, value_at
from .units import MM_PER_INCH, at_least, at_most, inches

WIDTH = 99
"""Letters in a line, at most."""

HEAD = """\
# A head design to edit; draw it with: eyewrap draw FILE
# Lengths are written with their unit, in quotes: "1 1/4 in", "1.25 in", "32 mm".
# A key behind a # stands at its default; where three dots stand it has none, and is not given.
# Take the # away to change it. What follows a # and a space is help.
"""


def text(raw: Mapping[str, Any], units: str = "in") -> str:
    """The text of a profile: every group and key in the schema's order, limits in ``units``.

    ``raw`` is a profile's table as it was read, with every value as its author spelt it.
    """
    return "\n".join([HEAD, *_table(Design, raw, "", units)]).rstrip("\n") + "\n"


def _table(owner: type, raw: Mapping[str, Any], prefix: str, units: str) -> Iterator[str]:
    """Keys first, then the groups, as TOML has it; ``prefix`` is the group's own name."""
    groups = []
    for entry in dataclasses.fields(owner):
        inner = group_type(owner, entry.name)
        if inner is not None:
            groups.append((entry.name, inner))
            continue
        spec: Spec = entry.metadata["spec"]
        yield from wrap(
            _explained(spec, units), WIDTH, initial_indent="# ", subsequent_indent="#   ",
            break_long_words=False, break_on_hyphens=False,
        )  # fmt: skip
        if entry.name in raw:
            yield from _line(entry.name, raw[entry.name])
        else:
            yield f"#{entry.name} = {_default(spec)}"
        yield ""
    for name, inner in groups:
        yield f"[{prefix}{name}]"
        doc = (inner.__doc__ or "").split("\n\n")[0]
        yield from wrap(
            " ".join(doc.split()), WIDTH, initial_indent="# ", subsequent_indent="# "
        )  # fmt: skip
        yield ""
        yield from _table(inner, raw.get(name, {}), f"{prefix}{name}.", units)


def _explained(spec: Spec, units: str) -> str:
    if spec.required:
        need = "required"
    elif spec.default_text in (None, "", "[]"):
        need = "may be left out"
    else:
        need = f"default {spec.default_text}"
    return f"{spec.label}: {spec.help}. {_limits(spec, units)}; {need}."


def _limits(spec: Spec, units: str) -> str:
    """What may stand there, in short: how lengths are written stands at the head of the file."""
    match spec.kind:
        case "length" | "points" | "section":
            return f"{at_least(spec.low, units)} to {at_most(spec.high, units)}"
        case "percent":
            return f"{spec.low:g} to {spec.high:g} %"
        case "text":
            return f"Up to {spec.high:g} letters"
    limits = spec.limits(units).removesuffix(", a number")
    return f"{limits[:1].upper()}{limits[1:]}"


def _default(spec: Spec) -> str:
    """A default as TOML; three dots where there is none."""
    plain = spec.kind in ("angle", "count", "number", "points")
    if spec.default_text is None:
        return "..." if plain else '"..."'
    return spec.default_text if plain else json.dumps(spec.default_text, ensure_ascii=False)


# Values as TOML ------------------------------------------------------------------------------


def _line(key: str, value: Any) -> list[str]:
    """A key with its value, on as many lines as it needs."""
    whole = f"{key} = {_written(value)}"
    if len(whole) <= WIDTH:
        return [whole]
    if isinstance(value, list):
        rows = wrap_items([f"{_written(item)}," for item in value], WIDTH - 4)
        return [f"{key} = [", *(f"    {row}" for row in rows), "]"]
    return _long_text(key, str(value))


def _written(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_written, value))}]"
    return repr(value) if isinstance(value, float) else json.dumps(value, ensure_ascii=False)


def wrap_items(items: list[str], width: int) -> list[str]:
    """Items in rows no wider than ``width``, none of them broken.

    >>> wrap_items(["10,", "20,", "30,"], 8)
    ['10, 20,', '30,']
    """
    rows: list[str] = []
    for item in items:
        if rows and len(rows[-1]) + 1 + len(item) <= width:
            rows[-1] += f" {item}"
        else:
            rows.append(item)
    return rows


def _long_text(key: str, value: str) -> list[str]:
    """A text in triple quotes: a stroke at a line's end takes the break and what follows away."""
    signs = re.findall(r"\\u....|\\.|.", json.dumps(value, ensure_ascii=False)[1:-1])
    rows, row = [], f'{key} = """'
    while signs:
        count, room = 0, WIDTH - 4 - len(row)
        for i, sign in enumerate(signs):
            room -= len(sign)
            if room < 0:
                break
            last = i + 1 == len(signs)
            if last or (sign == " " and signs[i + 1] != " "):
                count = i + 1
        else:
            i += 1
        count = count or i  # a word longer than the line is cut
        row += "".join(signs[:count])
        signs = signs[count:]
        rows.append(f"{row}\\" if signs else f'{row}"""')
        row = ""
    return rows


# Lengths in the profile's own spelling ---------------------------------------------------------


def in_inches(raw: Mapping[str, Any]) -> frozenset[str]:
    """Keys of lengths that a profile spells in inches.

    A key that it does not give goes with most of those that it does.

    >>> found = in_inches({"eye": {"length": "45 mm", "width": "3/4 in", "taper": "1 mm"}})
    >>> sorted(found)
    ['eye.width']
    """
    told: dict[str, bool] = {}
    lengths = [key for key, spec in specs() if spec.kind in ("length", "section", "points")]
    for key in lengths:
        at: Any = raw
        for part in key.split("."):
            at = at.get(part) if isinstance(at, Mapping) else None
        if at:
            told[key] = re.search(r"[mc]m\W*$", str(at).lower()) is None
    most = sum(told.values()) * 2 > len(told)
    return frozenset(key for key in lengths if told.get(key, most))


def length(mm: float, inch: bool) -> str:
    """A length in full: a fraction of an inch, thousandths, or hundredths of a millimetre.

    >>> length(31.75, True), length(25.4 * 1.287, True), length(31.75, False), length(50.0, True)
    ('1 1/4 in', '1.287 in', '31.75 mm', '50 mm')
    """
    parts = mm / MM_PER_INCH * 64.0
    if inch and abs(parts - round(parts)) < 1e-9:
        return f"{inches(mm)} in"
    ways = [("in", MM_PER_INCH, 3), ("mm", 1.0, 2)]
    for unit, size, places in ways if inch else reversed(ways):
        figures = f"{mm / size:.{places}f}".rstrip("0").rstrip(".")
        if abs(float(figures) * size - mm) < 1e-9:
            return f"{figures} {unit}"
    return in_full(mm, Spec("length", "", "")).strip('"')


def near(mm: float, inch: bool, finer: bool = False) -> str:
    """A length that was reckoned and not chosen, to 0.001 in or 0.01 mm; ``finer``: a tenth of it.

    >>> near(120.1714, True), near(31.75, True), near(120.1714, False)
    ('4.731 in', '1 1/4 in', '120.17 mm')
    """
    size, places = (MM_PER_INCH, 3) if inch else (1.0, 2)
    places += finer
    figures = round(mm / size, places)
    if finer:
        return f"{figures:.{places}f}".rstrip("0").rstrip(".") + (" in" if inch else " mm")
    return length(figures * size, inch)


def section(size: tuple[float, float], inch: bool) -> str:
    """A section in full.

    >>> section((12.7, 38.1), True), section((12.0, 40.0), False), section((12.7, 40.0), True)
    ('1/2 x 1 1/2 in', '12 x 40 mm', '1/2 in x 40 mm')
    """
    first, second = (length(side, inch) for side in size)
    figures, _, unit = first.rpartition(" ")
    return f"{figures if second.endswith(unit) else first} x {second}"


def put(
    raw: Mapping[str, Any], was: Design, now: Design, inch: frozenset[str]
) -> dict[str, Any]:  # fmt: skip
    """The table with every value that differs between two designs written anew."""
    found = copy.deepcopy(dict(raw))
    for key, spec in specs():
        before, after = value_at(was, key), value_at(now, key)
        if before == after:
            continue
        *groups, last = key.split(".")
        at = found
        for group in groups:
            at = at.setdefault(group, {})
        if after is None:
            at.pop(last, None)
        elif spec.kind == "length":
            at[last] = length(after, key in inch)
        elif spec.kind == "section":
            at[last] = section(after, key in inch)
        elif spec.kind == "points":
            at[last] = [[length(x, key in inch), length(y, key in inch)] for x, y in after]
        else:
            at[last] = after
    return found
