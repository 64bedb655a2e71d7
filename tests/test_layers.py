"""A module imports only modules that stand above it in this list: data flow one way."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent / "patterns"

LAYERS = [
    "errors",
    "units",
    "interval",
    "sources",
    "cited_tables",
    "steels",
    "heat_treatment",
    "steel_report",
    "iso_9013",
    "processes",
    "process_report",
    "contour",
    "offset",
    "leads",
    "curves",
    "graph",
    "lettering",
    "drawing",
    "part",
    "room",
    "schema",
    "parameters",
    "forging.*",
    "folds",
    "fire",
    "eye",
    "derived",
    "consistency",
    "reading",
    "texts",
    "rows",
    "layers",
    "smith",
    "profiles",
    "starting",
    "rewrite",
    "rack",
    "piece",
    "plan_view",
    "forecast",
    "logbook",
    "log_row",
    "learn",
    "handles",
    "outline",
    "thickness",
    "shape",
    "forepart",
    "head",
    "grips",
    "hang",
    "hafting",
    "weighed",
    "bar_plan",
    "halves",
    "waist",
    "stages",
    "doubts",
    "blank",
    "resize",
    "drift",
    "choice",
    "cutlist",
    "rack_report",
    "forecast_report",
    "learn_report",
    "sensitivity",
    "tolerances",
    "rounding",
    "report",
    "card",
    "views",
    "edge_cover",
    "bar_views",
    "stencil",
    "gauges",
    "cut_set",
    "cut_file",
    "narrow",
    "cut_check",
    "to_cut",
    "templates",
    "shop_note",
    "sheets.*",
    "pages",
    "printer",
    "contact",
    "contents",
    "check_report",
    "strip",
    "nest",
    "nest_report",
    "proof",
    "writers.*",
    "build",
    "part_files",
    "nest_files",
    "output",
    "page",
    "page.asked",
    "page.form",
    "page.figures",
    "page.picture",
    "page.folders",
    "page.answers",
    "page.paper",
    "page.trials",
    "page.work",
    "page.jobs",
    "page.guard",
    "page.patient",
    "page.server",
    "commands.*",
    "cli",
]

SHARED = {"common", "layout", "words"}
"""Names that a module may import from its own folder."""


def layer(name: str) -> int | None:
    """Place in the list of ``forging.bend``, ``units`` or a folder's name; None if not there."""
    folder = name.split(".")[0]
    for entry in (name, f"{folder}.*"):
        if entry in LAYERS:
            return LAYERS.index(entry)
    return None


def imported(name: str, source: str, known: set[str]) -> set[str]:
    """Modules of this package that a module imports, anywhere in its text.

    ``known`` are all modules, folders among them, so that ``from . import units`` counts as
    ``units`` and ``from .units import inches`` as ``units`` too.
    """
    is_folder = any(other.startswith(f"{name}.") for other in known)
    full = ["patterns", *name.split(".")] if name else ["patterns"]
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                up = node.level - (1 if is_folder or not name else 0)
                start = full[: len(full) - up]
                base = ".".join([*start, *([node.module] if node.module else [])])
            for alias in node.names:
                inner = f"{base}.{alias.name}"
                found.add(inner if inner.removeprefix("patterns.") in known else base)
    return {item.removeprefix("patterns.") for item in found if item.startswith("patterns.")}


def breaches(name: str, source: str, known: set[str]) -> list[str]:
    """What a module does against the order, in words."""
    if name == "":
        inner = imported(name, source, known)
        return [f"patterns/__init__.py imports {item}; it may import nothing" for item in inner]
    place = layer(name)
    if place is None:
        return [f"{name} is not in LAYERS: add it to tests/test_layers.py where it belongs"]
    found = []
    for other in sorted(imported(name, source, known)):
        below = layer(other)
        shared = "." in name and other.split(".")[-1] in SHARED and other != name
        gathers = name in {"sheets"} and other.startswith(f"{name}.")
        if below is None:
            found.append(f"{name} imports {other}, which is not in LAYERS: add it")
        elif below > place or (below == place and not (shared or gathers)):
            found.append(f"{name} imports {other}, which does not stand above it")
    return found


def modules() -> dict[str, str]:
    """Every module's dotted name below the package, and its text; folders by their own name."""
    found = {}
    for path in sorted(ROOT.rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        if parts[-1] == "__init__":
            parts = parts[:-1]
        found[".".join(parts)] = path.read_text(encoding="utf-8")
    return found


MODULES = modules()


@pytest.mark.parametrize("name", [name or "__init__" for name in MODULES])
def test_imports_point_upwards(name: str) -> None:
    name = "" if name == "__init__" else name
    assert breaches(name, MODULES[name], set(MODULES)) == []


KNOWN = {
    "", "units", "sources", "contour", "cli", "forging", "forging.common", "forging.bend",
    "forging.scale", "sheets", "sheets.layout", "sheets.card", "stray",
}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "source"),
    [
        ("units", "from .sources import cited"),
        ("units", "from . import sources"),
        ("units", "import patterns.sources"),
        ("units", "from patterns import sources"),
        ("units", "def late():\n    from patterns.sources import cited"),
        ("units", "from .units import inches"),
        ("forging.bend", "from .scale import metal_lost"),
        ("forging.bend", "from . import scale"),
        ("forging.bend", "from ..cli import main"),
        ("forging.bend", "from ..sheets.layout import frame"),
        ("forging.common", "from .bend import din_k"),
        ("forging", "from .bend import din_k"),
        ("units", "from .stray import thing"),
        ("stray", "import math"),
        ("", "from .units import inches"),
    ],
)
def test_a_breach_is_seen(name: str, source: str) -> None:
    assert len(breaches(name, source, KNOWN)) == 1


@pytest.mark.parametrize(
    ("name", "source"),
    [
        ("sources", "from .units import MM_PER_INCH\nimport math, unittest"),
        ("sources", "from patterns import __version__"),
        ("sources", "from . import __version__, units"),
        ("forging.bend", "from .common import positive\nfrom ..sources import cited"),
        ("sheets.card", "from .layout import frame\nfrom ..forging.bend import din_k"),
        ("cli", "from .forging import bend\nfrom .sheets import card"),
    ],
)
def test_what_is_allowed_passes(name: str, source: str) -> None:
    assert breaches(name, source, KNOWN) == []


def test_a_stray_module_is_told_where_to_go() -> None:
    (words,) = breaches("stray", "", KNOWN)
    assert "add it to tests/test_layers.py" in words


def test_the_package_was_found() -> None:
    assert {"", "units", "contour", "forging.bend"} <= set(MODULES)
