"""Read head designs from TOML: every fault is found before any is reported.

The shipped designs lie in ``profiles/``; in an installed package the same files lie beside the
modules.
"""

from __future__ import annotations

import dataclasses
import difflib
import math
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from . import consistency
from .errors import BadInputError, Fault
from .parameters import Design, Spec, group_type, specs
from .units import NotALengthError, read_length, read_section

LARGEST_FILE = 200_000
"""Bytes; a profile is a page of text."""

MOST_POINTS = 24


@dataclass(frozen=True)
class Profile:
    """A design with the keys that its author wrote; all other values are defaults."""

    slug: str
    design: Design
    given: frozenset[str]


def shelf() -> Path:
    """The folder of the shipped designs."""
    beside = Path(__file__).parent / "shelf"
    return beside if beside.is_dir() else Path(__file__).parent.parent / "profiles"


def shipped() -> dict[str, Path]:
    """The shipped designs by name, in order."""
    return {path.stem: path for path in sorted(shelf().glob("*.toml"))}


def find(profile: str) -> Path:
    """The file of a shipped name or a path; raises :class:`BadInputError` if there is none."""
    known = shipped()
    if profile in known:
        return known[profile]
    path = Path(profile)
    try:
        is_file, is_there = path.is_file(), path.exists()
    except (OSError, ValueError):
        is_file = is_there = False
    if is_file:
        return path
    given = repr(profile[:120])
    if is_there:
        raise BadInputError([Fault("profile", given, "a file", "name the TOML file itself")])
    close = difflib.get_close_matches(profile.lower(), known, n=1)
    hint = f"did you mean {close[0]}?" if close else "see: eyewrap list"
    allowed = f"the path of a TOML file, or one of {', '.join(known)}"
    raise BadInputError([Fault("profile", given, allowed, hint)])


def load(profile: str, changes: Iterable[str] = (), units: str = "in") -> Profile:
    """Read a shipped name or a path, with changes such as ``"wall.thickness=3/16 in"``.

    Raises
    ------
    BadInputError
        With every fault of file, keys, values and changes; messages in ``units`` (in or mm).
    """
    path = find(profile)
    raw, faults = _parse(path), []
    for change in changes:
        fault = _change(raw, change)
        if fault is not None:
            faults.append(fault)
    return read(raw, slug(path.stem), units, faults)


def read(
    raw: Mapping[str, Any], name: str, units: str = "in", faults: Iterable[Fault] = ()
) -> Profile:
    """Make a profile from a parsed table; raises :class:`BadInputError` with every fault."""
    found, given, bad = list(faults), set[str](), set[str]()
    design = _table(Design, raw, "", units, found, given, bad)
    found += consistency.faults(design, units, frozenset(bad))
    if found:
        raise BadInputError(found)
    return Profile(name, design, frozenset(given))


def slug(stem: str) -> str:
    """A name for files and folders: plain letters, figures and dashes.

    >>> slug("Bj\u00f6rn's Axe (2)")
    'bj-rn-s-axe-2'
    """
    plain = re.sub(r"[^a-z0-9]+", "-", stem.lower()).strip("-")
    return plain[:60].strip("-") or "head"


def _parse(path: Path) -> dict[str, Any]:
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE:
            raise BadInputError(
                [
                    Fault(
                        "profile", f"a file of {size:,} bytes", f"at most {LARGEST_FILE:,} bytes",
                        "a profile is a page of text: is this the right file?",
                    )
                ]
            )  # fmt: skip
        return tomllib.loads(path.read_bytes().decode("utf-8"))
    except OSError as error:
        reason = error.strerror or "cannot be read"
        raise BadInputError(
            [Fault("profile", path.name, "a file that can be read", reason)]
        ) from None
    except UnicodeDecodeError:
        allowed = "text in UTF-8"
        raise BadInputError([Fault("profile", path.name, allowed, "is it a TOML file?")]) from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        reason = str(error) or "nested too deeply"
        raise BadInputError([Fault("profile", path.name, "TOML", reason)]) from None


def _change(raw: dict[str, Any], change: str) -> Fault | None:
    """Put ``key=value`` into the table; a fault if it is not of that form."""
    key, equals, text = change.partition("=")
    key, text = key.strip(), text.strip()
    if not equals or not key:
        return Fault(
            "--set", repr(change), "key=value", 'for example --set "wall.thickness=3/16 in"'
        )
    spec = dict(specs()).get(key)
    if spec is None:
        return Fault(key, "a key that is not known", *_like(key, [k for k, _ in specs()]))
    value: Any = text
    if spec.kind in ("angle", "count", "number", "points"):
        try:
            value = tomllib.loads(f"value = {text}")["value"]
        except tomllib.TOMLDecodeError:
            return Fault(key, repr(text), spec.limits())
    *groups, last = key.split(".")
    table = raw
    for group in groups:
        inner = table.setdefault(group, {})
        if not isinstance(inner, dict):
            return None  # the wrong table is reported when the whole is read
        table = inner
    table[last] = value
    return None


