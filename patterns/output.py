"""Write a set of files so that a run that fails leaves what was there before.

Every file is written in full under a temporary name in the same folder. Only when all are there are
they moved into place; if a move fails, those already made are taken back.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from .errors import BadInputError, Fault


def write(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Put the files into the folder, which is made if need be; returns their paths.

    Raises
    ------
    BadInputError
        If the folder cannot be written to; it is then as it was.
    """
    made: list[Path] = []
    try:
        made = _make(folder)
        staging = Path(tempfile.mkdtemp(prefix=".eyewrap-", dir=folder))
    except OSError as error:
        _unmake(made)
        raise _fault(folder, error) from None
    try:
        for name, content in files.items():
            (staging / name).write_bytes(content)
        _swap(staging, folder, list(files))
    except OSError as error:
        shutil.rmtree(staging, ignore_errors=True)
        _unmake(made)
        raise _fault(folder, error) from None
    shutil.rmtree(staging, ignore_errors=True)
    return [folder / name for name in files]


def set_aside(folder: Path, name: str) -> Path | None:
    """Rename a file of an earlier run that this run could not renew, so that it misleads nobody."""
    old = folder / name
    if not old.is_file():
        return None
    aside = old.with_name(f"{old.stem}-earlier{old.suffix}")
    with contextlib.suppress(OSError):
        os.replace(old, aside)
        return aside
    return None


def _make(folder: Path) -> list[Path]:
    """Make the folder and those above it; returns those that were not there."""
    lacking = [path for path in (folder, *folder.parents) if not path.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    return lacking


def _unmake(folders: list[Path]) -> None:
    for path in folders:
        with contextlib.suppress(OSError):
            path.rmdir()


def _swap(staging: Path, folder: Path, names: list[str]) -> None:
    """Move every file into place, keeping the old ones until all are there."""
    kept = staging / "kept"
    kept.mkdir()
    moved: list[str] = []
    try:
        for name in names:
            target = folder / name
            if target.is_dir():
                raise IsADirectoryError(21, "a folder stands where a file is to go", str(target))
            if target.exists():
                os.replace(target, kept / name)
            moved.append(name)
            os.replace(staging / name, target)
    except OSError:
        for name in moved:
            with contextlib.suppress(OSError):
                (folder / name).unlink(missing_ok=True)
            if (kept / name).exists():
                os.replace(kept / name, folder / name)
        raise


def _fault(folder: Path, error: OSError) -> BadInputError:
    reason = error.strerror or str(error)
    return BadInputError(
        [
            Fault(
                "--to", str(folder), "a folder that can be written to", f"the system says: {reason}"
            )
        ]
    )
