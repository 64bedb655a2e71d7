"""Read what people write in tables by a schema: every fault is found before any is reported.

A table is a mapping, as TOML gives it; a file of rows is CSV, each row a table of its own.
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

from .errors import BadInputError, Fault
from .schema import Spec, group_type, specs
from .units import NotALengthError, read_length, read_mass, read_section

LARGEST_FILE = 64_000
"""Bytes; a profile is a page of text."""

MOST_DOTS = 500
"""On one line: a key of so many parts would only be there to keep the reader busy."""

MOST_POINTS = 24

MOST_HINTS = 20
"""How many unknown keys are looked up for what may have been meant."""


def toml_file(
    path: Path, field: str = "profile", like: str = "a shipped profile"
) -> dict[str, Any]:  # fmt: skip
    """The table of a TOML file; raises :class:`BadInputError` if it is none, and says what one is
    ``like``."""
    text = read_text(path, field, LARGEST_FILE, "a TOML file, which is plain text in UTF-8")
    try:
        return toml(text)
    except ValueError as error:
        given = f"{path.name!r}, which is not TOML"
        raise BadInputError(
            [Fault(field, given, f"TOML: see {like}", f"mend this: {error}")]
        ) from None


def read_text(path: Path, field: str, largest: int, allowed: str) -> str:
    """The text of a file; raises :class:`BadInputError` if it has none or too much."""
    return text_of(read_bytes(path, field, largest), field, repr(path.name), allowed)


def read_bytes(path: Path, field: str, largest: int) -> bytes:
    """What a file holds; raises :class:`BadInputError` if it cannot be read or is too much."""
    shown = repr(path.name)
    try:
        with path.open("rb") as file:
            content = file.read(largest + 1)
    except (OSError, ValueError) as error:  # ValueError: a name that no file system takes
        reason = getattr(error, "strerror", None) or "cannot be read"
        raise BadInputError(
            [Fault(field, shown, "a file that can be read", f"the system says: {reason}")]
        ) from None
    if len(content) > largest:
        raise BadInputError(
            [Fault(field, f"{shown}, a file of more than {largest:,} bytes", "a page of text"
                   if largest == LARGEST_FILE else f"up to {largest:,} bytes",
                   "is this the right file?")]
        )  # fmt: skip
    return content


def text_of(content: bytes, field: str, shown: str, allowed: str) -> str:
    """The text of what a file, shown so, holds; raises :class:`BadInputError` if it is none."""
    try:
        return content.decode("utf-8-sig")  # some editors put a mark before the text
    except UnicodeDecodeError:
        raise BadInputError(
            [Fault(field, f"{shown}, which is not text in UTF-8", allowed,
                   "save it as UTF-8, or name the right file")]
        ) from None  # fmt: skip


def toml(text: str) -> dict[str, Any]:
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


def in_order(owner: type, faults: Iterable[Fault], raw: Mapping[str, Any]) -> list[Fault]:
    """In the order of the file; what it lacks comes after the last of what stands beside it."""
    written = {key: i for i, key in enumerate(_written(raw))}
    schema = {key: i for i, (key, _) in enumerate(specs(owner))}

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


def change(owner: type, raw: dict[str, Any], text: str, units: str) -> Fault | None:
    """Put ``key=value`` into the table, or take the key out; a fault if it is not of that form."""
    key, equals, said = text.partition("=")
    key, said = key.strip(), said.strip()
    if not equals or not key:
        return Fault(
            "--set", given(text), "key=value", 'for example --set "wall.thickness=3/16 in"'
        )
    return put(owner, raw, key, said, dict(specs(owner)).get(key), units)


def put(
    owner: type, raw: dict[str, Any], key: str, said: str, spec: Spec | None, units: str
) -> Fault | None:
    """Put what is said of a key into the table, or take the key out where nothing is said.

    ``spec`` is None for a key that the schema does not know.
    """
    if spec is None:
        return Fault(named(key), "a key that is not known", *like(owner, key))
    found: Any = said
    if said and spec.kind in ("angle", "count", "number", "points"):
        try:
            found = toml(f"value = {said}")["value"]
        except ValueError:
            return Fault(key, given(said), spec.limits(units), remedy(said, spec))
    *groups, last = key.split(".")
    at = raw
    for group in groups:
        inner = at.setdefault(group, {})
        if not isinstance(inner, dict):
            return None  # the wrong table is reported when the whole is read
        at = inner
    if said:
        at[last] = found
    else:
        at.pop(last, None)
    return None


def like(owner: type, key: str) -> tuple[str, str]:
    """What is allowed in place of an unknown key, and what may have been meant."""
    known = [k for k, _ in specs(owner)]
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


@dataclass(frozen=True)
class Read:
    """A table as read: a stand-in takes the place of each value at fault.

    ``given`` are the keys that were written, ``bad`` those whose value cannot be relied on.
    """

    value: Any
    given: frozenset[str]
    bad: frozenset[str]
    faults: tuple[Fault, ...]


def table(owner: type, raw: Mapping[str, Any], units: str = "in") -> Read:
    """Read a table by the schema ``owner``, with every fault of keys and values."""
    reader = _Reader(owner, units)
    value = reader.table(owner, raw, "")
    return Read(value, frozenset(reader.given), frozenset(reader.bad), tuple(reader.faults))


class _Reader:
    """What is found on the way through a table and its groups."""

    def __init__(self, root: type, units: str) -> None:
        self.root, self.units = root, units
        self.faults: list[Fault] = []
        self.given: set[str] = set()
        self.bad: set[str] = set()

    def table(self, owner: type, raw: Mapping[str, Any], prefix: str) -> Any:
        values: dict[str, Any] = {}
        names = {entry.name for entry in dataclasses.fields(owner)}
        unknown = [key for key in raw if key not in names]
        for i, key in enumerate(unknown):
            hint = ("a key of the schema", "take it out")
            if i < MOST_HINTS:
                hint = like(self.root, f"{prefix}{key}")
            self.faults.append(Fault(f"{prefix}{named(key)}", "a key that is not known", *hint))
        for entry in dataclasses.fields(owner):
            key, inner = f"{prefix}{entry.name}", group_type(owner, entry.name)
            if inner is not None:
                values[entry.name] = self.group(inner, raw.get(entry.name, {}), key)
                continue
            spec: Spec = entry.metadata["spec"]
            value = self.field(spec, raw, key, entry.name)
            if value is not None:
                values[entry.name] = value
        return owner(**values)

    def group(self, inner: type, raw: Any, key: str) -> Any:
        if isinstance(raw, Mapping):
            return self.table(inner, raw, f"{key}.")
        holds = ", ".join(entry.name for entry in dataclasses.fields(inner))
        self.faults.append(Fault(key, given(raw), f"a table, [{key}]", f"it holds: {holds}"))
        self.bad |= {f"{key}.{inside}" for inside, _ in specs(inner)}
        return _stand_in(inner)

    def field(self, spec: Spec, raw: Mapping[str, Any], key: str, name: str) -> Any:
        """The value; None where the default stands."""
        if name not in raw:
            if not spec.required:
                return None
            self.faults.append(
                Fault(key, "nothing", spec.limits(self.units), f"add it: {spec.label.lower()}")
            )
        else:
            self.given.add(key)
            found = value(raw[name], spec)
            if found is not None:
                return found
            self.faults.append(
                Fault(key, given(raw[name]), spec.limits(self.units), remedy(raw[name], spec))
            )
        self.bad.add(key)
        return spec.stand_in if spec.required else None


def remedy(raw: Any, spec: Spec) -> str:
    """What to change about a value that is not allowed, where it can be told."""
    number = isinstance(raw, int | float) and not isinstance(raw, bool)
    match spec.kind:
        case "length":
            if number:
                return "write it with its unit, in quotes"
            return (
                _length_remedy(raw, spec) if isinstance(raw, str) else "write a length, in quotes"
            )
        case "mass":
            if not isinstance(raw, str) or not _is(read_mass, raw):
                return "write a number and its unit: g, kg, oz or lb"
            return "make it more" if read_mass(raw) < spec.low else "make it less"
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


def _stand_in(owner: type) -> Any:
    """A whole group, to stand in for one at fault."""
    values: dict[str, Any] = {}
    for entry in dataclasses.fields(owner):
        inner = group_type(owner, entry.name)
        if inner is not None:
            values[entry.name] = _stand_in(inner)
        elif entry.metadata["spec"].required:
            values[entry.name] = entry.metadata["spec"].stand_in
    return owner(**values)


def value(raw: Any, spec: Spec) -> Any:
    """The value in the schema's unit, or None where it is not allowed."""
    try:
        match spec.kind:
            case "length":
                found = read_length(raw) if isinstance(raw, str) else None
                return found if found is not None and _within(found, spec) else None
            case "mass":
                found = read_mass(raw) if isinstance(raw, str) else None
                return found if found is not None and _within(found, spec) else None
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
