"""Read head designs from TOML: every fault is found before any is reported.

The shipped designs lie in ``profiles/``; in an installed package the same files lie beside the
modules.
"""

from __future__ import annotations

import dataclasses
import difflib
import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from . import consistency
from .errors import BadInputError, Fault
from .parameters import Design, Spec, group_type, specs
from .units import NotALengthError, read_length, read_section

LARGEST_FILE = 64_000
"""Bytes; a profile is a page of text."""

MOST_DOTS = 500
"""On one line: a key of so many parts would only be there to keep the reader busy."""

MOST_POINTS = 24

MOST_HINTS = 20
"""How many unknown keys are looked up for what may have been meant."""


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
    close = difflib.get_close_matches(profile[:120].lower(), known, n=1)
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
        fault = _change(raw, change, units)
        if fault is not None:
            faults.append(fault)
    return read(raw, slug(path.stem), units, faults)


def read(
    raw: Mapping[str, Any], name: str, units: str = "in", faults: Iterable[Fault] = ()
) -> Profile:
    """Make a profile from a parsed table; raises :class:`BadInputError` with every fault."""
    found, given, bad = list[Fault](), set[str](), set[str]()
    design = _table(Design, raw, "", units, found, given, bad)
    found += consistency.faults(design, units, frozenset(bad))
    if faults := [*faults, *_in_order(found, raw)]:
        raise BadInputError(faults)
    return Profile(name, design, frozenset(given))


def _in_order(faults: Iterable[Fault], raw: Mapping[str, Any]) -> list[Fault]:
    """In the order of the profile; what it lacks comes after the last of what stands beside it."""
    written = {key: i for i, key in enumerate(_written(raw))}
    schema = {key: i for i, (key, _) in enumerate(specs())}

    def place(fault: Fault) -> tuple[int, int]:
        own, beside = schema.get(fault.field, 0), fault.field
        if beside in written:
            return written[beside], own
        while beside := beside.rpartition(".")[0]:
            group = [i for k, i in written.items() if k == beside or k.startswith(f"{beside}.")]
            if group:
                return group[-1], own
        return len(written), own

    return sorted(faults, key=place)


def _written(raw: Mapping[str, Any]) -> Iterator[str]:
    """Every dotted key of a parsed table that a group of the schema can hold, as it is written."""
    for key, value in raw.items():
        yield named(key)
        if isinstance(value, Mapping):
            for inner, deeper in value.items():
                yield f"{named(key)}.{named(inner)}"
                if isinstance(deeper, Mapping):
                    yield from (f"{named(key)}.{named(inner)}.{named(last)}" for last in deeper)


def slug(stem: str) -> str:
    """A name for files and folders: plain letters, figures and dashes.

    >>> slug("Bj\u00f6rn's Axe (2)")
    'bj-rn-s-axe-2'
    """
    plain = re.sub(r"[^a-z0-9]+", "-", stem.lower()).strip("-")
    return plain[:60].strip("-") or "head"


def _parse(path: Path) -> dict[str, Any]:
    shown = repr(path.name)

    def refused(given: str, allowed: str, change: str) -> BadInputError:
        return BadInputError([Fault("profile", given, allowed, change)])

    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except OSError as error:
        reason = error.strerror or "cannot be read"
        raise refused(shown, "a file that can be read", f"the system says: {reason}") from None
    if len(content) > LARGEST_FILE:
        raise refused(
            f"{shown}, a file of more than {LARGEST_FILE:,} bytes", "a page of text",
            "is this the right file?",
        )  # fmt: skip
    try:
        text = content.decode("utf-8-sig")  # some editors put a mark before the text
    except UnicodeDecodeError:
        raise refused(
            f"{shown}, which is not text in UTF-8", "a TOML file, which is plain text in UTF-8",
            "save it as UTF-8, or name the right file",
        ) from None  # fmt: skip
    try:
        return _toml(text)
    except ValueError as error:
        raise refused(
            f"{shown}, which is not TOML", "TOML: see a shipped profile", f"mend this: {error}"
        ) from None


