"""Bars, pieces and logs as the page asks for them: the commands' own words, and no other."""

from __future__ import annotations

import csv
import dataclasses
import json
import math
import re
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from patterns import blank, cli, forecast, learn, log_row, logbook, piece, profiles, rack, reading
from patterns import texts as flat
from patterns.commands.common import titled
from patterns.errors import BadInputError
from patterns.learn_report import smith_file
from patterns.logbook import Entry
from patterns.page import trials
from patterns.parameters import Design
from patterns.piece import Piece
from patterns.resize import INCH_THICKNESSES, INCH_WIDTHS
from patterns.rounding import beside
from patterns.schema import specs
from patterns.smith import overlay
from patterns.units import read_length, read_section

EXAMPLES = Path(__file__).parent.parent.parent / "output" / "examples"
LOG, RACK = EXAMPLES / "log.csv", EXAMPLES / "rack.csv"

HATCHET = {
    "bar.section": "1/2 x 1-1/2 in", "bar.length": "8 in", "marks.poll": "1 in",
    "marks.shoulders": "4 in",
}  # fmt: skip
"""A published layout: joetheblacksmith.com, 1 in of poll, twice 1 1/2 in of strap, 1.5 lb."""

ENTRY = {
    "name": "fifth", "section": "1/2 x 1 1/2 in", "length": "8 in", "poll": "1 1/8 in",
    "shoulders": "4 1/16 in", "wall": "1/4 in", "drawn_left": "2 in", "ears": "2 7/16 in",
    "heats": "8", "mass_in": "770 g", "mass_out": "700 g", "bit_mass": "54 g", "bit_heats": "5",
}  # fmt: skip


@pytest.fixture
def printed(capsys: pytest.CaptureFixture[str]):
    """What the command prints, line by line."""

    def run(*arguments: str | Path) -> list[str]:
        capsys.readouterr()
        cli.main([str(argument) for argument in arguments])
        return capsys.readouterr().out.splitlines()

    return run


def as_lines(rows: list[dict[str, str]]) -> list[str]:
    return titled([(row["label"], row["text"]) for row in rows])


def keys_at_fault(error: BadInputError) -> list[str]:
    return [fault.field for fault in error.faults]


def planned(slug: str, **changes: str) -> blank.ForgePlan:
    told = [f"{key.replace('__', '.')}={text}" for key, text in changes.items()]
    return blank.plan(profiles.load(slug, told).design)


def head_texts(slug: str) -> dict[str, str]:
    return flat.of_table(reading.toml_file(profiles.find(slug)))


# A piece of bar ----------------------------------------------------------------------------------


@pytest.mark.parametrize("want", ["", "4 1/2 in"])
@pytest.mark.parametrize("units", ["in", "mm"])
def test_predict_says_what_the_command_prints(printed, units: str, want: str) -> None:
    found = trials.predict(HATCHET, units, want)
    options = ["--bar", "1/2 x 1-1/2 x 8 in", "--poll", "1 in", "--shoulders", "4 in"]
    lines = printed("predict", *options, "--units", units, *(["--want", want] if want else []))
    at = next(i for i, line in enumerate(lines) if line.startswith("Sizes"))
    sizes = lines[at : at + 6]
    assert as_lines(found["rows"]) == lines[:at] + lines[at + 6 :]
    for line, row in zip(sizes, [found["sizes"]["head"], *found["sizes"]["rows"]], strict=True):
        columns = [line[11:24], line[24:48], line[48:72], line[72:]]
        assert [cell.strip() for cell in columns] == row
    said = [row["text"] for row in found["rows"]]
    assert set(found["ways"]) | set(found["doubts"]) | set(found["assumed"]) <= set(said)
    assert {fit["text"] for fit in found["fits"]} <= set(said)
    assert len(found["ways"]) == (4 if want else 0)
    json.dumps(found, allow_nan=False)


def test_the_published_hatchet_weighs_what_its_smith_says() -> None:
    """1 lb 8 oz, 680.4 g, lies within what is foreseen."""
    rows = {row["label"]: row["text"] for row in trials.predict(HATCHET, "mm")["rows"]}
    grams = [float(text) for text in re.findall(r"([\d.]+) g", rows["Head"])]
    assert len(grams) == 3
    assert grams[1] < 680.4 < grams[2]


