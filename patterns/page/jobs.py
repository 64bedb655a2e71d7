"""Long work begun, watched and stopped: each in a process of its own, its files kept for a while.

A job is ``waiting``, then ``working``, then ``done``, ``stopped`` or ``failed``. Its process is the
first of a group, so that with it all ends that it began. It lives no longer than this process: see
:func:`patterns.page.work.serve`.
"""

from __future__ import annotations

import atexit
import contextlib
import json
import os
import secrets
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
import zipfile
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from typing import Any

from . import work

TYPES = {
    ".pdf": "application/pdf",
    ".svg": "image/svg+xml",
    ".dxf": "image/vnd.dxf",
    ".json": "application/json",
    ".txt": "text/plain; charset=utf-8",
    ".md": "text/markdown; charset=utf-8",
}
ZIP = "all.zip"

_START = "import sys; sys.path[:] = {path!r}; from patterns.page.work import serve; serve()"
_DAY_OF_ZIP = (1980, 1, 1, 0, 0, 0)
"""The first that the format knows: one date for all, so that the same files make the same bytes."""


class BusyError(RuntimeError):
    """As much is under way, and waiting, as may be."""


class NotThereError(KeyError):
    """No such job, or no such file of it."""

    def __str__(self) -> str:
        return str(self.args[0])


