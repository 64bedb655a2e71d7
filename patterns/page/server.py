"""The server: requests to the modules beside it, and their answers back as JSON.

Every answer to ``/api`` is made in a few worker threads, so that no more than that many heads are
worked out at once; what takes longer than a moment is a job, in a process of its own.
"""

from __future__ import annotations

import contextlib
import json
import logging
from collections.abc import AsyncIterator, Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import anyio
from anyio.to_thread import run_sync
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from .. import __version__, printer, processes, smith
from .. import texts as flat
from ..errors import BadInputError, Fault
from ..logbook import Entry
from ..piece import Piece
from ..printer import Printer
from . import answers, form, paper, trials
from .asked import Asked
from .folders import ChangedMeanwhileError, Folders, TakenError
from .guard import Door, Guard
from .jobs import ZIP, BusyError, Jobs

AT_ONCE = 2
"""Heads that are worked out at the same time."""

WAITING = 32
"""Requests that may wait for that; more are asked to come again."""

SLOWEST = 20.0
"""Seconds that an answer may take."""

OUR_FAULT = "The program is at fault here; nothing was changed."

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".webmanifest": "application/manifest+json",
    ".pdf": "application/pdf",
    ".dxf": "image/vnd.dxf",
    ".json": "application/json",
    ".txt": "text/plain; charset=utf-8",
    ".md": "text/markdown; charset=utf-8",
    ".zip": "application/zip",
}


@dataclass(frozen=True)
class Bench:
    """What was named at the start; the browser can name nothing else."""

    folders: Folders
    jobs: Jobs
    units: str = "in"
    rack: Path | None = None
    log: Path | None = None
    smith: Path | None = None
    printer: Path | None = None

    def measured(self, units: str) -> Printer | None:
        """The printer that was measured, if one was named."""
        return None if self.printer is None else printer.load(self.printer, units)

    def factors(self, units: str) -> dict[str, str]:
        """The texts of the smith's own factors; none where no file was named."""
        if self.smith is None:
            return {}
        return flat.of_table(smith.overlay({}, smith.load(self.smith, units)))


SCALE = "allowances.scale_per_heat"

Answer = Callable[[Bench, Asked], Any]


def _folder(bench: Bench) -> dict[str, Any] | None:
    """The smith's own folder by its name alone: where it lies is none of the browser's business."""
    if bench.folders.own is None:
        return None
    writable, why = bench.folders.writable()
    return {"name": bench.folders.own.name, "writable": writable, "why": why}


# What can be asked -------------------------------------------------------------------------------


def _start(bench: Bench, asked: Asked) -> Any:
    units = asked.units()
    asked.done()
    measured = bench.measured(units)
    return {
        "version": __version__,
        "units": units,
        "groups": form.head(units),
        "piece": form.groups(Piece, trials.PIECE_GROUPS, units),
        "entry": form.groups(Entry, trials.ENTRY_GROUPS, units),
        "papers": paper.papers(units),
        "sheets": paper.sheets(),
        "processes": list(processes.names()),
        "folder": _folder(bench),
        "rack": bench.rack is not None,
        "log": bench.log is not None,
        "printer": None if measured is None else measured.name,
        "smith": bench.factors(units) or None,
    }


def _shelf(bench: Bench, asked: Asked) -> Any:
    units = asked.units()
    asked.done()
    return {"heads": answers.shelf(bench.folders.entries(units), units)}


def _open(bench: Bench, asked: Asked) -> Any:
    name, units = asked.text("id"), asked.units()
    asked.done()
    found = bench.folders.open(name, units)
    return asdict(found) | {"faults": answers.in_words(found.faults)}


def _view(bench: Bench, asked: Asked) -> Any:
    texts, units, grip = asked.texts(), asked.units(), asked.grip()
    asked.done()
    return answers.view(texts, units, grip)


def _further(bench: Bench, asked: Asked) -> Any:
    texts, units = asked.texts(), asked.units()
    asked.done()
    return answers.further(texts, units)