def area_of(path: str) -> float:
    """Area inside a closed path of lines and arcs of less than half a turn, y down, by the
    shoelace formula and the segments of circles beyond the chords."""
    found = re.findall(r"([MLA])([^MLAZ]*)", path)
    assert path.endswith("Z")
    points, total = [], 0.0
    for kind, text in found:
        figures = [float(each) for each in text.split()]
        if kind == "A":
            (x0, y0), (radius, _, _, large, sweep, x1, y1) = points[-1], figures
            assert large == 0.0
            angle = 2.0 * math.asin(min(math.hypot(x1 - x0, y1 - y0) / (2.0 * radius), 1.0))
            segment = radius**2 * (angle - math.sin(angle)) / 2.0
            total += segment if sweep else -segment
        points.append((figures[-2], figures[-1]))
    for (x0, y0), (x1, y1) in zip(points, [*points[1:], points[0]], strict=True):
        total += (x0 * y1 - x1 * y0) / 2.0
    return abs(total)


@pytest.mark.parametrize("slug", [*profiles.shipped(), ""])
def test_the_picture_holds_the_metal_of_the_straps(slug: str) -> None:
    """Bending makes no metal: both walls seen from above are twice strap by wall, 2 l t."""
    told = HATCHET
    if slug:
        told = trials.piece_of(planned(slug)) | {"hand.neutral": "0.5", "hand.wrap": "0 mm"}
    raw, _ = flat.to_table(Piece, told)
    found = forecast.forecast(piece.read(raw))
    picture = trials.predict(told)["picture"]
    shapes = [each["d"] for each in picture["paths"] if each["purpose"] == "fill"]
    outlines = [each["d"] for each in picture["paths"] if each["purpose"] == "outline"]
    view = found.eye.view
    poll = view.poll_width * view.poll_thickness
    walls = sum(area_of(each) for each in shapes) - poll
    assert walls == pytest.approx(2.0 * found.strap.side * found.strap.wall, rel=1e-4)
    assert outlines[:-1] == shapes
    assert area_of(outlines[-1]) == pytest.approx(found.eye.eye.area, rel=1e-3)
    left, top, width, height = picture["box"]
    assert left <= 0.0
    assert left + width >= view.eye_front
    assert top == pytest.approx(-height / 2.0, abs=1e-3)
    assert height == pytest.approx(view.width, rel=0.2)


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("slug", profiles.shipped())
def test_a_head_and_back(slug: str, units: str) -> None:
    """Through texts to a ten-thousandth of an inch: the eye to 0.02 mm round, the mass to 0.2 g."""
    forge = planned(slug)
    raw, faults = flat.to_table(Piece, trials.piece_of(forge, units))
    assert faults == []
    found = forecast.forecast(piece.read(raw, units), units)
    assert found.perimeter.mid == pytest.approx(forge.head.eye.perimeter, abs=0.02)
    assert found.mass.mid == pytest.approx(forge.head.mass, abs=0.2)


def test_faults_of_a_piece_bear_its_keys() -> None:
    told = HATCHET | {"marks.poll": "5 in", "strap.wall": "thin", "bar.colour": "blue",
                      "hand.spread": "much"}  # fmt: skip
    with pytest.raises(BadInputError) as caught:
        trials.predict(told, "in", "1 in")
    assert set(keys_at_fault(caught.value)) == {"marks.poll", "strap.wall", "bar.colour",
                                                "hand.spread", "want"}  # fmt: skip
    with pytest.raises(BadInputError) as caught:
        trials.predict({})
    assert set(keys_at_fault(caught.value)) == {
        "bar.section", "bar.length", "marks.poll", "marks.shoulders",
    }  # fmt: skip
    with pytest.raises(BadInputError) as caught:  # an eye as long as wide is 1.96 in round
        trials.predict(HATCHET | {"eye.width": "5/8 in"}, "in", "1.9 in")
    assert keys_at_fault(caught.value) == ["want"]


def test_a_scale_that_was_learnt_is_not_doubted() -> None:
    told = HATCHET | {"allowances.scale_per_heat": "2 %"}
    sure, unsure = (
        next(row["text"] for row in trials.predict(told, learnt=learnt)["rows"]
             if row["label"] == "Head")
        for learnt in (True, False)
    )  # fmt: skip
    assert sure.split(";")[0] == unsure.split(";")[0]
    assert sure != unsure


