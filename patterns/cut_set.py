"""A set of files to cut, and what each is to be cut from: ``parts.json``.

The list goes with the files, so that they can be checked and nested without the profile.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from . import processes
from .errors import BadInputError, Fault
from .layers import OWN, ROLES, Layer, Layers, is_name
from .processes import Rules

NAME = "parts.json"
MOST = 10_000
"""No quantity is larger."""
_LARGEST = 1_000_000  # bytes


@dataclass(frozen=True)
class Item:
    """One file of the set.

    ``stock`` says what it is cut from, ``thickness`` [mm] how thick that is; ``process`` is empty
    for a length that is sawn off a bar. ``along`` tells that the file's x lies along the direction
    in which the stock was rolled; where it is false, the part may be turned. ``kerf`` [mm] is the
    width of cut that the contours already allow for; 0 where they are nominal.
    """

    file: str
    title: str
    quantity: int
    process: str
    thickness: float
    stock: str
    along: bool = False
    kerf: float = 0.0


@dataclass(frozen=True)
class CutSet:
    """The items of a set, for which head and revision they are, and the layers of its files."""

    head: str
    revision: str
    items: tuple[Item, ...]
    layers: Layers = OWN

    def item(self, file: str) -> Item | None:
        """The item of a file's name, if there is one."""
        return next((item for item in self.items if item.file == file), None)


def as_json(found: CutSet) -> bytes:
    """The list as it is written beside the files; lengths in mm."""
    data = {
        "head": found.head,
        "revision": found.revision,
        "units": {"length": "mm"},
        "layers": {role: asdict(found.layers.of(role)) for role in ROLES},
        "parts": [asdict(item) for item in found.items],
    }
    return (json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode()


def load(path: Path) -> CutSet:
    """Read a list; ``path`` is the file or its folder.

    Raises :class:`BadInputError` with every fault for one that cannot be read or is no such list.
    """
    file = path / NAME if path.is_dir() else path
    try:
        if file.stat().st_size > _LARGEST:
            raise ValueError("it is too large for one")
        data = json.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error).splitlines()[0]
        raise BadInputError(
            [Fault(str(file), reason, "a list of parts as eyewrap template writes it")]
        ) from None
    return _read(data, str(file))


@dataclass(frozen=True)
class Listed:
    """A file to cut, its row of the list beside it, if it has one, and the layers of that list."""

    path: Path
    item: Item | None = None
    layers: Layers = OWN

    def rules(
        self, process: str | None, thickness: float | None, units: str, kerf: float | None = None
    ) -> Rules | None:
        """By the process and thickness [mm] that are told, else by those of the row; ``kerf`` as
        :func:`processes.rules` takes it. None where nothing is told, or it is sawn off a bar.

        Raises :class:`BadInputError` where one is told without the other, or cannot be.
        """
        if process is None and self.item is not None:
            if not self.item.process:
                return None
            process = self.item.process
        if thickness is None and self.item is not None:
            thickness = self.item.thickness
        if process is None and thickness is None:
            return None
        if process is None or thickness is None:
            lacking = "--process" if process is None else "--thickness"
            raise BadInputError(
                [Fault(lacking, "nothing", "both or neither of --process and --thickness, for a "
                       "file that no list has", "say it too")]
            )  # fmt: skip
        try:
            return processes.rules(process, thickness, units, kerf=kerf)
        except BadInputError as error:
            raise BadInputError(
                replace(fault, field=f"{fault.field.removeprefix('--')} of {self.path.name}")
                for fault in error.faults
            ) from None


