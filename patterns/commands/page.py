"""``eyewrap page``: the page at the bench, in the browser, on this machine."""

from __future__ import annotations

import argparse
import contextlib
import errno
import ipaddress
import re
import secrets
import signal
import socket
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import BadInputError, Fault
from .common import DONE, STOPPED, Commands, add_units, command, tried, units_of

if TYPE_CHECKING:
    from ..page.guard import Door
    from ..page.server import Bench

EXAMPLES = """\
examples:
  eyewrap page
  eyewrap page heads --rack rack.csv --log log.csv
  eyewrap page heads --smith me.toml --printer office.toml --units mm
  eyewrap page heads --listen 192.168.1.20

Change a head and see its pattern follow: choose one from the shelf, type its measures or drag its
outline, look at the sheets, save the profile, and print the PDF. What the page shows is what the
commands write. It needs no network: it is answered by this machine, to this machine alone. With
--listen ADDRESS another device of the workshop, such as a phone, can open it too, by an address
with a key in it; whoever has that can read and save in FOLDER. No browser is opened then: a key
does not belong into the list of processes. End it with Ctrl+C.
"""

PORT = 8467
"""Where the page is, if that is free: a number without a meaning."""

_TRIES = 20


def add(commands: Commands) -> None:
    parser = command(
        commands, "page", _page, brief="change a head in the browser and see its pattern follow",
        description="Open a page in the browser to change heads by typing and dragging.",
        epilog=EXAMPLES,
    )  # fmt: skip
    parser.add_argument("folder", metavar="FOLDER", nargs="?", default=".",
                        help="where your own heads are read and saved; here, if not "
                        "given")  # fmt: skip
    parser.add_argument("--rack", metavar="FILE", help="the bars on hand, in CSV or TOML")
    parser.add_argument("--log", metavar="FILE", help="the log of trial pieces, in CSV; made, if "
                        "it is not there")  # fmt: skip
    parser.add_argument("--smith", metavar="FILE", help="your own factors, as eyewrap learn writes "
                        "them, to take into a head")  # fmt: skip
    parser.add_argument("--printer", metavar="FILE", help="correct the PDF for a printer: the file "
                        "that eyewrap printer writes")  # fmt: skip
    parser.add_argument("--listen", metavar="ADDRESS", default="127.0.0.1",
                        help="127.0.0.1 if not given: this machine alone; an address of this "
                        "machine, for others in its network too")  # fmt: skip
    parser.add_argument("--port", metavar="NUMBER", help=f"{PORT}, or the next that is free, if "
                        "not given")  # fmt: skip
    parser.add_argument("--no-browser", action="store_true", help="only say where the page is")
    add_units(parser)


def _page(options: argparse.Namespace) -> int:
    units, faults = units_of(options)
    port = _port(options.port, faults)
    host = _address(options.listen, faults)
    _files(options, units, faults)
    if faults:
        raise BadInputError(faults)
    assert host is not None
    listening = _bound(host, port)

    import uvicorn

    from ..page.patient import PatientProtocol
    from ..page.server import app

    bound = listening.getsockname()[1]
    door = _door(host, bound)
    address = _reached(host)
    shown = f"http://{f'[{address}]' if ':' in address else address}:{bound}/"
    shown += f"?key={door.key}" if door.key else ""
    server = uvicorn.Server(
        uvicorn.Config(
            app(_bench(options, units), door), log_level="error", access_log=False,
            http=PatientProtocol, limit_concurrency=256, timeout_keep_alive=30,
            timeout_graceful_shutdown=2, server_header=False, ws="none",
        )
    )  # fmt: skip
    print(f"The page is at {shown}\nEnd it with Ctrl+C.")
    sys.stdout.flush()
    if hasattr(signal, "SIGHUP"):  # the terminal is closed
        signal.signal(signal.SIGHUP, lambda *_: setattr(server, "should_exit", True))
    if not options.no_browser and door.key is None:  # a key would stand in the list of processes
        import threading
        import webbrowser

        threading.Thread(target=webbrowser.open, args=(shown,), daemon=True).start()
    with contextlib.suppress(KeyboardInterrupt), listening:
        server.run([listening])
    return DONE if server.started else STOPPED


def _bench(options: argparse.Namespace, units: str) -> Bench:
    from ..page.folders import Folders
    from ..page.jobs import Jobs
    from ..page.server import Bench

    def path(text: str | None) -> Path | None:
        return None if text is None else Path(text).resolve()

    return Bench(
        Folders(Path(options.folder).resolve()), Jobs(), units, path(options.rack),
        path(options.log), path(options.smith), path(options.printer),
    )  # fmt: skip


