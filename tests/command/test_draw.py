"""The command from end to end: what it writes, what it prints, how it ends."""

from __future__ import annotations

import datetime
import json
import os
import re
import subprocess
import sys
import textwrap
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import ezdxf.bbox
import pypdfium2
import pytest
from running import GOOD, NO_WELD, ROOT, everything, run, shell

from patterns import __version__
from patterns.parameters import specs
from patterns.profiles import shipped
from patterns.sheets import EVERYDAY

ISO_AND_ANSI = {
    "letter": (8.5 * 25.4, 11 * 25.4),
    "legal": (8.5 * 25.4, 14 * 25.4),
    "tabloid": (11 * 25.4, 17 * 25.4),
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
}


@pytest.fixture(scope="module")
def profile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("profile") / "Trial Hatchet.toml"
    path.write_text(GOOD, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def drawn(profile: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("drawn")
    assert run("draw", profile, "--to", folder).code == 0
    return folder


def figures(profile: Path, *options: str) -> dict:
    result = run("plan", profile, "--json", *options)
    assert result.err == ""
    return json.loads(result.out)


def value(profile: Path, key: str, *options: str) -> object:
    return figures(profile, *options)["parameters"][key]["value"]


# Files -------------------------------------------------------------------------------------------


def test_the_whole_set_in_its_own_process(profile: Path, drawn: Path, tmp_path: Path) -> None:
    result = shell("draw", profile, cwd=tmp_path, PYTHONHASHSEED="7", TZ="Pacific/Auckland")
    assert (result.code, result.err) == (0, "")
    assert [path.name for path in tmp_path.iterdir()] == ["output"]
    folder = tmp_path / "output" / "trial-hatchet"
    names = {path.name for path in folder.iterdir()}
    assert {"plan.json", "trial-hatchet.pdf"} <= names
    assert (
        len([name for name in names if name.endswith(".svg")]) == len(EVERYDAY) + 1
    )  # the card has two
    cut = {name.removesuffix("-in.dxf") for name in names if name.endswith("-in.dxf")}
    assert cut == {"blank", "head", "bit"}  # a poll without a plate has no pattern for one
    assert len([name for name in names if name.endswith("-mm.dxf")]) == len(cut)
    assert len(names) == 3 + len(EVERYDAY) + 2 * len(cut)
    assert f"{len(names)} files in output{os.sep}trial-hatchet" in result.out
    # another process, folder, hash seed and time zone: the same bytes
    assert everything(folder) == everything(drawn)


def test_every_svg_is_a_drawing_in_millimetres(drawn: Path) -> None:
    for path in drawn.glob("*.svg"):
        root = ElementTree.parse(path).getroot()
        assert root.tag == "{http://www.w3.org/2000/svg}svg"
        width, height = (
            float(root.get(side, "").removesuffix("mm")) for side in ("width", "height")
        )
        assert [float(n) for n in root.get("viewBox", "").split()] == [0.0, 0.0, width, height]
        assert len(list(root.iter())) > 10


def test_every_dxf_is_sound_and_the_two_units_agree(drawn: Path) -> None:
    for inch in drawn.glob("*-in.dxf"):
        sizes = []
        for path, unit, per_unit in ((inch, 1, 25.4), (Path(str(inch)[:-6] + "mm.dxf"), 4, 1.0)):
            document = ezdxf.readfile(path)
            assert not document.audit().errors
            assert document.header["$INSUNITS"] == unit
            box = ezdxf.bbox.extents(document.modelspace())
            sizes.append((box.size.x * per_unit, box.size.y * per_unit))
        assert sizes[0] == pytest.approx(sizes[1], abs=0.01)


def test_the_steel_blank_is_as_long_and_wide_as_the_bar(drawn: Path) -> None:
    bar = json.loads((drawn / "plan.json").read_bytes())["bar"]
    for unit, per_unit in (("in", 25.4), ("mm", 1.0)):
        document = ezdxf.readfile(drawn / f"blank-{unit}.dxf")
        outline = document.modelspace().query('*[layer=="CUT"]')
        size = ezdxf.bbox.extents(outline).size
        assert size.x * per_unit == pytest.approx(bar["cut_length"], abs=0.01)
        assert size.y * per_unit == pytest.approx(1.25 * 25.4, abs=0.01)


@pytest.mark.parametrize("paper", ISO_AND_ANSI)
def test_paper(paper: str, profile: Path, tmp_path: Path) -> None:
    assert run("draw", profile, "--to", tmp_path, "--paper", paper.upper()).code == 0
    with pypdfium2.PdfDocument(tmp_path / "trial-hatchet.pdf") as pdf:
        assert len(pdf) >= len(EVERYDAY)
        for page in pdf:
            size = [side / 72 * 25.4 for side in page.get_size()]
            assert sorted(size) == pytest.approx(ISO_AND_ANSI[paper], abs=0.01)


def test_larger_paper_needs_fewer_sheets_and_nothing_is_scaled(
    profile: Path, tmp_path: Path
) -> None:
    sheets, others = [], []
    for paper in ("a3", "letter"):
        folder = tmp_path / paper
        done = run("draw", profile, "--to", folder, "--paper", paper, "--set", "blade.reach=7 in")
        assert done.code == 0
        with pypdfium2.PdfDocument(folder / "trial-hatchet.pdf") as pdf:
            sheets.append(len(pdf))
        others.append({n: h for n, h in everything(folder).items() if not n.endswith(".pdf")})
    assert sheets[0] < sheets[1]
    assert others[0] == others[1]


def test_a_folder_is_made_and_a_second_run_renews_it(profile: Path, tmp_path: Path) -> None:
    folder = tmp_path / "a" / "new one" / "here"
    assert run("draw", profile, "--to", folder).code == 0
    (folder / "notes.txt").write_text("mine")
    (folder / "plan.json").write_text("{}")
    first = everything(folder)
    assert run("draw", profile, "--to", folder).code == 0
    second = everything(folder)
    assert first.keys() == second.keys()
    assert [name for name in first if first[name] != second[name]] == ["plan.json"]
    assert json.loads((folder / "plan.json").read_bytes())["name"] == "Trial hatchet"


def test_the_date_stands_on_the_sheets_only_if_asked_for(
    profile: Path, drawn: Path, tmp_path: Path
) -> None:
    before = datetime.date.today().isoformat()
    assert run("draw", profile, "--to", tmp_path, "--date").code == 0
    days = {before, datetime.date.today().isoformat()}

    def words(folder: Path) -> str:
        with pypdfium2.PdfDocument(folder / "trial-hatchet.pdf") as pdf:
            return "\n".join(page.get_textpage().get_text_bounded() for page in pdf)

    dated = re.compile(r"\b20\d\d-\d\d-\d\d\b")
    assert set(dated.findall(words(tmp_path))) <= days
    assert dated.search(words(tmp_path))
    assert not dated.search(words(drawn))
    for path in drawn.glob("*.svg"):
        assert not dated.search(path.read_text(encoding="utf-8"))


# Figures -----------------------------------------------------------------------------------------


def test_plan_json_is_what_draw_writes(profile: Path, drawn: Path, tmp_path: Path) -> None:
    result = shell("plan", profile, "--json", cwd=tmp_path, PYTHONIOENCODING="latin-1")
    assert (result.code, result.err) == (0, "")
    assert result.out.encode("latin-1") == (drawn / "plan.json").read_bytes()
    assert list(tmp_path.iterdir()) == []


def test_plan_keeps_the_heavy_libraries_out() -> None:
    code = """
        import sys
        from patterns.cli import main
        heavy = {"ezdxf", "cairosvg", "pikepdf", "svgwrite"}
        for words in (["list"], ["keys"], ["plan", "belt-hatchet"],
                      ["plan", "belt-hatchet", "--json"], ["plan", "belt-hatchet", "--settings"]):
            assert main(words) == 0
            assert not heavy & set(sys.modules), heavy & set(sys.modules)
        assert main(["draw", "belt-hatchet", "--to", sys.argv[1]]) == 0
        assert heavy - {"svgwrite"} <= set(sys.modules), "the check above would see nothing"
    """
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run(
            [sys.executable, "-c", textwrap.dedent(code), folder],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            timeout=120,
            check=False,
        )
    assert done.returncode == 0, done.stderr.decode()


@pytest.mark.parametrize(
    ("change", "wanted"),
    [
        ("wall.thickness=7/32 in", 5.55625),
        ("wall.thickness = 5 mm", 5.0),
        ("eye.taper=-0.5 mm", -0.5),
        ("bar.section=10 x 32 mm", [10.0, 32.0]),
        ('bar.section=1/2" x 1-1/4"', [12.7, 31.75]),
        ("blade.edge_angle=30", 30),
        ("blade.top.leave=-1.5", -1.5),
        ("allowances.heats=9", 9),
        ("allowances.scale_per_heat=2.5 %", 0.025),
        ("ears.form=rounded", "rounded"),
        ("hand.step=1.25", 1.25),
        ('blade.top.through=[["1 in", "5/8 in"]]', [[25.4, 15.875]]),
        ("name=Axe = tool", "Axe = tool"),
        ("bit.steel=52100", "52100"),
        ("note=", ""),
        ("blade.bottom.arrive=", None),
        ("allowances.heats=", 8),
    ],
)
def test_one_value_is_changed(change: str, wanted: object, profile: Path) -> None:
    key = change.partition("=")[0].strip()
    assert rounded(value(profile, key, "--set", change)) == wanted
    assert rounded(value(profile, key)) != wanted


def rounded(found: object) -> object:
    """Numbers to a millionth, in lists of lists too."""
    if isinstance(found, list):
        return [rounded(item) for item in found]
    return round(found, 6) if isinstance(found, float) else found


def test_the_last_change_of_a_key_holds(profile: Path) -> None:
    options = ("--set", "wall.thickness=5 mm", "--set", "wall.thickness=5.5 mm")
    assert value(profile, "wall.thickness", *options) == 5.5


def test_a_change_is_the_same_as_writing_it(profile: Path, tmp_path: Path) -> None:
    other = tmp_path / "Trial Hatchet.toml"
    other.write_text(GOOD.replace('reach = "3 in"', 'reach = "80 mm"'), encoding="utf-8")
    assert figures(other) == figures(profile, "--set", "blade.reach=80 mm")


def test_one_pair_is_taken_out_for_the_other(profile: Path) -> None:
    out = ("--set", "eye.length=", "--set", "eye.width=")
    found = figures(profile, *out, "--set", "eye.perimeter=4 in", "--set", "eye.ratio=2.5")
    assert found["eye"]["perimeter"] == pytest.approx(4 * 25.4, abs=1e-6)
    assert found["eye"]["length"] == pytest.approx(2.5 * found["eye"]["width"], rel=1e-9)
    assert found["parameters"]["eye.length"] == {"value": None, "from": "default"}


# What is printed ---------------------------------------------------------------------------------


def in_mm(text: str) -> float:
    """The length that a line of the summary gives in millimetres."""
    return float(re.search(r"(\d+\.\d) mm", text)[1])


def in_inches(text: str) -> float:
    whole, top, under = re.search(r"(?:(\d+) )?(?:(\d+)/(\d+) )?in", text).groups()
    return int(whole or 0) + (int(top) / int(under) if top else 0.0)


def test_the_summary_tells_what_the_smith_needs(profile: Path) -> None:
    lines = {line[:11].strip(): line[11:] for line in run("plan", profile).out.splitlines()}
    found = figures(profile)
    for row, figure in (
        ("Cut", found["bar"]["cut_length"]),
        ("Outer face", found["marks"]["poll_width"]),
        ("Inner face", found["marks"]["shoulder_width"]),
        ("Dividers", found["strap"]["divider_setting"]),
    ):
        assert in_mm(lines[row]) == pytest.approx(figure, abs=0.051)
        assert in_inches(lines[row]) * 25.4 == pytest.approx(figure, abs=25.4 / 128 + 1e-6)
    assert "3/8 x 1 1/4 in" in lines["Bar"]
    assert "1018" in lines["Bar"]
    assert "1/4 x 1 in, 1084" in lines["Bit"]
    assert float(re.search(r"\((\d+) g\)", lines["Head"])[1]) == pytest.approx(
        found["head"]["mass"], abs=0.51
    )
    assert found["revision"] in lines["Revision"]


def test_millimetres_come_first_if_asked_for(profile: Path) -> None:
    inch, metric = run("plan", profile).out, run("plan", profile, "--units", "MM").out
    assert re.search(r"^Cut +[\d /]+ in \(\d+\.\d mm\)$", inch, re.M)
    assert re.search(r"^Cut +\d+\.\d mm \([\d /]+ in\)$", metric, re.M)


def test_millimetres_are_lettered_if_asked_for(profile: Path, drawn: Path, tmp_path: Path) -> None:
    assert run("draw", profile, "--to", tmp_path, "--units", "mm").code == 0
    before, after = everything(drawn), everything(tmp_path)
    assert before.keys() == after.keys()
    changed = {name for name in before if before[name] != after[name]}
    assert {name for name in before if name.endswith((".svg", ".pdf"))} <= changed
    assert "plan.json" not in changed


def test_doubts_are_printed_with_their_reason_and_do_not_stop(profile: Path) -> None:
    result = run("plan", profile, "--set", "wall.thickness=4 mm")
    assert result.code == 0
    doubts = " ".join(result.out.split()).split("Doubt ")[1:]
    assert any(doubt.startswith("wall.thickness:") and "[" in doubt for doubt in doubts)
    assert max(map(len, result.out.splitlines())) <= 100


def test_settings_show_every_key_and_which_are_defaults(profile: Path) -> None:
    lines = run("plan", profile, "--settings").out.splitlines()
    assert [line.split()[0] for line in lines] == [key for key, _ in specs()]
    by_key = {line.split()[0]: line for line in lines}
    assert "3/16 in" in by_key["wall.thickness"]
    assert "default" not in by_key["wall.thickness"]
    assert by_key["hand.bite"].endswith("(default)")


def test_list_names_every_shipped_head() -> None:
    result = run("list")
    assert result.code == 0
    assert [line.split()[0] for line in result.out.splitlines()] == list(shipped())
    assert len(shipped()) >= 3


@pytest.mark.parametrize(("units", "sign"), [("in", " in ("), ("mm", " mm (")])
def test_keys_tells_every_key_with_its_limits(units: str, sign: str) -> None:
    result = run("keys", "--units", units)
    assert result.code == 0
    blocks = re.split(r"^(?=\S)", result.out, flags=re.M)[1:]
    assert [block.split()[0] for block in blocks] == [key for key, _ in specs()]
    for block, (_, spec) in zip(blocks, specs(), strict=True):
        assert spec.label in block
        assert spec.help in block
        assert ("required" in block.splitlines()[0]) == spec.required
        if spec.kind == "length":
            assert sign in block


def test_help_names_every_command_and_option() -> None:
    whole = run("--help")
    assert whole.code == 0
    for command in ("draw", "plan", "list", "keys"):
        assert command in whole.out
        assert run(command, "--help").code == 0
    for option in ("--units", "--set", "--to", "--paper", "--date", "tabloid", "legal", "a3"):
        assert option in run("draw", "--help").out
    for option in ("--json", "--settings", "--units", "--set"):
        assert option in run("plan", "--help").out
    assert run("--version").out == f"eyewrap {__version__}\n"


def test_the_examples_in_the_help_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import shlex

    monkeypatch.chdir(tmp_path)
    (tmp_path / "my-axe.toml").write_text(GOOD, encoding="utf-8")
    text = (run("draw", "--help").out + run("plan", "--help").out).replace("\\\n", " ")
    examples = re.findall(r"^ +eyewrap (.+)$", text, re.M)
    assert len(examples) == 8
    for example in examples:
        assert run(*shlex.split(example)).code == 0, example


# How it ends -------------------------------------------------------------------------------------


def test_a_doubt_that_stops_the_work_writes_nothing(
    profile: Path, drawn: Path, tmp_path: Path
) -> None:
    before = everything(drawn)
    for folder in (drawn, tmp_path / "new"):
        result = run("draw", profile, "--to", folder, *NO_WELD)
        assert result.code == 1
        assert re.search(r"^STOP +bit: no weld", result.out, re.M)
        assert "nothing was written" in result.err
    assert everything(drawn) == before
    assert not (tmp_path / "new").exists()
    assert run("plan", profile, *NO_WELD).code == 1
    told = run("plan", profile, "--json", *NO_WELD)
    assert told.code == 1
    assert [d["field"] for d in json.loads(told.out)["doubts"] if d["stops"]] == ["bit"]


def without_cairo(folder: Path) -> str:
    """A search path on which cairo's library is not to be found."""
    folder.mkdir()
    text = "raise OSError('no library called \"cairo-2\" was found')\n"
    (folder / "cairosvg.py").write_text(text)
    return f"{folder}{os.pathsep}{ROOT}"


def test_without_cairo_all_but_the_pdf_is_written(
    profile: Path, drawn: Path, tmp_path: Path
) -> None:
    path = without_cairo(tmp_path / "lacking")
    folder = tmp_path / "set"
    folder.mkdir()
    (folder / "trial-hatchet.pdf").write_bytes(b"of an earlier run")
    result = shell("draw", profile, "--to", folder, cwd=tmp_path, PYTHONPATH=path)
    assert result.code == 1
    assert "apt install libcairo2" in result.err
    assert "trial-hatchet-earlier.pdf" in result.err
    assert "Traceback" not in result.text
    found, whole = everything(folder), everything(drawn)
    assert (folder / "trial-hatchet-earlier.pdf").read_bytes() == b"of an earlier run"
    del found["trial-hatchet-earlier.pdf"], whole["trial-hatchet.pdf"]
    assert found == whole


def test_a_drawing_not_fit_to_cut_is_not_written(
    profile: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from patterns.errors import NotFitToCutError
    from patterns.writers import dxf

    write = dxf.write

    def choosy(drawing, units):  # type: ignore[no-untyped-def]
        if drawing.name == "head":
            raise NotFitToCutError("head is not fit to cut: a mark runs off the plate")
        return write(drawing, units)

    monkeypatch.setattr(dxf, "write", choosy)
    (tmp_path / "head-mm.dxf").write_bytes(b"of an earlier run")
    result = run("draw", profile, "--to", tmp_path)
    assert result.code == 1
    assert "a mark runs off the plate" in result.err
    assert not (tmp_path / "head-mm.dxf").exists()
    assert (tmp_path / "head-mm-earlier.dxf").read_bytes() == b"of an earlier run"
    assert (tmp_path / "blank-mm.dxf").exists()
    assert (tmp_path / "trial-hatchet.pdf").exists()


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_any_name_can_be_printed_on_any_terminal(encoding: str, tmp_path: Path) -> None:
    path = tmp_path / "斧🪓.toml"
    path.write_text(GOOD.replace("Trial hatchet", "Björn’s 斧 🪓 <b>&amp;"), encoding="utf-8")
    drawn = () if encoding == "utf-8" else ("--sheets", "bit")  # what is printed is the same
    result = shell(
        "draw", path, "--to", tmp_path / "ö", *drawn, cwd=tmp_path, PYTHONIOENCODING=encoding
    )
    assert (result.code, result.err) == (0, "")
    assert "<b>&amp;" in result.out
    for svg in (tmp_path / "ö").glob("*.svg"):
        assert b"<b>" not in svg.read_bytes()
        ElementTree.parse(svg)


def test_a_reader_that_goes_away_is_no_fault() -> None:
    command = f'"{sys.executable}" -m patterns.cli keys | head -n 1; exit "${{PIPESTATUS[0]}}"'
    done = subprocess.run(
        ["bash", "-c", command],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, b"name  (required)\n", b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full here")
def test_a_full_disk_behind_the_output_is_told(profile: Path) -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "patterns.cli", "plan", str(profile), "--json"],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=full,
            stderr=subprocess.PIPE,
            timeout=60,
            check=False,
        )
    assert done.returncode == 1
    assert done.stderr.startswith(b"Stopped: the system says:")
    assert b"Traceback" not in done.stderr
