"""Read head designs from TOML: every fault is found before any is reported.

The shipped designs lie in ``profiles/``; in an installed package the same files lie beside the
modules.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from . import consistency, reading
from . import smith as smiths
from .errors import BadInputError, Fault
from .parameters import Design


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
    shown = repr(profile[:120])
    if is_there:
        raise BadInputError([Fault("profile", shown, "a file", "name the TOML file itself")])
    close = difflib.get_close_matches(profile[:120].lower(), known, n=1)
    hint = f"did you mean {close[0]}?" if close else "see: eyewrap list"
    allowed = f"the path of a TOML file, or one of {', '.join(known)}"
    raise BadInputError([Fault("profile", shown, allowed, hint)])


def load(
    profile: str, changes: Iterable[str] = (), units: str = "in", smith: Path | None = None
) -> Profile:
    """Read a shipped name or a path, with changes such as ``"wall.thickness=3/16 in"``.

    The factors of a ``smith``'s file take the place of the profile's; changes come after both.

    Raises
    ------
    BadInputError
        With every fault of file, keys, values and changes; messages in ``units`` (in or mm).
    """
    stem, raw, faults = table(profile, changes, units, smith)
    return read(raw, stem, units, faults)


def table(
    profile: str, changes: Iterable[str] = (), units: str = "in", smith: Path | None = None
) -> tuple[str, dict[str, Any], list[Fault]]:
    """The name and the table of a profile with its changes, as written, and the faults of these."""
    path = find(profile)
    raw, faults = reading.toml_file(path), list[Fault]()
    if smith is not None:
        try:
            raw = smiths.overlay(raw, smiths.load(smith, units))
        except BadInputError as error:
            faults += error.faults
    for change in changes:
        fault = reading.change(Design, raw, change, units)
        if fault is not None:
            faults.append(fault)
    return slug(path.stem), raw, faults


def read(
    raw: Mapping[str, Any], name: str, units: str = "in", faults: Iterable[Fault] = ()
) -> Profile:
    """Make a profile from a parsed table; raises :class:`BadInputError` with every fault."""
    made = reading.table(Design, raw, units)
    found = [*made.faults, *consistency.faults(made.value, units, made.bad)]
    if faults := [*faults, *reading.in_order(Design, found, raw)]:
        raise BadInputError(faults)
    return Profile(name, made.value, made.given)


def slug(stem: str) -> str:
    """A name for files and folders: plain letters, figures and dashes.

    >>> slug("Bj\u00f6rn's Axe (2)")
    'bjorn-s-axe-2'
    """
    stem = "".join(c for c in unicodedata.normalize("NFKD", stem) if not unicodedata.combining(c))
    plain = re.sub(r"[^a-z0-9]+", "-", stem.lower()).strip("-")
    return plain[:60].strip("-") or "head"