# Bars --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["in", "mm"])
def test_choose_ranks_as_the_command_does(printed, units: str) -> None:
    found = trials.choose(profiles.load("belt-hatchet").design, units, path=RACK)
    lines = printed("choose", "belt-hatchet", "--rack", RACK, "--units", units)
    told = json.loads("\n".join(printed("choose", "belt-hatchet", "--rack", RACK, "--json")))
    able = [row for row in found["rows"] if row["can"]]
    others = [row for row in found["rows"] if not row["can"]]
    assert [row["name"] for row in able] == [each["bar"]["name"] for each in told["can"]]
    assert others
    for rank, row in enumerate(able, 1):
        figures = row["figures"]
        cells = [figures[key] for key in ("cut", "pieces", "all", "left", "waste", "cost")]
        line = next(line for line in lines if re.match(rf" *{rank}  ", line))
        assert line.split()[-1] == figures["cost"]
        assert re.sub(r" +", " ", line).endswith(" ".join(cells))
    text = " ".join(" ".join(lines).split())
    for row in others:
        assert row["why"]
        for why in row["why"]:
            assert " ".join(why.split()) in text
    json.dumps(found, allow_nan=False)


@pytest.mark.parametrize("source", ["rack", "sold"])
def test_a_bar_that_is_taken_gives_the_plan_that_was_promised(source: str) -> None:
    texts = head_texts("camp-axe")
    design = profiles.load("camp-axe").design
    found = trials.choose(design, path=RACK if source == "rack" else None)
    assert found["from"] == source
    able = [row for row in found["rows"] if row["can"]]
    assert len(able) > 3
    for row in able[:6]:
        raw, _ = flat.to_table(Design, texts | row["texts"])
        forge = blank.plan(profiles.read(raw, "x").design)
        assert not forge.stopped
        assert row["figures"]["cut"] == beside(forge, "cut", "in").partition(" (")[0]
    for row in found["rows"]:
        if not row["can"] and not row["figures"]:
            raw, _ = flat.to_table(Design, texts | row["texts"])
            with pytest.raises(BadInputError):
                blank.plan(profiles.read(raw, "x").design)


def test_without_a_rack_sizes_that_are_sold(tmp_path: Path) -> None:
    found = trials.choose(profiles.load("belt-hatchet").design)
    assert "commonly sold, not your own rack" in found["said"]
    sizes = [read_section(row["texts"]["bar.section"]) for row in found["rows"]]
    assert len(set(sizes)) == len(sizes) == trials.SOLD  # 3/8 x 1 1/4 in is one of them
    for thick, wide in sizes:
        assert any(abs(thick - each) < 1e-9 for each in INCH_THICKNESSES)
        assert any(abs(wide - each) < 1e-9 for each in INCH_WIDTHS)
        assert thick <= wide
    assert [row["own"] for row in found["rows"]].count(True) == 1
    assert all("waste" not in row["figures"] for row in found["rows"])
    own = planned("belt-hatchet", bar__section="0.4 x 1.27 in").design
    rows = trials.choose(own)["rows"]
    assert [row["texts"] for row in rows if row["own"]] == [{"bar.section": "0.4 x 1.27 in"}]


def test_a_rack_that_the_browser_sends_is_read_as_the_file() -> None:
    design = profiles.load("belt-hatchet").design
    by_file = trials.choose(design, path=RACK)
    by_text = trials.choose(design, path=RACK.parent / "none.csv", written=RACK.read_text("utf-8"))
    assert (by_file.pop("from"), by_text.pop("from")) == ("rack", "text")
    assert by_file.pop("said") != by_text.pop("said")
    assert by_file == by_text


def test_a_bar_is_taken_in_the_racks_own_words() -> None:
    """Section and steel as the file has them; a row without a steel leaves the head's alone."""
    lines = [line for line in RACK.read_text("utf-8").splitlines() if not line.startswith("#")]
    file = {row["name"]: row for row in csv.DictReader(lines) if row["name"]}
    rows = trials.choose(profiles.load("belt-hatchet").design, path=RACK)["rows"]
    seen = 0
    for row in rows:
        if row["name"] in file:
            told = file[row["name"]]
            steel = {"bar.steel": told["steel"]} if told["steel"] else {}
            assert row["texts"] == {"bar.section": told["section"]} | steel
            seen += 1
    assert seen > 5
    assert {len(row["texts"]) for row in rows} == {1, 2}