def _toml(text: str) -> dict[str, Any]:
    """Parse; raises :class:`ValueError`, in one line, for all that is not TOML or is too much."""
    lines = enumerate(text.splitlines(), 1)
    crowded = next((i for i, line in lines if line.count(".") > MOST_DOTS), None)
    if crowded is not None:
        raise ValueError(f"more than {MOST_DOTS} dots (at line {crowded})")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        reason = str(error)
        shown = reason if reason.isprintable() else repr(reason)[1:-1]
        raise ValueError(
            shown if len(shown) <= 200 else f"{shown[:150]} ... {shown[-40:]}"
        ) from None
    except RecursionError:
        raise ValueError("tables or lists nested too deeply") from None
    except ValueError:
        raise ValueError("a number with too many figures") from None


def _change(raw: dict[str, Any], change: str, units: str) -> Fault | None:
    """Put ``key=value`` into the table, or take the key out; a fault if it is not of that form."""
    key, equals, text = change.partition("=")
    key, text = key.strip(), text.strip()
    if not equals or not key:
        return Fault(
            "--set", given(change), "key=value", 'for example --set "wall.thickness=3/16 in"'
        )
    spec = dict(specs()).get(key)
    if spec is None:
        return Fault(named(key), "a key that is not known", *_like(key))
    value: Any = text
    if text and spec.kind in ("angle", "count", "number", "points"):
        try:
            value = _toml(f"value = {text}")["value"]
        except ValueError:
            return Fault(key, given(text), spec.limits(units))
    *groups, last = key.split(".")
    table = raw
    for group in groups:
        inner = table.setdefault(group, {})
        if not isinstance(inner, dict):
            return None  # the wrong table is reported when the whole is read
        table = inner
    if text:
        table[last] = value
    else:
        table.pop(last, None)
    return None


def _like(key: str) -> tuple[str, str]:
    known = [k for k, _ in specs()]
    close = difflib.get_close_matches(key[:80], known, n=1, cutoff=0.5)
    allowed = "a key of the schema; see: eyewrap keys"
    return allowed, f"did you mean {close[0]}?" if close else "take it out"


def named(key: str) -> str:
    """A key for a message: on one line, short, nothing in it that a terminal would obey.

    >>> named("blade"), named("a\\nb")
    ('blade', "'a\\\\nb'")
    """
    short = key if len(key) <= 60 else f"{key[:57]}..."
    return short if short.isprintable() and short.strip() else repr(short)