def _swap(bench: Bench, asked: Asked) -> Any:
    texts, units = asked.texts(), asked.units()
    way, to = asked.text("way"), asked.text("to")
    asked.done()
    return {"texts": answers.swap(texts, units, way, to)}


def _sheet(bench: Bench, asked: Asked) -> Any:
    texts, units, slug = asked.texts(), asked.units(), asked.text("slug", "head")
    name, on = asked.text("sheet"), asked.text("paper", "letter")
    asked.done()
    bench.jobs.prepare()  # who looks at sheets will soon ask for all of them
    return paper.sheet(answers.profile_of(texts, slug, units), units, name, on)


def _save(bench: Bench, asked: Asked) -> Any:
    texts, base, units = asked.texts(), asked.texts("base"), asked.units()
    name, opened, stamp = asked.text("name"), asked.maybe("id"), asked.maybe("stamp")
    asked.done()
    return asdict(bench.folders.save(texts, name, opened, stamp, base, units))


def _choose(bench: Bench, asked: Asked) -> Any:
    texts, units, written = asked.texts(), asked.units(), asked.maybe("rack", trials.LARGEST)
    asked.done()
    design = answers.profile_of(texts, "head", units).design
    return trials.choose(design, units, path=bench.rack, written=written)


def _predict(bench: Bench, asked: Asked) -> Any:
    piece, units, want = asked.texts("piece"), asked.units(), asked.text("want", "")
    asked.done()
    mine = bench.factors(units).get(SCALE)
    return trials.predict(piece, units, want, learnt=mine is not None and piece.get(SCALE) == mine)


def _learn(bench: Bench, asked: Asked) -> Any:
    pieces, units, texts = asked.tables("pieces", trials.MOST_PIECES), asked.units(), asked.texts()
    asked.done()
    return trials.learn(pieces, units, texts)


def _log(bench: Bench, asked: Asked) -> Any:
    piece, units, left = asked.texts("piece"), asked.units(), asked.flag("leave_out")
    asked.done()
    if bench.log is None:
        raise BadInputError([Fault("log", "nothing", "a log named at the start",
                                   "begin the page with --log FILE")])  # fmt: skip
    return trials.append(bench.log, piece, units, leave_out=left)


def _pieces(bench: Bench, asked: Asked) -> Any:
    """What the present head's bar is as a piece and as a row of the log; the log's own rows."""
    texts, units = asked.texts(), asked.units()
    asked.done()
    forge = answers.planned(texts, units)
    return {
        "piece": trials.piece_of(forge, units),
        "entry": trials.entry_of(forge, units),
        "log": [] if bench.log is None else trials.read_log(bench.log, units),
    }


def _begin(bench: Bench, asked: Asked) -> Any:
    kind, options = asked.text("kind"), asked.table("options")
    request = {
        "texts": asked.texts(), "slug": asked.text("slug", "head"), "units": asked.units(),
        "options": options, "printer": None if bench.printer is None else str(bench.printer),
    }  # fmt: skip
    asked.done()
    return {"id": bench.jobs.begin(kind, request)}


ANSWERS: dict[str, Answer] = {
    "start": _start,
    "shelf": _shelf,
    "open": _open,
    "view": _view,
    "further": _further,
    "swap": _swap,
    "sheet": _sheet,
    "save": _save,
    "choose": _choose,
    "predict": _predict,
    "pieces": _pieces,
    "learn": _learn,
    "log": _log,
    "jobs": _begin,
}
"""By the last part of the address."""

ASKED_FOR = ("start", "shelf")
"""Those that are got, with their units in the address; the others are posted."""


# How it is answered ------------------------------------------------------------------------------