def test_faults_of_a_rack_are_the_files(tmp_path: Path) -> None:
    design = profiles.load("belt-hatchet").design
    bad = "section,length,price,currency\n5/4 x 1 in,2 in,3,EUR\n1/4 x 1 in,x,-1,USD\n"
    (tmp_path / "rack.csv").write_text(bad)
    with pytest.raises(BadInputError) as by_file:
        rack.load(tmp_path / "rack.csv")
    with pytest.raises(BadInputError) as by_text:
        trials.choose(design, written=bad)
    assert by_file.value.faults == by_text.value.faults
    assert len(by_text.value.faults) == 4
    for text in ("x" * (trials.LARGEST + 1), "section,length\n" + "1/4 x 1 in,9 in\n" * 201):
        with pytest.raises(BadInputError) as caught:
            trials.choose(design, written=text)
        assert keys_at_fault(caught.value) == ["rack"]


# Trial pieces ------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["in", "mm"])
def test_learn_says_what_the_command_prints(printed, units: str) -> None:
    found = trials.learn(trials.read_log(LOG), units)
    lines = printed("learn", LOG, "--units", units)
    cut = lines.index(found["bounds"])
    factors = found["rows"][:cut]
    assert [f"{row['label']:<20} {row['text']}" for row in factors] == lines[:cut]
    assert as_lines(found["rows"][cut:]) == lines[cut + 2 :]
    assert [each["text"] for each in found["factors"]] == [row["text"] for row in factors[1:]]
    json.dumps(found, allow_nan=False)


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_pattern_is_put_right_as_by_the_smiths_file(units: str) -> None:
    """Against the command's road: the file's factors, which have every figure, laid over the same
    table. The texts have fewer: marks and cut agree to 0.03 mm, a hundredth of the last fraction.
    """
    texts = head_texts("belt-hatchet")
    found = trials.learn(trials.read_log(LOG), units, texts)
    assert set(found["texts"]) == {"hand.spread", "hand.wrap", "allowances.scale_per_heat",
                                   "allowances.weld_loss"}  # fmt: skip
    raw, _ = flat.to_table(Design, texts | found["texts"])
    by_texts = blank.plan(profiles.read(raw, "x").design, units)
    table = overlay(flat.to_table(Design, texts)[0], smith_file(learn.learn(logbook.load(LOG))))
    by_file = blank.plan(profiles.read(table, "x").design, units)
    for one, other in ((by_texts.cut_length, by_file.cut_length),
                       (by_texts.shoulders, by_file.shoulders),
                       (by_texts.strap.divider, by_file.strap.divider)):  # fmt: skip
        assert one == pytest.approx(other, abs=0.03)
    before = blank.plan(profiles.load("belt-hatchet").design, units)
    rows = {row["name"]: row for row in found["figures"]}
    for name in ("cut", "poll", "shoulders", "dividers"):
        assert rows[name]["was"] == beside(before, name, units)
        assert rows[name]["now"] == beside(by_texts, name, units)
        assert rows[name]["moved"] == (rows[name]["was"] != rows[name]["now"])
    # the fire takes more than was assumed and the straps are to be longer: more bar
    assert by_texts.cut_length > before.cut_length + 1.0
    assert by_texts.strap.divider > before.strap.divider + 1.0
    assert not rows["poll"]["moved"]  # the poll is eye and walls, which no factor moves


def test_a_head_with_faults_has_no_figures(monkeypatch: pytest.MonkeyPatch) -> None:
    """As it is, or with factors that its schema does not take."""
    assert trials.learn([ENTRY])["figures"] == []
    found = trials.learn([ENTRY], "in", head_texts("belt-hatchet") | {"eye.length": "no"})
    assert found["figures"] == []
    assert [fault["field"] for fault in found["faults"]] == ["eye.length"]
    assert found["texts"]
    monkeypatch.setattr(trials, "factor_texts", lambda found, units: {"hand.wrap": "15.1 mm"})
    found = trials.learn([ENTRY], "in", head_texts("belt-hatchet"))
    assert found["figures"] == []
    assert [fault["field"] for fault in found["faults"]] == ["hand.wrap"]


