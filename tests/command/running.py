"""Run the command, in this process or in its own, and look at what it left behind."""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from patterns import cli

ROOT = Path(__file__).parent.parent.parent

GOOD = """\
name = "Trial hatchet"
note = "For the tests of the command."

[eye]
form = "teardrop"
length = "1 3/4 in"
width = "5/8 in"
front_radius = "1/8 in"

[wall]
thickness = "3/16 in"

[ears]
form = "pointed"
above = "7/8 in"
below = "7/8 in"

[poll]
height = "1 1/4 in"

[blade]
reach = "3 in"
toe = "1 1/16 in"
heel = "1 5/8 in"
neck_above = "9/16 in"
neck_below = "9/16 in"
edge_radius = "4 1/2 in"
edge_angle = 25
stations = [["3/8 in", "9/16 in"], ["1 1/4 in", "3/8 in"], ["2 1/2 in", "3/16 in"]]

[blade.top]
form = "smooth"
leave = 2

[blade.bottom]
form = "smooth"
arrive = 42

[bit]
steel = "1084"
stock = "1/4 x 1 in"
thickness = "5/32 in"
insertion = "1 1/4 in"
scarf = "3/8 in"
tip = "1/16 in"

[bar]
section = "3/8 x 1 1/4 in"
steel = "1018"

[allowances]
heats = 7
scale_per_heat = "1.5 %"
"""

# The body covers the bit from where the bevel is as thick as the bit: 4.2 mm of it, at 25 degrees,
# end 4.2 / (2 tan 12.5 deg) = 9.5 mm behind the edge. A bit set 9 mm deep has nothing to weld to.
NO_WELD = ("--set", "bit.thickness=4.2 mm", "--set", "bit.insertion=9 mm", "--set",
           "bit.scarf=3 mm")  # fmt: skip


@dataclass(frozen=True)
class Result:
    code: int
    out: str
    err: str

    @property
    def text(self) -> str:
        return self.out + self.err


def run(*arguments: str | Path) -> Result:
    """The command in this process; its way out by ``SystemExit`` counts as its code."""
    out, err = (
        io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2)
    )
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = cli.main([str(argument) for argument in arguments])
        except SystemExit as leaving:
            code = leaving.code if isinstance(leaving.code, int) else 1
    texts = [stream.buffer.getvalue().decode() for stream in (out, err)]  # type: ignore[attr-defined]
    return Result(code, *texts)


def shell(*arguments: str | Path, cwd: Path, **environment: str) -> Result:
    """The command in its own process."""
    done = subprocess.run(
        [sys.executable, "-m", "patterns.cli", *map(str, arguments)],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **environment},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=120,
        check=False,
    )
    encoding = environment.get("PYTHONIOENCODING", "utf-8")
    return Result(done.returncode, done.stdout.decode(encoding), done.stderr.decode(encoding))


def everything(folder: Path) -> dict[str, str]:
    """Every path below a folder, hidden ones too, with a hash of its bytes."""
    return {
        str(path.relative_to(folder)): (
            hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else "folder"
        )
        for path in sorted(folder.rglob("*"))
    }
