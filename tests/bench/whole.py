"""Whole cold processes: a set against the bare libraries, the whole set, many sets, the plan alone.

Run it as ``python tests/bench/whole.py [ROUNDS]``. Every round starts each process once, one after
another, so that all stand the same weather; the table shows medians. See README.md beside this.
"""

from __future__ import annotations

import json
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
BARE = Path(__file__).with_name("bare.py")
COUNT = "--count"
TWELVE = """
import contextlib, os, sys
from patterns import cli, profiles
with contextlib.redirect_stdout(open(os.devnull, "w")):
    for name in list(profiles.shipped())[:12]:
        assert cli.main(["draw", name, *sys.argv[1:]]) == 0
"""
PROFILE = "belt-hatchet"
WRITERS = ("cairosvg", "ezdxf", "pikepdf", "svgwrite")
_SVG = "{http://www.w3.org/2000/svg}"
_NUMBER = re.compile(r"-?[0-9.]+")


def count_svg(file: Path) -> dict[str, Any]:
    """Titles and paths of a sheet; ``lines`` are the paths that are not letters."""
    root = ET.parse(file).getroot()
    paths = [path.get("d", "") for path in root.iter(f"{_SVG}path")]
    titles = [title.text or "" for title in root.iter(f"{_SVG}title")]
    texts = [re.sub(r"[^ -~]", "x", title) for title in titles[1:]]
    return {
        "titles": titles,
        "texts": texts,
        "paths": [len(_NUMBER.findall(d)) for d in paths],
        "lines": len(paths) - len(texts),
    }


def count_pdf(file: Path) -> dict[str, Any]:
    """Operators of every form and page; lettering is written once, and counted with the first."""
    import pikepdf

    def operators(stream: pikepdf.Object) -> list[str]:
        return [str(step.operator) for step in pikepdf.parse_content_stream(stream)]

    forms: list[dict[str, int]] = []
    known: dict[tuple[int, int], int] = {}
    pages = []
    with pikepdf.open(file) as pdf:
        for page in pdf.pages:
            art, more = page.obj.Resources.XObject.Art, 0
            if art.objgen not in known:
                more = len(operators(page.obj.Resources.XObject.Words))
                known[art.objgen] = len(forms)
                drawn = operators(art)
                inner = [operators(x) for x in art.Resources.get("/XObject", {}).values()]
                drawn += [name for stream in inner for name in stream]
                forms.append(
                    {
                        "paths": sum(name in ("S", "f", "f*", "B") for name in drawn),
                        "moves": drawn.count("m"),
                        "lines": drawn.count("l"),
                        "curves": drawn.count("c"),
                    }
                )
            pages.append({"form": known[art.objgen], "operators": len(operators(page.obj)) + more})
    return {"forms": forms, "pages": pages}


def count_dxf(file: Path) -> list[int]:
    """Vertices of every polyline."""
    import ezdxf

    return [len(line) for line in ezdxf.readfile(file).modelspace().query("LWPOLYLINE")]


def count(folder: Path) -> dict[str, Any]:
    """What a set holds, as ``bare.py`` wants it."""
    return {
        "sheets": [count_svg(file) for file in sorted(folder.glob("*.svg"))],
        "dxf": [count_dxf(file) for file in sorted(folder.glob("*.dxf"))],
        **count_pdf(folder / f"{PROFILE}.pdf"),
    }


def run(*arguments: str) -> tuple[float, float]:
    """Run a fresh interpreter; returns seconds and the greatest resident memory [MB]."""
    start = time.perf_counter()
    child = subprocess.Popen(
        [sys.executable, *arguments], cwd=ROOT, stdout=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    _, status, usage = os.wait4(child.pid, 0)
    taken = time.perf_counter() - start
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"{' '.join(arguments)} ended with {child.returncode}")
    unit = 1e6 if sys.platform == "darwin" else 1024.0
    return taken, usage.ru_maxrss / unit