def test_what_does_not_fit_is_told_by_its_place() -> None:
    """One eye 3/4 in too long among twelve alike."""
    told = ENTRY | {"eye_length": "1 7/8 in", "eye_width": "5/8 in"}
    pieces = [told | {"name": "" if i else "one"} for i in range(12)]
    pieces[7] = pieces[7] | {"eye_length": "2 5/8 in"}
    found = trials.learn(pieces)
    assert {(odd["piece"], odd["kind"]) for odd in found["misfits"]} == {(7, "eye")}
    assert found["misfits"][0]["text"].startswith("piece 8: its eye is")


def test_faults_of_pieces_bear_place_and_key() -> None:
    bad = ENTRY | {"wall": "thin", "poll": "5 in", "colour": "blue", "heats": "7.5"}
    with pytest.raises(BadInputError) as caught:
        trials.learn([ENTRY, bad])
    assert set(keys_at_fault(caught.value)) == {"1.wall", "1.poll", "1.colour", "1.heats"}
    with pytest.raises(BadInputError) as caught:
        trials.learn([])
    assert keys_at_fault(caught.value) == ["pieces"]


def test_texts_are_read_by_the_rules_of_the_file(tmp_path: Path) -> None:
    """Every fault of a file's row is one of the same piece told as texts, word for word."""
    wrong = [
        {"heats": "eight"}, {"wall": "thin"}, {"ears": "2 3/8"}, {"mass_out": "900 g"},
        {"shoulders": "9 in"}, {"poll": "4 1/2 in"}, {"wall": "1/2 in"}, {"ears": "5 in"},
        {"section": "2 x 1/2 in"}, {"mass_in": "1772 g"}, {"poll": ""}, {"length": "80 in"},
        {"drawn_right": "4 in"}, {"eye_length": "1 in", "eye_width": "2 in"}, {"fold": "closed"},
        {"drift_stretch": "20 %"}, {"edges": "FREE"}, {"welded": "No"},
    ]  # fmt: skip
    keys = [key for key, _ in specs(Entry)]
    for change in wrong:
        told = ENTRY | change
        path = tmp_path / "log.csv"
        path.write_text(",".join(keys) + "\n" + ",".join(told.get(key, "") for key in keys) + "\n")
        results: list[Any] = []
        for read, source in ((logbook.load, path), (logbook.of_texts, [told])):
            try:
                results.append([row.value for row in read(source)])
            except BadInputError as error:
                results.append([
                    dataclasses.replace(fault, field=re.sub(r"row \d+", "row", fault.field))
                    for fault in error.faults
                ])  # fmt: skip
        assert results[0] == results[1]


def test_a_log_with_units_in_its_headings_teaches_the_same(printed, tmp_path: Path) -> None:
    """The example's log with plain figures below headings that carry the units."""
    units = {"section": "in", "length": "in", "poll": "in", "shoulders": "in", "wall": "in",
             "drawn left": "in", "drawn right": "in", "ears": "in", "eye length": "in",
             "eye width": "in", "bite": "in", "mass in": "g", "mass out": "g",
             "bit mass": "g"}  # fmt: skip
    lines = [line for line in LOG.read_text("utf-8").splitlines() if not line.startswith("#")]
    path = tmp_path / "log.csv"
    heads, *rows = csv.reader(lines)
    with path.open("w", newline="") as file:
        write = csv.writer(file).writerow
        write(f"{head} [{units[head]}]" if head in units else head for head in heads)
        for row in rows:
            write(
                re.sub(r" (in|g)$", "", cell) if head in units else cell
                for head, cell in zip(heads, row, strict=True)
            )
    assert trials.read_log(path) == trials.read_log(LOG)
    assert " in," not in path.read_text()
    one, other = (trials.learn(trials.read_log(each)) for each in (path, LOG))
    assert one == other
    assert printed("learn", path) == printed("learn", LOG)


