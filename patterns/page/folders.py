"""Heads on the shelf and in the smith's own folder: list, open, save.

A head goes by an id: ``shelf/NAME`` for a shipped one, ``own/FILE.toml`` for one that lies in the
folder that was named at the start. No other file can be reached: an id is a plain name, and what
it leads to must be an ordinary file right in the folder, a link's target too.

A head is opened as texts with a stamp of its file's bytes. It is saved only over the very bytes
that were opened: if another window or program has changed them, the save is refused with what
differs, and nothing is lost.
"""

from __future__ import annotations

import hashlib
import heapq
import os
import re
import stat
import threading
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from .. import blank, output, profiles, reading, rewrite, starting, texts
from ..errors import BadInputError, Fault
from ..parameters import Design

MOST_HEADS, MOST_FILES = 300, 3_000
"""So many heads of a folder are listed, and so many files looked at, in the order of their
names."""

LONGEST_NAME = 100
"""Letters of a name that is asked for."""

Texts = Mapping[str, str]


@dataclass(frozen=True)
class Entry:
    """A head that can be opened; ``fault`` says why there is no profile."""

    id: str
    slug: str
    own: bool
    name: str
    note: str
    profile: profiles.Profile | None
    stamp: str
    fault: str = ""


@dataclass(frozen=True)
class Opened:
    """A head as it was opened, with the faults of its file."""

    id: str
    slug: str
    own: bool
    name: str
    texts: dict[str, str]
    stamp: str
    faults: tuple[Fault, ...]


@dataclass(frozen=True)
class Saved:
    """Where a head was saved; ``said`` tells if its name had to be changed."""

    id: str
    slug: str
    stamp: str
    said: str = ""


@dataclass(frozen=True)
class Conflict:
    """A key that differs between what was opened, the file and the window; None: not given."""

    key: str
    label: str
    was: str | None
    theirs: str | None
    yours: str | None


class NotThereError(LookupError):
    """There is no head of such an id, or none that may be reached."""


class TakenError(ValueError):
    """A file of the name is there and is not the one that was opened."""


class ChangedMeanwhileError(ValueError):
    """The file is not as it was opened.

    ``theirs`` are its texts now and ``stamp`` is their stamp: with it, a second save goes over
    them. There is neither if the file is gone; a save without a stamp then makes it anew.
    """

    def __init__(
        self, words: str, changed: tuple[Conflict, ...], theirs: dict[str, str], stamp: str | None
    ) -> None:
        super().__init__(words)
        self.changed, self.theirs, self.stamp = changed, theirs, stamp