@dataclass(eq=False)
class _Job:
    """One piece of work; all but the first four change as it goes."""

    id: str
    kind: str
    asked: bytes
    folder: Path
    state: str = "waiting"
    told: dict[str, Any] = field(default_factory=lambda: {"doing": "", "done": 0, "of": None})
    files: dict[str, int] = field(default_factory=dict)
    missing: list[list[str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    faults: list[dict[str, str]] = field(default_factory=list)
    error: str = ""
    began: float = 0.0
    ended: float = 0.0
    process: subprocess.Popen[bytes] | None = None
    thread: threading.Thread | None = None

    def end(self, state: str, error: str = "") -> None:
        self.state, self.error, self.ended = state, error, time.monotonic()
        if self.process is not None:
            _kill(self.process)


class Jobs:
    """The jobs of one server; safe to use from any thread.

    Parameters
    ----------
    folder : where a folder of its own is made for the files; that of the system, if none is named
    most : how many work at once
    waiting : how many may wait for their turn
    kept : of how many that have ended the outcome is kept; the oldest is forgotten, with its files
    seconds : how long one may work
    """

    def __init__(
        self, folder: Path | None = None, *, most: int = 2, waiting: int = 4, kept: int = 6,
        seconds: float = 300.0,
    ) -> None:  # fmt: skip
        _sweep(Path(tempfile.gettempdir()) if folder is None else folder)
        self._folder = Path(tempfile.mkdtemp(prefix=f"eyewrap-{os.getpid()}-", dir=folder))
        self._most, self._may_wait, self._kept, self._seconds = most, waiting, kept, seconds
        self._lock = threading.Lock()
        self._jobs: dict[str, _Job] = {}
        self._waiting: deque[_Job] = deque()
        self._working: set[_Job] = set()
        self._ended: deque[_Job] = deque()
        self._spare: subprocess.Popen[bytes] | None = None
        self._closed = False
        atexit.register(self.close)

    def __enter__(self) -> Jobs:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        self.close()

    # What is asked ---------------------------------------------------------------------------

    def begin(self, kind: str, request: Mapping[str, Any]) -> str:
        """Begin a job, or let it wait for its turn; returns its id, which nobody can guess.

        ``kind`` and ``request`` are those of :func:`patterns.page.work.read`. Raises
        :class:`BadInputError` with every fault of the request, :class:`BusyError` if too many wait.
        """
        with self._lock:
            self._may_begin()
        work.read(kind, request)
        name = secrets.token_urlsafe(16)
        folder = self._folder / name
        asked = {"kind": kind, "request": dict(request), "folder": str(folder)}
        job = _Job(name, kind, json.dumps(asked, default=str).encode("ascii") + b"\n", folder)
        with self._lock:
            self._may_begin()
            self._jobs[name] = job
            self._waiting.append(job)
            self._next()
        return name

    def prepare(self) -> None:
        """Start a process that waits for the next job, if none does: it begins the sooner."""
        with self._lock:
            if not self._closed and (self._spare is None or self._spare.poll() is not None):
                self._spare = _start(self._folder, "ready")

    def state(self, name: str) -> dict[str, Any]:
        """How a job stands, as the browser is told; raises :class:`NotThereError`."""
        with self._lock:
            job = self._job(name)
            until = job.ended or time.monotonic()
            return {
                "id": job.id,
                "kind": job.kind,
                "state": job.state,
                **job.told,
                "seconds": round(until - job.began, 3) if job.began else 0.0,
                "files": [
                    {"name": file, "size": size, "type": _type(file)}
                    for file, size in job.files.items()
                ],
                "missing": list(job.missing),
                "notes": list(job.notes),
                "faults": list(job.faults),
                "error": job.error,
            }

    def stop(self, name: str) -> None:
        """End a job at once; one that has ended stays as it is. Raises :class:`NotThereError`."""
        with self._lock:
            job = self._job(name)
            if job.state == "waiting":
                self._waiting.remove(job)
                job.end("stopped")
                forgotten = self._forget(job)
            elif job.state == "working":
                job.end("stopped")
                forgotten = []
            else:
                return
        _remove(forgotten)

    def file(self, name: str, file: str) -> Path:
        """A file of a job that is done; raises :class:`NotThereError`.

        Only a name of the job's own list is taken, so no other path can be made of it.
        """
        with self._lock:
            job = self._job(name)
            if job.state != "done" or file not in job.files:
                raise NotThereError("there is no such file of this job")
            return job.folder / work.FILES / file

    def zip(self, name: str) -> Path:
        """All files of a job that is done in one; raises :class:`NotThereError`.

        The same files give the same bytes.
        """
        with self._lock:
            job = self._job(name)
            if job.state != "done":
                raise NotThereError("this job has no files")
            folder, names = job.folder, list(job.files)
        path = folder / ZIP
        try:
            if not path.exists():
                # another thread may be at it too, and ends with the same bytes
                made = folder / f"{secrets.token_hex(8)}.part"
                _zip(made, folder / work.FILES, names)
                os.replace(made, path)
        except FileNotFoundError:
            raise NotThereError("this job was forgotten") from None
        return path

    def close(self) -> None:
        """End every job, and remove all files."""
        with self._lock:
            self._closed = True
            for job in self._waiting:
                job.end("stopped")
            self._waiting.clear()
            for job in self._working:
                if job.state == "working":
                    job.end("stopped")
            threads = [job.thread for job in self._working]
            spare, self._spare = self._spare, None
        for thread in threads:
            if thread is not None:
                thread.join()
        if spare is not None:
            _let_go(spare)
        shutil.rmtree(self._folder, ignore_errors=True)
        atexit.unregister(self.close)

    # How it is done; where the lock is held, it says so ---------------------------------------

    def _job(self, name: str) -> _Job:
        """With the lock held."""
        if name not in self._jobs:
            raise NotThereError("there is no such job; it may have been forgotten")
        return self._jobs[name]

    def _may_begin(self) -> None:
        """With the lock held."""
        if self._closed:
            raise BusyError("the page is being closed")
        if len(self._working) >= self._most and len(self._waiting) >= self._may_wait:
            raise BusyError(
                f"{len(self._working)} jobs are under way and {len(self._waiting)} wait: stop one, "
                "or wait until one is done"
            )

    def _next(self) -> None:
        """Let those begin whose turn it is; with the lock held."""
        while self._waiting and len(self._working) < self._most and not self._closed:
            job = self._waiting.popleft()
            job.state, job.began = "working", time.monotonic()
            self._working.add(job)
            job.thread = threading.Thread(target=self._work, args=(job,), daemon=True)
            job.thread.start()

    def _work(self, job: _Job) -> None:
        """From a job's begin to its end, in a thread of its own."""
        clock = threading.Timer(self._seconds, self._too_long, (job,))
        clock.daemon = True
        clock.start()
        process = None
        try:
            job.folder.mkdir()
            process = self._process(job)
            if process is not None:
                self._listen(job, process)
        except OSError as error:
            with self._lock:
                if job.state == "working":
                    job.end("failed", f"it could not be begun: {error.strerror}")
        finally:
            clock.cancel()
            clock.join()
            with self._lock:
                job.process = None
            code = None if process is None else _let_go(process)
            with self._lock:
                if job.state == "working":
                    job.end("failed", _broken(code))
            if job.state != "done":
                shutil.rmtree(job.folder, ignore_errors=True)
            with self._lock:
                self._working.discard(job)
                forgotten = self._forget(job)
                self._next()
            _remove(forgotten)

    def _process(self, job: _Job) -> subprocess.Popen[bytes] | None:
        """The process of a job: the one that waits, or a new one; None if it was stopped since."""
        with self._lock:
            process, self._spare = self._spare, None
        if process is not None and process.poll() is not None:
            _let_go(process)
            process = None
        process = process or _start(self._folder)
        with self._lock:
            job.process = process
            if job.state != "working":
                _kill(process)
        return process

    def _listen(self, job: _Job, process: subprocess.Popen[bytes]) -> None:
        assert process.stdin is not None
        assert process.stdout is not None
        with contextlib.suppress(BrokenPipeError):  # it ended; what it last said tells more
            process.stdin.write(job.asked)
            process.stdin.flush()
        for line in process.stdout:
            try:
                told = json.loads(line)
            except ValueError:  # cut off
                continue
            with self._lock:
                if job.state == "working":
                    _take(job, told)
                if job.state != "working":  # it has said its last
                    return

    def _too_long(self, job: _Job) -> None:
        with self._lock:
            if job.state == "working":
                job.end("failed", f"it was ended after {self._seconds:g} s, which is as long as "
                        "any work may take; ask for less at once")  # fmt: skip

    def _forget(self, job: _Job) -> list[_Job]:
        """Count a job as ended; returns those that are forgotten for it. With the lock held."""
        self._ended.append(job)
        forgotten = []
        while len(self._ended) > self._kept:
            old = self._ended.popleft()
            del self._jobs[old.id]
            forgotten.append(old)
        return forgotten


def _sweep(folder: Path) -> None:
    """Remove what a server left behind that was killed: folders named by a process that is gone."""
    for path in folder.glob("eyewrap-*-*"):
        number = path.name.split("-")[1]
        plain = number.isdecimal() and path.is_dir() and not path.is_symlink()
        if plain and _ours(path) and _gone(int(number)):
            shutil.rmtree(path, ignore_errors=True)


def _ours(path: Path) -> bool:
    with contextlib.suppress(OSError):
        return not hasattr(os, "getuid") or path.stat().st_uid == os.getuid()
    return False


def _gone(number: int) -> bool:
    """Whether there is no such process; never, where that cannot be told without doing harm."""
    if os.name != "posix":
        return False
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return False


def _take(job: _Job, told: Mapping[str, Any]) -> None:
    """Take in what a job's process said of itself."""
    if "doing" in told:
        job.told = {key: told[key] for key in ("doing", "done", "of")}
    elif "files" in told:
        job.files = dict(told["files"])
        job.missing, job.notes = told["missing"], told["notes"]
        steps = job.told["of"] or job.told["done"]
        job.told = {"doing": "", "done": steps, "of": job.told["of"]}
        job.state, job.ended = "done", time.monotonic()
    elif "faults" in told:
        job.faults = told["faults"]
        job.end("failed", "nothing was made: it cannot be done as it was asked for")
    else:
        job.end("failed", str(told.get("error")))


def _start(root: Path, *words: str) -> subprocess.Popen[bytes]:
    """A process that waits for a job on its standard input; the first of a group of its own."""
    return subprocess.Popen(
        [sys.executable, "-P", "-c", _START.format(path=sys.path), str(root), *words],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        start_new_session=True,
    )  # fmt: skip


def _kill(process: subprocess.Popen[bytes]) -> None:
    """End a process and its group; only while nobody has waited for it, since then its number may
    be another's."""
    if process.returncode is not None:
        return
    if hasattr(os, "killpg"):
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    else:
        process.kill()


def _let_go(process: subprocess.Popen[bytes]) -> int:
    """End a process for good; returns how it ended."""
    _kill(process)
    code = process.wait()
    for stream in (process.stdin, process.stdout):
        if stream is not None:
            with contextlib.suppress(OSError):
                stream.close()
    return code


def _broken(code: int | None) -> str:
    """Why a process said nothing at its end, in words."""
    how = f"signal {-code}" if code is not None and code < 0 else f"code {code}"
    return (
        f"the work was broken off from outside ({how}); the machine may have run out of memory: "
        "try again, and ask for less at once"
    )


def _type(file: str) -> str:
    return TYPES.get(Path(file).suffix, "application/octet-stream")


def _zip(path: Path, folder: Path, names: list[str]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name in names:
            entry = zipfile.ZipInfo(name, _DAY_OF_ZIP)
            entry.compress_type, entry.create_system = zipfile.ZIP_DEFLATED, 3
            entry.external_attr = 0o100644 << 16
            made.writestr(entry, (folder / name).read_bytes())


def _remove(jobs: list[_Job]) -> None:
    for job in jobs:
        shutil.rmtree(job.folder, ignore_errors=True)