MEASURED = {
    "wall", "drawn_left", "drawn_right", "ears", "eye_length", "eye_width", "eye_perimeter",
    "eye_ratio", "heats", "bit_heats", "mass_in", "mass_out", "bit_mass", "note",
}  # fmt: skip


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("slug", profiles.shipped())
def test_a_heads_row_is_what_the_plan_lays_down(slug: str, units: str) -> None:
    forge = planned(slug, allowances__drift_stretch="2 %")
    told = trials.entry_of(forge, units)
    if not forge.fold.logged:
        assert told == {}
        return
    assert not MEASURED & set(told)
    (row,) = logbook.of_texts([told], units)
    entry: Entry = row.value
    half_mark = 25.4 / 128.0 + 1e-6 if units == "in" else 0.05 + 1e-6
    assert entry.section == pytest.approx(forge.design.bar.section)
    assert entry.length == pytest.approx(forge.cut_length, abs=half_mark)
    assert entry.poll == pytest.approx(forge.poll, abs=half_mark)
    assert entry.shoulders == pytest.approx(forge.shoulders, abs=half_mark)
    assert (entry.eye_form, entry.drift_stretch) == (forge.design.eye.form, 0.02)
    assert entry.bite == pytest.approx(forge.design.hand.bite, abs=0.003)
    assert entry.sides_forward == pytest.approx(forge.design.poll.sides_forward, abs=0.003)


def test_marks_are_logged_as_the_rule_has_them() -> None:
    told = trials.entry_of(planned("belt-hatchet", hand__finest="1/16"))
    sixteenths = [read_length(told[key]) / 25.4 * 16.0 for key in ("length", "shoulders")]
    assert sixteenths == pytest.approx([round(each) for each in sixteenths])


# The log's file ----------------------------------------------------------------------------------