class Folders:
    """The shelf and the smith's own folder, if one was named."""

    def __init__(self, own: Path | None = None) -> None:
        self.own = own
        self._lock = threading.Lock()

    def writable(self) -> tuple[bool, str]:
        """Whether heads can be saved, and why not."""
        if self.own is None:
            return False, "no folder was named at the start"
        if not self.own.is_dir():
            return False, "there is no such folder"
        return (True, "") if os.access(self.own, os.W_OK) else (False, "it may only be read")

    # list and open

    def entries(self, units: str = "in") -> list[Entry]:
        """Every head, shipped ones first; a file at fault with why."""
        return [*self._shelf(units), *self._own(units)]

    def _shelf(self, units: str) -> Iterator[Entry]:
        for name, path in profiles.shipped().items():
            entry = _entry(f"shelf/{name}", name, False, path.read_bytes(), units)
            if entry is not None:
                yield entry

    def _own(self, units: str) -> Iterator[Entry]:
        listed = 0
        for file in self._names():
            path = self._inside(file)
            if path is None:
                continue
            slug = profiles.slug(Path(file).stem)
            try:
                content = _content(path)
            except OSError as error:
                yield Entry(f"own/{file}", slug, True, Path(file).stem, "", None, "", _why(error))
                continue
            entry = None
            if content is not None:
                entry = _entry(f"own/{file}", slug, True, content, units)
            if entry is None:
                continue
            listed += 1
            if listed > MOST_HEADS:
                more = f"more than {MOST_HEADS} heads are in the folder: from here on they are not "
                yield replace(entry, profile=None, fault=f"{more}listed; use a folder for each")
                return
            yield entry

    def _names(self) -> list[str]:
        """Names of files of the own folder that may be heads."""
        if self.own is None:
            return []
        try:
            with os.scandir(self.own) as found:
                names = (one.name for one in found if _plain_name(one.name))
                return heapq.nsmallest(MOST_FILES, names)
        except (OSError, ValueError):
            return []

    def _inside(self, file: str) -> Path | None:
        """The file itself behind a name of the own folder; None if it leads anywhere else."""
        if self.own is None or not _plain_name(file):
            return None
        try:
            folder = self.own.resolve(strict=True)
            path = (folder / file).resolve(strict=True)
        except (OSError, ValueError, RuntimeError):  # RuntimeError: links that go round
            return None
        return path if path.parent == folder and path.is_file() else None

    def _found(self, id: str) -> tuple[str, bool, bytes]:
        """Stem, whether it is the smith's own, and content of what an id leads to."""
        place, _, name = id.partition("/")
        path = None
        if place == "shelf":
            path = profiles.shipped().get(name)
        elif place == "own":
            path = self._inside(name)
        try:
            content = None if path is None else _content(path)
        except OSError:
            content = None
        if content is None:
            raise NotThereError("there is no such head")
        return (name if place == "shelf" else Path(name).stem), place == "own", content

    def open(self, id: str, units: str = "in") -> Opened:
        """A head's texts as its author spelt them, with its faults.

        Raises :class:`NotThereError`.
        """
        stem, own, content = self._found(id)
        slug, stamp = profiles.slug(stem), stamp_of(content)
        try:
            raw = _table(content, f"{stem}.toml")
            told = texts.of_table(raw)
        except BadInputError as error:
            return Opened(id, slug, own, stem, {}, stamp, error.faults)
        except RecursionError:
            fault = Fault("profile", "lists nested too deeply", "a profile", "mend the file")
            return Opened(id, slug, own, stem, {}, stamp, (fault,))
        name = raw.get("name")
        try:
            profiles.read(raw, slug, units)
            faults: tuple[Fault, ...] = ()
        except BadInputError as error:
            faults = error.faults
        return Opened(id, slug, own, name if isinstance(name, str) else stem, told, stamp, faults)

    # save

    def save(
        self, told: Texts, name: str, id: str | None = None, stamp: str | None = None,
        base: Texts | None = None, units: str = "in",
    ) -> Saved:  # fmt: skip
        """Save a head in the own folder.

        Parameters
        ----------
        told
            The head's texts.
        name
            What its file is to be called, with or without ``.toml``; made plain.
        id, stamp
            What was opened, and its stamp then; None for a head that was not opened from a file.
        base
            The texts that were opened.

        Raises
        ------
        BadInputError
            With every fault of name and head, or if the folder cannot be written to.
        ChangedMeanwhileError
            If the file was changed or taken away since it was opened.
        TakenError
            If another file of the name is there.
        """
        raw, faults = texts.to_table(Design, told, units)
        design = _planned(raw, faults, units)
        file, said = self._file(name, id, faults)
        if faults:
            raise BadInputError(faults)
        assert self.own is not None
        assert design is not None
        with self._lock:
            try:
                folder = self.own.resolve(strict=True)
                with output.alone(folder):
                    return self._saved(
                        folder, file, said, raw, design, told, id, stamp, base, units
                    )  # fmt: skip
            except OSError as error:
                raise _cannot_write(self.own, error) from None

    def _file(self, name: str, id: str | None, faults: list[Fault]) -> tuple[str, str]:
        """The file's name, and what to say of it; faults of name and folder are added."""
        if self.own is None:
            faults.append(Fault("folder", "none", "a folder of your own", "name one at the start: "
                                "eyewrap page FOLDER"))  # fmt: skip
        stem = re.sub(r"\.toml$", "", name.strip(), flags=re.IGNORECASE)
        opened = id.removeprefix("own/") if id is not None and id.startswith("own/") else ""
        slug = profiles.slug(stem)
        if (
            opened and slug_letters(stem) and profiles.slug(Path(opened).stem) == slug
            and self._may_be_there(opened)
        ):  # fmt: skip
            return opened, ""  # under the name that it has, plain or not
        shown = repr(name[:80])
        if not re.search("[a-z0-9]", slug_letters(stem)):
            faults.append(Fault("name", shown, "a name with at least one plain letter or figure",
                                "give the file a name"))  # fmt: skip
        elif len(name) > LONGEST_NAME:
            faults.append(Fault("name", f"a name of {len(name)} letters",
                                f"up to {LONGEST_NAME} letters", "shorten it"))  # fmt: skip
        elif slug in profiles.shipped() and opened != f"{slug}.toml":
            faults.append(Fault("name", shown, "a name of its own, not a shipped head's",
                                "give another: the two would be drawn into one "
                                "folder"))  # fmt: skip
        said = "" if slug == stem else f"saved as {slug}.toml: plain letters, figures and dashes"
        return f"{slug}.toml", said

    def _may_be_there(self, file: str) -> bool:
        """Whether a name is that of a file, or of none: not of what leads out of the folder."""
        if self.own is None or not _plain_name(file):
            return False
        return self._inside(file) is not None or not os.path.lexists(self.own / file)

    def _saved(
        self, folder: Path, file: str, said: str, raw: dict[str, Any], design: Design, told: Texts,
        id: str | None, stamp: str | None, base: Texts | None, units: str,
    ) -> Saved:  # fmt: skip
        """The work of saving, while no other save of this program goes on in the folder."""
        path, there = self._inside(file), os.path.lexists(folder / file)
        if there and path is None:
            raise BadInputError(
                [Fault("name", repr(file), "the name of a file, or of none",
                       "what has this name leads out of the folder, or is no file: give another")]
            )  # fmt: skip
        same = id == f"own/{file}"
        now = None if path is None else _content(path)
        if path is not None and now is None:
            raise TakenError(f"{file} is no profile: give another name")
        if path is not None and not same:
            raise TakenError(f"a file named {file} is there already: give another name")
        if same and stamp != (None if now is None else stamp_of(now)):
            raise _changed(file, now, base or {}, told)
        content = self._text(id, now, raw, units).encode()
        _checked(content, file, design, units)
        last = None if path is None else _content(path)
        if last != now:  # an editor takes no lock
            raise _changed(file, last, base or {}, told)
        try:
            output.replace(path or folder / file, content, new=path is None)
        except FileExistsError:
            raise TakenError(f"a file named {file} was made meanwhile: give another name") from None
        return Saved(f"own/{file}", profiles.slug(Path(file).stem), stamp_of(content), said)

    def _text(self, id: str | None, now: bytes | None, raw: dict[str, Any], units: str) -> str:
        """The head's text: what was opened from the own folder with its comments, or a new one."""
        if now is None and id is not None and id.startswith("own/"):
            try:  # saved under another name
                _, _, now = self._found(id)
            except NotThereError:
                now = None
        if now is None:
            return starting.text(raw, units)
        try:
            was = _table(now, "the file")
            return rewrite.rewritten(now.decode(), was, rewrite.with_groups(was, raw))
        except rewrite.NotRewrittenError as error:
            raise BadInputError(
                [Fault("file", "a file that cannot be changed with its comments kept",
                       f"TOML as a profile has it ({error})", "save under another name, as a new "
                       "head")]
            ) from None  # fmt: skip