def _files(options: argparse.Namespace, units: str, faults: list[Fault]) -> None:
    """Every file and folder that is named, read once, so that what is at fault is told now."""
    from .. import logbook, printer, rack, smith

    odd = [
        name for name in ("rack", "log", "smith", "printer")
        if (text := getattr(options, name)) is not None
        and Path(text).exists() and not Path(text).is_file()
    ]  # fmt: skip
    for name in odd:  # a pipe, say, which would be waited for
        faults.append(Fault(f"--{name}", repr(getattr(options, name)[:120]), "a file",
                            "name the file itself"))  # fmt: skip
    folder = Path(options.folder)
    if not folder.is_dir():
        faults.append(Fault("FOLDER", repr(options.folder[:120]), "a folder that is there",
                            "make it first, or name another"))  # fmt: skip
    readers: dict[str, Callable[[Path, str], object]] = {
        "rack": rack.load, "smith": smith.load, "printer": printer.load,
    }  # fmt: skip
    for name, read in readers.items():
        text = getattr(options, name)
        if text is not None and name not in odd:
            tried(partial(read, Path(text), units), faults)
    if options.log is None or "log" in odd:
        return
    log = Path(options.log)
    if log.exists():
        tried(lambda: logbook.load(log, units), faults)
    elif not log.name or not log.parent.is_dir():
        faults.append(Fault("--log", repr(options.log[:120]), "a file in a folder that is there",
                            "make the folder first"))  # fmt: skip


def _port(text: str | None, faults: list[Fault]) -> int | None:
    if text is None:
        return None
    if re.fullmatch(r"\d{1,5}", text.strip(), re.ASCII) and 0 <= int(text) <= 65535:
        return int(text)
    faults.append(Fault("--port", repr(text[:60]), "a whole number from 0 to 65535",
                        "leave it out, or choose one above 1023"))  # fmt: skip
    return None


def _address(text: str, faults: list[Fault]) -> str | None:
    plain = text.strip().lower()
    if plain == "localhost":
        return "127.0.0.1"
    try:
        found = ipaddress.ip_address(plain)
        if not found.is_multicast and plain != "255.255.255.255":
            return str(found)
    except ValueError:
        pass
    faults.append(Fault("--listen", repr(text[:60]), "an address of this machine in figures, "
                        "as 192.168.1.20", "leave it out, to listen here alone"))  # fmt: skip
    return None


def _reached(host: str) -> str:
    """By what another device reaches this one, if it listens everywhere: the address by which this
    machine would go out, which nothing is sent to find (192.0.2.1 is nobody's: RFC 5737)."""
    if not ipaddress.ip_address(host).is_unspecified:
        return host
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way, contextlib.suppress(OSError):
        way.connect(("192.0.2.1", 9))
        return str(way.getsockname()[0])
    return socket.gethostname()


def _bound(host: str, port: int | None) -> socket.socket:
    """A socket at the port, or at the first that is free if none is told.

    Raises :class:`BadInputError` if the system gives none.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    wanted = [port] if port is not None else [*range(PORT, PORT + _TRIES), 0]
    reason = ""
    for each in wanted:
        # told to be TCP, so that asyncio sends without Nagle's delay: 40 ms on every answer
        made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            made.bind((host, each))
            made.listen(128)  # whoever comes before the server is up waits
            return made
        except OSError as error:
            made.close()
            reason = error.strerror or str(error)
            if error.errno not in (errno.EADDRINUSE, errno.EACCES):  # no port of it will do
                port = None
                break
    field, given, allowed = "--listen", host, "an address of this machine"
    if port is not None:
        field, given, allowed = "--port", str(port), "a port that is free"
    raise BadInputError([Fault(field, given, allowed,
                               f"the system says: {reason}; choose another")])  # fmt: skip


def _door(host: str, port: int) -> Door:
    from ..page.guard import Door

    if ipaddress.ip_address(host).is_loopback:
        names = ("127.0.0.1", "localhost", "[::1]", f"[{host}]" if ":" in host else host)
        return Door(frozenset(f"{name}:{port}" for name in names), port)
    own = socket.gethostname().lower()
    called = own, f"{own.partition('.')[0]}.local", "localhost"
    return Door(frozenset(f"{name}:{port}" for name in called), port, anywhere=True,
                key=secrets.token_urlsafe(9))  # fmt: skip