def test_a_row_is_added_and_the_command_finds_it(printed, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(LOG.read_bytes())
    before = path.read_bytes()
    with pytest.raises(BadInputError) as caught:  # the example's log has no column for them
        trials.append(path, ENTRY | {"edges": "peened", "step": "1.4", "bite": "3/4 in"})
    assert keys_at_fault(caught.value) == ["step", "edges"]
    assert "add edges to the log's headings" in caught.value.faults[1].change
    assert path.read_bytes() == before
    told = trials.append(path, ENTRY | {"edges": "free", "note": 'a "good" one, hot'})
    assert (told["row"], told["new"], told["left"]) == (7, False, [])
    assert path.read_bytes().startswith(before)
    assert "5 pieces" in printed("learn", path)[0]
    assert "4 pieces" in printed("learn", path, "--without", "fifth")[0]
    assert trials.read_log(path)[-1] == ENTRY | {"note": 'a "good" one, hot'}
    told = trials.append(path, ENTRY | {"edges": "peened"}, leave_out=True)
    assert [each["key"] for each in told["left"]] == ["edges"]
    assert "no column for edges of the straps" in told["said"]
    assert "6 pieces" in printed("learn", path)[0]


@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_new_log_has_the_headings_of_an_empty_one(printed, units: str, tmp_path: Path) -> None:
    printed("learn", "--blank", tmp_path / "blank.csv", "--units", units)
    assert trials.read_log(tmp_path / "log.csv") == []
    assert trials.read_log(tmp_path / "blank.csv") == []
    for name in ("log.csv", "blank.csv"):
        told = trials.append(tmp_path / name, ENTRY, units)
        assert (told["row"], told["new"]) == (2, name == "log.csv")
    one, other = (tmp_path / name for name in ("log.csv", "blank.csv"))
    assert one.read_bytes() == other.read_bytes()
    assert "1 piece:" in printed("learn", one)[0]
    (found,) = logbook.load(one)
    (meant,) = logbook.of_texts([ENTRY])
    for key, _ in specs(Entry):
        wanted = getattr(meant.value, key)
        if isinstance(wanted, float):
            wanted = pytest.approx(wanted, rel=1e-6)
        assert getattr(found.value, key) == wanted


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("last", [True, False])
def test_the_file_stays_as_spreadsheets_write_it(
    separator: str, mark: str, end: str, last: bool, tmp_path: Path
) -> None:
    path = tmp_path / "log.csv"
    rows = ["section [mm],poll [mm],shoulders,wall [in],mass in [lb],note", "",
            "# a remark", "12.7 x 38.1,25,100 mm,1/4,1.7,x"]  # fmt: skip
    text = mark + end.join(rows).replace(",", separator) + (end if last else "")
    path.write_bytes(text.encode())
    told = {"section": "10 x 30 mm", "poll": "1 in", "shoulders": "3 3/8 in", "wall": "4.7625 mm",
            "mass_in": "680.388555 g", "note": "a,b;c"}  # fmt: skip
    assert trials.append(path, told)["row"] == 5
    added = path.read_bytes()[len(text.encode()) :].decode()
    assert added.startswith(end) is not last
    assert added.endswith(end)
    cells = added.strip().replace('"', "").replace("a,b;c", "").split(separator)
    assert cells[:5] == ["10 x 30", "25.4", "85.725 mm", "3/16", "1.5"]
    assert trials.read_log(path)[-1]["note"] == "a,b;c"


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\x89PNG\r\n\x1a\n\x00\xff",
        b'[bar]\nsection = "1/2 x 1 in"\n',
        b"section,poll,shoulders\n1/2 x 1 1/2 in,1 in,4\n",
        b'section,poll,shoulders,note\n1/2 x 1 1/2 in,1 in,4 in,"left open\n',
    ],
)
def test_a_file_that_is_no_log_is_left_alone(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(content)
    with pytest.raises(BadInputError) as caught:
        trials.append(path, ENTRY, leave_out=True)
    assert all(field.startswith("log") for field in keys_at_fault(caught.value))
    assert path.read_bytes() == content
    assert [each.name for each in tmp_path.iterdir()] == ["log.csv"]


def test_a_name_that_would_make_the_row_a_remark(tmp_path: Path) -> None:
    with pytest.raises(BadInputError) as caught:
        trials.append(tmp_path / "log.csv", ENTRY | {"name": "# 4"})
    assert keys_at_fault(caught.value) == ["name"]
    assert list(tmp_path.iterdir()) == []


def test_a_row_that_would_not_come_back_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Were a cell written wrong, the file would be read and told from what was meant."""
    cell = log_row._cell

    def slip(told: Any, entry: Any, heading: Any, *more: Any) -> str:
        return "6.5 mm" if heading.key == "wall" else cell(told, entry, heading, *more)

    monkeypatch.setattr(log_row, "_cell", slip)
    with pytest.raises(BadInputError, match="gives a row back as it was told"):
        trials.append(tmp_path / "log.csv", ENTRY, "mm")
    assert list(tmp_path.iterdir()) == []


def test_a_piece_at_fault_is_not_written(tmp_path: Path) -> None:
    with pytest.raises(BadInputError) as caught:
        trials.append(tmp_path / "log.csv", ENTRY | {"poll": "5 in", "wall": "thin", "x": "1"})
    assert set(keys_at_fault(caught.value)) == {"poll", "wall", "x"}
    assert list(tmp_path.iterdir()) == []


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real = tmp_path / "far" / "log.csv"
    real.parent.mkdir()
    real.write_bytes(LOG.read_bytes())
    (tmp_path / "log.csv").symlink_to(real)
    trials.append(tmp_path / "log.csv", ENTRY)
    assert (tmp_path / "log.csv").is_symlink()
    assert len(logbook.load(real)) == 5


def test_a_file_that_changes_meanwhile_loses_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another program adds a row while this one is made: refused, and both may come again."""
    path = tmp_path / "log.csv"
    path.write_bytes(LOG.read_bytes())
    made = log_row.with_row

    def meanwhile(*told: Any, **more: Any) -> Any:
        found = made(*told, **more)
        path.write_bytes(made(path.read_bytes(), ENTRY | {"name": "theirs"}).content)
        return found

    monkeypatch.setattr(log_row, "with_row", meanwhile)
    with pytest.raises(BadInputError, match="another program"):
        trials.append(path, ENTRY)
    assert [row.value.name for row in logbook.load(path)][-1] == "theirs"


def test_two_windows_add_one_after_the_other(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    names = [f"piece {i}" for i in range(12)]
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda name: trials.append(path, ENTRY | {"name": name}), names))
    assert sorted(row.value.name for row in logbook.load(path)) == sorted(names)


def test_a_folder_that_is_not_there_is_made_or_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(BadInputError) as caught:
        trials.append(tmp_path / "file" / "log.csv", ENTRY)
    assert keys_at_fault(caught.value) == ["log"]


SIXTY_FOURTHS = st.integers(1, 400).map(lambda n: f"{n}/64 in")
TENTHS = st.integers(15, 2000).map(lambda n: f"{n / 10:g} mm")
HEADINGS = st.lists(st.sampled_from(["", " [in]", " [mm]", " (cm)"]), min_size=6, max_size=6)