def files(path: Path) -> tuple[Listed, ...]:
    """The files that a path means: itself; or a set, by its folder or its list.

    A folder without a list means every DXF in it. Raises :class:`BadInputError` for a list that
    cannot be read, and a folder without either.
    """
    try:
        folder = path if path.is_dir() else path.parent if path.name == NAME else None
        if folder is None:
            return (_beside(path),)
        if (folder / NAME).is_file() or folder is not path:
            found = load(folder)
            return tuple(Listed(folder / item.file, item, found.layers) for item in found.items)
        loose = sorted(each for each in folder.iterdir() if each.suffix.lower() == ".dxf")
    except (OSError, ValueError) as error:
        if isinstance(error, BadInputError):
            raise
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInputError([Fault(str(path), reason, "a DXF file, or a folder of them",
                                   "name another")]) from None  # fmt: skip
    if not loose:
        raise BadInputError([Fault(str(path), "a folder without a .dxf file",
                                   "a folder of DXF files", "name another")])  # fmt: skip
    return tuple(Listed(each) for each in loose)


def _beside(path: Path) -> Listed:
    """A file with its row of the list beside it; alone where there is none of it."""
    try:
        found = load(path.parent)
    except BadInputError:
        return Listed(path)
    item = found.item(path.name)
    return Listed(path) if item is None else Listed(path, item, found.layers)


def _is_name(value: Any) -> bool:
    return (
        isinstance(value, str) and value not in ("", ".", "..") and not set(value) & set("/\\:\0")
    )


def _is_number(value: Any, over: float, most: float) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and over < value <= most


_KINDS: Mapping[str, tuple[Callable[[Any], bool], str]] = {
    "file": (_is_name, "a file's name"),
    "title": (lambda value: isinstance(value, str), "words"),
    "quantity": (
        lambda value: isinstance(value, int) and _is_number(value, 0, MOST),
        f"a whole number from 1 to {MOST}",
    ),
    "process": (lambda value: isinstance(value, str), "a process"),
    "thickness": (lambda value: _is_number(value, 0.0, 1000.0), "more than 0 mm, up to 1000"),
    "stock": (lambda value: isinstance(value, str), "words"),
    "along": (lambda value: isinstance(value, bool), "true or false"),
    "kerf": (lambda value: _is_number(value, -1e-9, 100.0), "0 mm or more, up to 100"),
}


def _read(data: Any, where: str) -> CutSet:
    faults: list[Fault] = []
    rows = data.get("parts") if isinstance(data, dict) else None
    if not isinstance(data, dict) or not isinstance(rows, list):
        raise BadInputError([Fault(where, "no parts", "a list of parts")])
    items = []
    for number, row in enumerate(rows, 1):
        found = _item(row, f"{where}, part {number}", faults)
        if found is not None:
            items.append(found)
    layers = _layers(data.get("layers", {}), where, faults)
    if faults:
        raise BadInputError(faults)
    named = str(data.get("head", ""))[:200], str(data.get("revision", ""))[:40]
    return CutSet(*named, tuple(items), layers)


def _layers(data: Any, where: str, faults: list[Fault]) -> Layers:
    found = {}
    for role in ROLES:
        row = data.get(role, asdict(OWN.of(role))) if isinstance(data, dict) else None
        name = row.get("name") if isinstance(row, dict) else None
        colour = row.get("colour") if isinstance(row, dict) else None
        if isinstance(name, str) and is_name(name) and isinstance(colour, int):
            found[role] = Layer(name, min(max(colour, 1), 255))
        else:
            faults.append(Fault(f"{where}, layers, {role}", repr(row)[:60], "a name and a colour"))
    return Layers(**found) if len(found) == len(ROLES) else OWN


def _item(row: Any, where: str, faults: list[Fault]) -> Item | None:
    if not isinstance(row, dict):
        faults.append(Fault(where, repr(row)[:60], "a table of a part"))
        return None
    before = len(faults)
    for key, (fits, allowed) in _KINDS.items():
        if not fits(row.get(key)):
            faults.append(Fault(f"{where}, {key}", repr(row.get(key))[:60], allowed))
    if len(faults) > before:
        return None
    return Item(**{key: row[key] for key in _KINDS})
