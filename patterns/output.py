"""Write a set of files so that a run that fails leaves what was there before.

Every file is written in full under a temporary name in the same folder. Only when all are there are
they moved into place; if a move fails, those already made are taken back. A single file goes the
same way, so that under its name there is ever the old one or the new one whole.
"""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import shutil
import stat
import tempfile
from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path

from .errors import BadInputError, Fault


class _NotRestoredError(OSError):
    """A move failed, and so did putting the earlier files back."""


def write(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Put the files into the folder, which is made if need be; returns their paths.

    Raises
    ------
    BadInputError
        If the folder cannot be written to; it is then as it was.
    """
    made: list[Path] = []
    try:
        _make(folder, made)
        staging = Path(tempfile.mkdtemp(prefix=".eyewrap-", dir=folder))
    except (OSError, ValueError) as error:  # ValueError: a name that no file system takes
        _unmake(made)
        raise _fault(folder, error) from None
    except BaseException:  # broken off by hand, say
        _unmake(made)
        raise
    try:
        for name, content in files.items():
            (staging / name).write_bytes(content)
        _swap(staging, folder, list(files))
    except _NotRestoredError as error:
        raise _fault(folder, error, f"the files of the earlier run are in {staging}") from None
    except OSError as error:
        _clear(staging, made)
        raise _fault(folder, error) from None
    except BaseException:
        _clear(staging, made)
        raise
    shutil.rmtree(staging, ignore_errors=True)
    return [folder / name for name in files]


def replace(path: Path, content: bytes, new: bool = False) -> None:
    """Put one file into its place, in a folder that is there; it keeps the mode of the one before.

    ``new`` is for a file that must not be there yet. Whenever the program may be killed, there is
    the old file or the new one under the name, or none if there was none; what it was writing may
    be left beside it, under a name that begins with a dot.

    Raises
    ------
    FileExistsError
        If a ``new`` file is there already.
    OSError
        If the file cannot be written; what was there is there still.
    """
    mode = None
    if not new:
        with contextlib.suppress(FileNotFoundError):
            mode = stat.S_IMODE(path.stat().st_mode)
            if not os.access(path, os.W_OK):  # the move would not ask
                raise PermissionError(13, "the file may only be read", str(path))
    staging = path.with_name(f".eyewrap-{secrets.token_hex(8)}.part")
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    try:
        with open(os.open(staging, flags, 0o666), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if mode is not None:
            staging.chmod(mode)
        if new:
            _into_free_place(staging, path)
        else:
            os.replace(staging, path)
        _settled(path.parent)
    finally:
        staging.unlink(missing_ok=True)


@contextlib.contextmanager
def alone(folder: Path) -> Iterator[None]:
    """While this lasts no other process of this program is alone in the folder; others wait.

    Where the system has no such locks, nothing is locked. Raises :class:`OSError` if the folder
    cannot be opened.
    """
    try:
        import fcntl
    except ImportError:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        with contextlib.suppress(OSError):  # some network's folders know no locks
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _into_free_place(staging: Path, path: Path) -> None:
    try:
        os.link(staging, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links: the name is taken first, then filled
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
        try:
            os.replace(staging, path)
        except BaseException:
            path.unlink(missing_ok=True)
            raise


def _settled(folder: Path) -> None:
    """Ask that the names in a folder reach the disk too, where the system can be asked."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def revision_there(folder: Path) -> str | None:
    """The revision of the set in a folder, by its ``plan.json``; None if none can be told."""
    try:
        found = json.loads((folder / "plan.json").read_bytes())["revision"]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None
    return found if isinstance(found, str) else None


def left_over(
    folder: Path, names: Collection[str], belongs: Callable[[str], bool]
) -> list[Path]:  # fmt: skip
    """Rename what an earlier set left in a folder and this one, with files of ``names``, has not.

    ``belongs`` tells a set's files by name from what else lies there. Returns the new paths. Raises
    :class:`OSError` if a file cannot be renamed.
    """
    old = sorted(path.name for path in folder.iterdir() if belongs(path.name))
    aside = [set_aside(folder, name) for name in old if name not in names]
    return [path for path in aside if path is not None]


def set_aside(folder: Path, name: str) -> Path | None:
    """Rename a file of an earlier run that this run could not renew, so that it misleads nobody.

    Returns its new path, or None if there was no such file. Raises :class:`OSError` if it cannot be
    renamed.
    """
    old = folder / name
    if not old.is_file():
        return None
    aside = old.with_name(f"{old.stem}-earlier{old.suffix}")
    os.replace(old, aside)
    return aside


def _make(folder: Path, made: list[Path]) -> None:
    """Make the folder and those above it; those that were not there go into ``made``."""
    lacking = [path for path in (folder, *folder.parents) if not path.exists()]
    for path in reversed(lacking):
        path.mkdir(exist_ok=True)
        made.insert(0, path)
    if not folder.is_dir():
        raise NotADirectoryError(20, "a file of that name is there already", str(folder))


def _unmake(folders: list[Path]) -> None:
    for path in folders:
        with contextlib.suppress(OSError):
            path.rmdir()


def _clear(staging: Path, made: list[Path]) -> None:
    shutil.rmtree(staging, ignore_errors=True)
    _unmake(made)


def _swap(staging: Path, folder: Path, names: list[str]) -> None:
    """Move every file into place, keeping the old ones until all are there."""
    kept = staging / "kept"
    kept.mkdir()
    begun: list[str] = []
    try:
        for name in names:
            target = folder / name
            if target.is_dir():
                raise IsADirectoryError(21, "a folder stands where a file is to go", str(target))
            begun.append(name)
            if os.path.lexists(target):
                os.replace(target, kept / name)
            os.replace(staging / name, target)
    except BaseException:
        _restore(kept, staging, folder, begun)
        raise


def _restore(kept: Path, staging: Path, folder: Path, begun: list[str]) -> None:
    """Take back the files already moved and put the old ones where they were."""
    failed: OSError | None = None
    for name in begun:
        target = folder / name
        try:
            if os.path.lexists(kept / name):
                os.replace(kept / name, target)
            elif not os.path.lexists(staging / name):  # moved into place, where there was none
                target.unlink(missing_ok=True)
        except OSError as error:
            failed = error
    if failed is not None:
        raise _NotRestoredError(failed.errno, failed.strerror) from None


def _fault(folder: Path, error: Exception, more: str = "") -> BadInputError:
    reason = getattr(error, "strerror", None) or str(error)
    change = f"the system says: {reason}"
    return BadInputError(
        [
            Fault(
                "--to", repr(str(folder)), "a folder that can be written to",
                f"{change}; {more}" if more else change,
            )
        ]
    )  # fmt: skip