@settings(max_examples=60, derandomize=True)
@given(
    told=st.fixed_dictionaries(
        {"section": st.sampled_from(["1/2 x 1 1/2 in", "12 x 40 mm", '3/8 x 1 1/4"'])},
        optional={
            "wall": st.sampled_from(["3/16 in", "4.9 mm", "0.21 in", '3/16"', "0.5 cm"]),
            "length": SIXTY_FOURTHS | TENTHS,
            "eye_perimeter": SIXTY_FOURTHS | TENTHS,
            "name": st.text(max_size=12),
            "note": st.text(alphabet="ab,;\"' #\t=", max_size=12),
            "heats": st.integers(-1, 20).map(str),
        },
    ),
    units=HEADINGS,
    order=st.permutations(["section", "wall", "length", "eye_perimeter", "poll", "shoulders",
                           "name", "note", "heats"]),
    separator=st.sampled_from(",;\t"),
)  # fmt: skip
def test_any_piece_comes_back_as_it_was_told(
    told: dict[str, str], units: list[str], order: list[str], separator: str
) -> None:
    told = {"poll": "1 in", "shoulders": "3.9 in"} | told
    of = dict(
        zip(("section", "wall", "length", "eye_perimeter", "poll", "shoulders"), units, strict=True)
    )
    file = separator.join(key.replace("_", " ") + of.get(key, "") for key in order).encode() + b"\n"
    try:
        (meant,) = logbook.of_texts([told])
        added = log_row.with_row(file, told)
    except BadInputError:
        return
    assert added.content.startswith(file)
    (found,) = logbook.read(added.content.decode())
    for key, _ in specs(Entry):
        one, other = getattr(found.value, key), getattr(meant.value, key)
        assert one == (
            pytest.approx(other, rel=1e-6) if isinstance(other, float | tuple) else other
        )


# Anything at all ---------------------------------------------------------------------------------

SAID = st.text(max_size=12) | st.text(alphabet='0123456789 ./-+xinmc"%[]{}="\n', max_size=14)
MIXED = st.one_of(SAID, st.none(), st.booleans(), st.floats(), st.integers(), st.lists(SAID))


def _appended(file: str | None, entry: Any) -> Any:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        if file is not None:
            path.write_bytes(file.encode("utf-8", "replace"))
        return trials.append(path, entry)


def keys_of(owner: type) -> st.SearchStrategy[str]:
    return st.sampled_from([key for key, _ in specs(owner)]) | st.text(max_size=8)


@settings(max_examples=80, derandomize=True)
@given(
    st.dictionaries(keys_of(Piece), MIXED, max_size=5) | MIXED,
    st.dictionaries(keys_of(Entry), MIXED, max_size=5) | MIXED,
    SAID,
    st.booleans(),
)
@example({"eye.width": "\ud800", "a\nb": "\x00"}, {"name": "\ud800"}, "\ud800", True)
def test_whatever_is_sent_is_answered_or_a_fault(
    told: Any, entry: Any, text: str, sound: bool
) -> None:
    """And every answer and fault can be written as JSON in UTF-8."""
    if sound and isinstance(told, dict) and isinstance(entry, dict):
        told, entry = HATCHET | told, ENTRY | entry
    design = profiles.load("tomahawk").design
    for ask in (
        lambda: trials.predict(told, "in", text),
        lambda: trials.learn([ENTRY, entry], "mm", {"eye.length": text}),
        lambda: trials.choose(design, written=f"section,length\n{text}"),
        lambda: _appended(None, entry),
        lambda: _appended(text, ENTRY),
    ):
        try:
            found = ask()
        except BadInputError as error:
            found = [dataclasses.asdict(fault) for fault in error.faults]
            assert found
        json.dumps(found, ensure_ascii=False, allow_nan=False).encode()


@pytest.mark.parametrize(
    ("owner", "groups"), [(Piece, trials.PIECE_GROUPS), (Entry, trials.ENTRY_GROUPS)]
)
def test_every_field_stands_in_one_group(owner: type, groups: Any) -> None:
    for key, _ in specs(owner):
        held = [
            group.name for group in groups
            if any(key == each or key.startswith(f"{each}.") for each in group.holds)
        ]  # fmt: skip
        assert len(held) == 1, (key, held)