def given(value: Any) -> str:
    """What stands in a profile, for a message: as TOML writes it, on one line, shortened.

    >>> given(True), given("3/8"), given([1, "2 in"]), given({}), given(float("inf"))
    ('true', "'3/8'", "[1, '2 in']", 'a table', 'inf')
    """
    match value:
        case bool():
            return str(value).lower()
        case Mapping():
            return "a table"
        case list():
            text = f"[{', '.join(given(item) for item in value[:8])}"
            text += ", ...]" if len(value) > 8 else "]"
        case str():
            text = repr(value[:60])
        case int() if abs(value) >= 10**30:
            return "a number of more than 30 figures"
        case _:
            text = str(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _table(
    owner: type,
    raw: Mapping[str, Any],
    prefix: str,
    units: str,
    faults: list[Fault],
    present: set[str],
    bad: set[str],
) -> Any:
    values: dict[str, Any] = {}
    names = {entry.name for entry in dataclasses.fields(owner)}
    unknown = [key for key in raw if key not in names]
    for i, key in enumerate(unknown):
        like = _like(f"{prefix}{key}") if i < MOST_HINTS else ("a key of the schema", "take it out")
        faults.append(Fault(f"{prefix}{named(key)}", "a key that is not known", *like))
    for entry in dataclasses.fields(owner):
        key = f"{prefix}{entry.name}"
        inner = group_type(owner, entry.name)
        if inner is not None:
            table = raw.get(entry.name, {})
            if not isinstance(table, Mapping):
                inside = ", ".join(entry.name for entry in dataclasses.fields(inner))
                faults.append(Fault(key, given(table), f"a table, [{key}]", f"it holds: {inside}"))
                bad |= {inside for inside, _ in specs(inner, f"{key}.")}
                values[entry.name] = _stand_in(inner)
                continue
            values[entry.name] = _table(inner, table, f"{key}.", units, faults, present, bad)
            continue
        spec: Spec = entry.metadata["spec"]
        if entry.name not in raw:
            if spec.required:
                faults.append(
                    Fault(key, "nothing", spec.limits(units), f"add it: {spec.label.lower()}")
                )
                bad.add(key)
                values[entry.name] = _any(spec)
            continue
        present.add(key)
        value = _value(raw[entry.name], spec)
        if value is None:
            change = _remedy(raw[entry.name], spec)
            faults.append(Fault(key, given(raw[entry.name]), spec.limits(units), change))
            bad.add(key)
            if spec.required:
                values[entry.name] = _any(spec)
        else:
            values[entry.name] = value
    return owner(**values)


def _remedy(raw: Any, spec: Spec) -> str:
    """What to change about a value that is not allowed, where it can be told."""
    number = isinstance(raw, int | float) and not isinstance(raw, bool)
    match spec.kind:
        case "length":
            if number:
                return "write it with its unit, in quotes"
            return (
                _length_remedy(raw, spec) if isinstance(raw, str) else "write a length, in quotes"
            )
        case "section":
            if isinstance(raw, str) and not _is(read_section, raw):
                return "write thickness x width and the unit, in, mm or cm"
            return (
                "change the side that lies outside"
                if isinstance(raw, str)
                else "write it in quotes"
            )
        case "points":
            return _points_remedy(raw, spec)
        case "percent":
            return "write a number and %, in quotes" if number else "write it as shown"
        case "choice":
            close = difflib.get_close_matches(str(raw)[:60].lower(), spec.choices, n=1)
            return f"did you mean {close[0]}?" if close and isinstance(raw, str) else "choose one"
        case "text":
            return "shorten it or take out what cannot be printed" if isinstance(raw, str) else (
                "write it in quotes"
            )  # fmt: skip
        case "angle" | "number" | "count":
            if isinstance(raw, str):
                return "write the number without quotes or unit"
            if not number or raw != raw or (spec.kind == "count" and not isinstance(raw, int)):
                return "write " + ("a whole number" if spec.kind == "count" else "a number")
            return "make it more" if raw < spec.low else "make it less"
    return ""


def _is(read: Callable[[str], object], text: str) -> bool:
    try:
        read(text)
    except NotALengthError:
        return False
    return True


def _length_remedy(text: str, spec: Spec) -> str:
    if not _is(read_length, text):
        return "write a number and its unit: in, mm or cm"
    return "make it more" if read_length(text) < spec.low else "make it less"


def _points_remedy(raw: Any, spec: Spec) -> str:
    if not isinstance(raw, list):
        return "write a list of pairs"
    if len(raw) > MOST_POINTS:
        return f"leave no more than {MOST_POINTS} pairs"
    for i, row in enumerate(raw, 1):
        if not isinstance(row, list) or len(row) != 2:
            return f"make number {i} a pair of lengths"
        for cell in row:
            if not isinstance(cell, str) or not _is(read_length, cell):
                return f"write both lengths of pair {i} with their units, in quotes"
            if not _within(read_length(cell), spec):
                return f"change {given(cell)} in pair {i}"
    return "give at least one pair"


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
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        return None
    if spec.kind == "count" and not isinstance(raw, int):
        return None
    return raw if spec.low <= raw <= spec.high else None  # a NaN is neither


def _within(value: float, spec: Spec) -> bool:
    return spec.low - 1e-9 <= value <= spec.high + 1e-9


def _printable(text: str, spec: Spec) -> bool:
    return spec.low <= len(text.strip()) and len(text) <= spec.high and text.isprintable()


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