def slug_letters(name: str) -> str:
    """What a name has to make a file's name of; nothing where :func:`profiles.slug` made one up.

    >>> slug_letters("Axe 2"), slug_letters("..")
    ('axe-2', '')
    """
    made = profiles.slug(name)
    return "" if made == "head" and "head" not in name.lower() else made


def stamp_of(content: bytes) -> str:
    """What tells one content of a file from another."""
    return hashlib.sha256(content).hexdigest()


# Files ------------------------------------------------------------------------------------------


def _plain_name(file: str) -> bool:
    """Whether a name is that of a file right in a folder, which a head may have."""
    if not file.lower().endswith(".toml") or file.startswith(".") or len(file) > 255:
        return False
    return file.isprintable() and not re.search(r"[/\\:\0]", file)


def _content(path: Path) -> bytes | None:
    """What an ordinary file holds; None if it is none, or holds more than a profile does.

    Nothing but an ordinary file is read: a pipe would keep the reader waiting. Raises
    :class:`OSError`.
    """
    flags = os.O_RDONLY
    for name in ("O_NONBLOCK", "O_NOFOLLOW", "O_BINARY", "O_CLOEXEC"):
        flags |= getattr(os, name, 0)
    with open(os.open(path, flags), "rb") as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            return None
        content = file.read(reading.LARGEST_FILE + 1)
    return content if len(content) <= reading.LARGEST_FILE else None