def loaded_by_plan() -> list[str]:
    """The writers' libraries that the command ``plan`` loads."""
    code = (
        "import sys; from patterns.cli import main; "
        f"sys.stdout = sys.stderr; main(['plan', {PROFILE!r}]); "
        f"print(*sorted(set(sys.modules) & {set(WRITERS)!r}), file=sys.__stdout__)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    return done.stdout.split()


def main(rounds: int = 9) -> None:
    with tempfile.TemporaryDirectory() as made:
        temp = Path(made)
        draw = ("-m", "patterns.cli", "draw", PROFILE, "--to", str(temp / "set"))
        run(*draw)
        # counted by another process: a child's memory begins with its parent's
        text = subprocess.check_output([sys.executable, __file__, COUNT, str(temp / "set")])
        counts = json.loads(text)
        (temp / "counts.json").write_bytes(text)
        every = ("--sheets", "all", "--to", str(temp / "all"))
        processes = {
            "draw": draw,
            "all": ("-m", "patterns.cli", "draw", PROFILE, *every),
            "twelve": ("-c", TWELVE, *every),
            "bare": (str(BARE), str(temp / "counts.json"), str(temp / "bare")),
            "plan": ("-m", "patterns.cli", "plan", PROFILE),
            "python": ("-c", "pass"),
        }
        taken: dict[str, list[float]] = {name: [] for name in processes}
        memory = dict.fromkeys(processes, 0.0)
        for lap in range(rounds + 1):
            for name, arguments in processes.items():
                seconds, peak = run(*arguments)
                if lap:  # the first fills the caches
                    taken[name].append(seconds)
                    memory[name] = max(memory[name], peak)

    print(f"{PROFILE}, {rounds} rounds, {os.cpu_count()} cores, Python {sys.version.split()[0]}")
    sheets, lines = counts["sheets"], counts["dxf"]
    print(
        f"{len(sheets)} SVG with {sum(len(s['paths']) for s in sheets)} paths of "
        f"{sum(sum(s['paths']) for s in sheets)} numbers; {len(lines)} DXF with "
        f"{sum(map(len, lines))} polylines of {sum(map(sum, lines))} vertices; PDF of "
        f"{len(counts['pages'])} pages and {len(counts['forms'])} forms"
    )
    print(f"\n{'cold process':<34}{'median':>10}{'least':>10}{'memory':>10}")
    names = {
        "draw": "eyewrap draw, every file", "all": "eyewrap draw --sheets all",
        "twelve": "twelve heads, --sheets all", "bare": "the bare libraries, as much",
        "plan": "eyewrap plan", "python": "the interpreter alone",
    }  # fmt: skip
    for name, title in names.items():
        print(
            f"{title:<34}{statistics.median(taken[name]) * 1e3:>7.0f} ms"
            f"{min(taken[name]) * 1e3:>7.0f} ms{memory[name]:>7.0f} MB"
        )
    pairs = [a / b for a, b in zip(taken["draw"], taken["bare"], strict=True)]
    print(f"\ndraw / bare, by rounds: {statistics.median(pairs):.2f} (wanted: at most 1.5)")
    whole = [a / b for a, b in zip(taken["all"], taken["draw"], strict=True)]
    print(f"--sheets all / draw, by rounds: {statistics.median(whole):.2f} (wanted: under 2.5)")
    print(f"memory of --sheets all: {memory['all']:.0f} MB (wanted: under 250)")
    many = [a / b for a, b in zip(taken["twelve"], taken["all"], strict=True)]
    print(f"twelve heads in one process / one: {statistics.median(many):.2f} (wanted: at most 12)")
    print(f"memory of twelve heads in one process: {memory['twelve']:.0f} MB")
    print(f"memory of draw: {memory['draw']:.0f} MB (wanted: under 200)")
    print(f"writers' libraries loaded by plan: {' '.join(loaded_by_plan()) or 'none'}")


if __name__ == "__main__":
    if sys.argv[1:2] == [COUNT]:
        print(json.dumps(count(Path(sys.argv[2]))))
    else:
        main(*map(int, sys.argv[1:]))