def _like(key: str, known: Iterable[str]) -> tuple[str, str]:
    close = difflib.get_close_matches(key, list(known), n=1, cutoff=0.5)
    allowed = "a key of the schema; see: eyewrap keys"
    return allowed, f"did you mean {close[0]}?" if close else "take it out"


def _table(
    owner: type,
    raw: Mapping[str, Any],
    prefix: str,
    units: str,
    faults: list[Fault],
    given: set[str],
    bad: set[str],
) -> Any:
    values: dict[str, Any] = {}
    names = {entry.name for entry in dataclasses.fields(owner)}
    for key in raw:
        if key not in names:
            everywhere = [k for k, _ in specs()]
            faults.append(
                Fault(
                    f"{prefix}{key}",
                    "a key that is not known",
                    *_like(f"{prefix}{key}", everywhere),
                )
            )
    for entry in dataclasses.fields(owner):
        key = f"{prefix}{entry.name}"
        inner = group_type(owner, entry.name)
        if inner is not None:
            table = raw.get(entry.name, {})
            if not isinstance(table, Mapping):
                faults.append(Fault(key, repr(table)[:60], f"a table, [{key}]"))
                bad |= {inside for inside, _ in specs(inner, f"{key}.")}
                values[entry.name] = _stand_in(inner)
                continue
            values[entry.name] = _table(inner, table, f"{key}.", units, faults, given, bad)
            continue
        spec: Spec = entry.metadata["spec"]
        if entry.name not in raw:
            if spec.required:
                faults.append(Fault(key, "nothing", spec.limits(units), f"add it: {spec.label}"))
                bad.add(key)
                values[entry.name] = _any(spec)
            continue
        given.add(key)
        value = _value(raw[entry.name], spec)
        if value is None:
            shown = repr(raw[entry.name])
            shown = shown if len(shown) <= 60 else shown[:57] + "..."
            change = ""
            if spec.kind == "length" and isinstance(raw[entry.name], int | float):
                change = "a length needs its unit, in quotes"
            faults.append(Fault(key, shown, spec.limits(units), change))
            bad.add(key)
            if spec.required:
                values[entry.name] = _any(spec)
        else:
            values[entry.name] = value
    return owner(**values)


def _any(spec: Spec) -> Any:
    """A value of the right kind, to stand in for one at fault until all faults are found."""
    match spec.kind:
        case "section":
            return spec.low, spec.high
        case "points":
            return ((spec.low, spec.low),)
        case "text" | "choice":
            return "?"
    return spec.low


def _stand_in(owner: type) -> Any:
    """A whole group, to stand in for one at fault."""
    values: dict[str, Any] = {}
    for entry in dataclasses.fields(owner):
        inner = group_type(owner, entry.name)
        if inner is not None:
            values[entry.name] = _stand_in(inner)
        elif entry.metadata["spec"].required:
            values[entry.name] = _any(entry.metadata["spec"])
    return owner(**values)


def _value(raw: Any, spec: Spec) -> Any:
    """The value in the schema's unit, or None where it is not allowed."""
    try:
        match spec.kind:
            case "length":
                value = read_length(raw) if isinstance(raw, str) else None
                return value if value is not None and _within(value, spec) else None
            case "section":
                pair = read_section(raw) if isinstance(raw, str) else None
                return pair if pair and all(_within(side, spec) for side in pair) else None
            case "points":
                return _points(raw, spec)
            case "text":
                return raw if isinstance(raw, str) and _printable(raw, spec) else None
            case "choice":
                return raw if isinstance(raw, str) and raw in spec.choices else None
            case "percent":
                return _percent(raw, spec)
    except NotALengthError:
        return None
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not math.isfinite(raw):
        return None
    if spec.kind == "count" and not isinstance(raw, int):
        return None
    return raw if spec.low <= raw <= spec.high else None


def _within(value: float, spec: Spec) -> bool:
    return spec.low - 1e-9 <= value <= spec.high + 1e-9


def _printable(text: str, spec: Spec) -> bool:
    return 0 < len(text.strip()) <= spec.high and text.isprintable()


def _percent(raw: Any, spec: Spec) -> float | None:
    match = re.fullmatch(r"\s*(\d{1,3}(?:\.\d*)?)\s*%\s*", raw) if isinstance(raw, str) else None
    if match is None or not spec.low <= float(match[1]) <= spec.high:
        return None
    return float(match[1]) / 100.0


def _points(raw: Any, spec: Spec) -> tuple[tuple[float, float], ...] | None:
    if not isinstance(raw, list) or len(raw) > MOST_POINTS or (spec.required and not raw):
        return None
    found = []
    for row in raw:
        if not isinstance(row, list) or len(row) != 2 or not all(isinstance(c, str) for c in row):
            return None
        x, y = read_length(row[0]), read_length(row[1])
        if not (_within(x, spec) and _within(y, spec)):
            return None
        found.append((x, y))
    return tuple(found)