def _table(content: bytes, file: str) -> dict[str, Any]:
    """The table of a file's content; raises :class:`BadInputError`."""
    try:
        return reading.toml(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        given, change = f"{file!r}, which is not text in UTF-8", "save it as UTF-8"
    except ValueError as error:
        given, change = f"{file!r}, which is not TOML", f"mend this: {error}"
    raise BadInputError([Fault("profile", given, "TOML: see a shipped profile", change)])


_GROUPS = [re.compile(rf'(?m)^\s*\[?\s*"?{name}"?\s*[\].=]') for name in ("eye", "blade")]


def _entry(id: str, slug: str, own: bool, content: bytes, units: str) -> Entry | None:
    """A head in a list; None if the file is not like one."""
    stem, stamp = Path(id.partition("/")[2]).stem if own else slug, stamp_of(content)
    try:
        raw = _table(content, f"{stem}.toml")
    except BadInputError as error:
        text = content.decode("utf-8", "replace")
        if not all(group.search(text) for group in _GROUPS):
            return None
        return Entry(id, slug, own, stem, "", None, stamp, str(error))
    if not all(isinstance(raw.get(name), Mapping) for name in ("eye", "blade")):
        return None
    name, note = (raw.get(key, "") for key in ("name", "note"))
    name = name[:60] if isinstance(name, str) and name.strip() else stem
    note = note[:400] if isinstance(note, str) else ""
    try:
        profile = profiles.read(raw, slug, units)
    except BadInputError as error:
        return Entry(id, slug, own, name, note, None, stamp, str(error))
    return Entry(id, slug, own, name, note, profile, stamp)


def _why(error: OSError) -> str:
    return f"it cannot be read: the system says: {error.strerror or error}"


def _cannot_write(folder: Path, error: OSError) -> BadInputError:
    return BadInputError(
        [Fault("folder", repr(folder.name or str(folder)), "a folder that can be written to",
               f"the system says: {error.strerror or error}")]
    )  # fmt: skip


# Saving -----------------------------------------------------------------------------------------


def _planned(raw: dict[str, Any], faults: list[Fault], units: str) -> Design | None:
    """The design of a table; its faults are added, in place of those of the texts alone."""
    try:
        profile = profiles.read(raw, "head", units, faults)
        blank.plan(profile.design, units)
    except BadInputError as error:
        faults[:] = error.faults
        return None
    return profile.design


def _checked(content: bytes, file: str, design: Design, units: str) -> None:
    """Raise :class:`BadInputError` unless a file's content will be read as the design."""
    if len(content) > reading.LARGEST_FILE:
        raise BadInputError(
            [Fault("file", f"a text of {len(content):,} bytes",
                   f"up to {reading.LARGEST_FILE:,} bytes", "shorten its comments")]
        )  # fmt: skip
    if profiles.read(_table(content, file), "head", units).design != design:
        raise BadInputError(
            [Fault("file", "a text that would be read as another head", "the head as it is shown",
                   "save under another name, as a new head")]
        )  # fmt: skip


def _changed(
    file: str, now: bytes | None, base: Texts, yours: Texts
) -> ChangedMeanwhileError:  # fmt: skip
    """What another window or program has made of a file since it was opened."""
    if now is None:
        words = f"{file} was taken away meanwhile: save again to make it anew"
        return ChangedMeanwhileError(words, (), {}, None)
    try:
        theirs = texts.of_table(_table(now, file))
    except (BadInputError, RecursionError):
        words = f"{file} was changed meanwhile, and is no profile now: save under another name"
        return ChangedMeanwhileError(words, (), {}, stamp_of(now))
    keys = rewrite.in_order({**base, **theirs, **yours})
    given = [(key, base.get(key), theirs.get(key), yours.get(key) or None) for key in keys]
    changed = tuple(
        Conflict(key, rewrite.label(key), *three) for key, *three in given if len(set(three)) > 1
    )
    words = f"{file} was changed meanwhile by another window or program"
    return ChangedMeanwhileError(words, changed, theirs, stamp_of(now))