def app(bench: Bench, door: Door) -> Starlette:
    """The application, its guard before it; ending it ends every job."""
    limiter = anyio.CapacityLimiter(AT_ONCE)

    @contextlib.asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        try:
            yield
        finally:
            await run_sync(bench.jobs.close)

    async def api(request: Request) -> Response:
        name = request.path_params["name"]
        method = "GET" if name in ASKED_FOR else "POST"
        if name not in ANSWERS or request.method != method:
            raise HTTPException(404 if name not in ANSWERS else 405)
        if limiter.statistics().tasks_waiting >= WAITING:
            return _answer({"error": "Too much at once; try again."}, 503)
        body = await request.body()
        query = dict(request.query_params)

        def work() -> Response:
            said = Asked(query) if method == "GET" else Asked.of(body)
            return _answer(ANSWERS[name](bench, said), 202 if name == "jobs" else 200)

        try:
            with anyio.fail_after(SLOWEST):
                return await run_sync(_faultless(work), limiter=limiter, abandon_on_cancel=True)
        except TimeoutError:
            return _answer({"error": f"This took more than {SLOWEST:.0f} s and was left."}, 503)

    async def job(request: Request) -> Response:
        name = request.path_params["job"]

        def work() -> Response:
            if request.method == "DELETE":
                bench.jobs.stop(name)
            return _answer(bench.jobs.state(name))

        return await run_sync(_faultless(work))

    async def file(request: Request) -> Response:
        name, wanted = request.path_params["job"], request.path_params.get("file")

        def work() -> Response:
            if wanted is None:
                return _file(ZIP, bench.jobs.zip(name).read_bytes())
            return _file(wanted, bench.jobs.file(name, wanted).read_bytes())

        return await run_sync(_faultless(work))

    async def page(request: Request) -> Response:
        found = pages.get(request.path_params.get("file") or "page.html")
        if found is None:
            raise HTTPException(404)
        content, kind = found
        return Response(content, media_type=kind)

    pages = _pages()
    return Starlette(
        routes=[
            Route("/", page),
            Route("/api/jobs/{job}", job, methods=["GET", "DELETE"]),
            Route("/api/jobs/{job}/all.zip", file),
            Route("/api/jobs/{job}/files/{file}", file),
            Route("/api/{name}", api, methods=["GET", "POST"]),
            Route("/{file}", page),
        ],
        middleware=[Middleware(Guard, door=door)],
        exception_handlers={HTTPException: _refused, Exception: _broken},
        lifespan=lifespan,
    )


def _faultless(work: Callable[[], Response]) -> Callable[[], Response]:
    """What ``work`` answers; what is at fault in what was asked is an answer too."""

    def done() -> Response:
        try:
            return work()
        except BadInputError as error:
            return _answer({"faults": answers.in_words(error.faults)}, 422)
        except ChangedMeanwhileError as error:
            found = {"changed": [asdict(each) for each in error.changed], "theirs": error.theirs,
                     "stamp": error.stamp}  # fmt: skip
            return _answer({"why": "changed", "error": str(error), **found}, 409)
        except TakenError as error:
            return _answer({"why": "taken", "error": str(error)}, 409)
        except BusyError as error:
            return _answer({"error": str(error)}, 503)
        except LookupError:
            return _answer({"error": "That is not there, or no longer."}, 404)
        except OSError as error:
            return _answer({"error": f"The system says: {error.strerror or error}"}, 500)
        except Exception as error:
            logging.getLogger("eyewrap").error("a fault of the program", exc_info=error)
            return _answer({"error": OUR_FAULT}, 500)

    return done


def _answer(data: Any, status: int = 200) -> Response:
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return Response(text.encode("utf-8", "replace"), status, media_type="application/json")


def _file(name: str, content: bytes) -> Response:
    """A file to keep; its name is one of our own, of plain letters."""
    kind = TYPES.get(Path(name).suffix, "application/octet-stream")
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=kind, headers=headers)


async def _refused(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    words = {404: "There is nothing here.", 405: "Not in that way."}
    return _answer({"error": words.get(status, "Refused.")}, status)


async def _broken(request: Request, error: Exception) -> Response:
    logging.getLogger("eyewrap").error("at %s", request.url.path, exc_info=error)
    return _answer({"error": OUR_FAULT}, 500)


def _pages() -> dict[str, tuple[bytes, str]]:
    """What the browser runs, by name, read once."""
    folder = Path(__file__).parent / "web"
    return {
        path.name: (path.read_bytes(), TYPES[path.suffix])
        for path in sorted(folder.iterdir())
        if path.suffix in TYPES
    }
