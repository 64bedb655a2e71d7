"""Files of rows: what is read, and every fault by its row and column."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.errors import BadInputError
from patterns.rows import read_rows, row_fault, rows
from patterns.schema import (
    choice_field,
    count_field,
    length_field,
    mass_field,
    number_field,
    percent_field,
    section_field,
    text_field,
)

INCH = 25.4


@dataclass(frozen=True, kw_only=True)
class Trial:
    """A row with one column of every kind."""

    name: str = text_field("Name", 20, "what it is called", "")
    section: tuple[float, float] = section_field("Section", "1 mm", "100 mm", "of the bar")
    wall: float | None = length_field("Wall", "1 mm", "20 mm", "of the eye")
    drawn_left: float | None = length_field("Left", "1 mm", "400 mm", "as drawn")
    heats: int | None = count_field("Heats", 0, 60, "of the bar")
    ratio: float | None = number_field("Ratio", 1.0, 6.0, "of the eye")
    loss: float | None = percent_field("Loss", 0, 6, "in a heat")
    mass: float | None = mass_field("Mass", "1 g", "20 kg", "as weighed")
    form: str | None = choice_field("Form", ("round", "oval"), "of the eye")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "log.csv"


def faults(file: Path, text: str | bytes, most: int = 100) -> list[str]:
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(BadInputError) as caught:
        rows(Trial, file, "log", "in", most)
    return [str(fault) for fault in caught.value.faults]


def read(file: Path, text: str | bytes, **options: bool) -> list[Trial]:
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return [row.value for row in rows(Trial, file, "log", **options)]


# What is read ------------------------------------------------------------------------------------


def test_one_of_every_kind(file: Path) -> None:
    (one,) = read(
        file,
        "name,section,wall,drawn_left,heats,ratio,loss,mass,form\n"
        'first,1/2 x 1 1/2 in,3/16 in,"1 3/4""",7,2.5,1.5 %,1 lb 8 oz,Round\n',
    )
    assert one == Trial(
        name="first", section=(12.7, 38.1), wall=4.7625, drawn_left=44.45, heats=7, ratio=2.5,
        loss=0.015, mass=24 * 28.349523125, form="round",
    )  # fmt: skip


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_as_spreadsheets_write_it(file: Path, separator: str, mark: str, end: str) -> None:
    lines = [["Drawn-Left [in]", "Section (mm)", "NAME"], ["1 1/2", "12 x 40", "a"], ["", "6 x 30"]]
    text = mark + end.join(separator.join(line) for line in lines) + end
    one, two = read(file, text)
    assert (one.drawn_left, one.section, one.name) == (38.1, (12.0, 40.0), "a")
    assert (two.drawn_left, two.section, two.name) == (None, (6.0, 30.0), "")


def test_rows_keep_the_numbers_of_the_file(file: Path) -> None:
    """As a spreadsheet counts them: blank rows, remarks and cells of two lines count too."""
    file.write_text(
        "# a remark\nname,section\n\n# another, with a comma\n"
        'a,6 x 30 mm\n"b\nb",6 x 30 mm\n,,\nc,6 x 30 mm\n'
    )
    found = read_rows(Trial, file, "log")
    assert [(row.line, row.value.name) for row in found.rows if row.value.name != "?"] == [
        (5, "a"), (6, ""), (9, "c"),
    ]  # fmt: skip
    assert [f.field for f in found.faults] == ["log row 6, name"]  # a line break in a name


def test_what_was_given_is_known(file: Path) -> None:
    file.write_text("section,wall,heats\n6 x 30 mm,,3\n")
    (row,) = rows(Trial, file, "log")
    assert row.given == {"section", "heats"}


lengths = st.integers(3, 64 * 15).map(lambda n: f"{n}/64 in")


@settings(max_examples=40, deadline=None)
@given(st.lists(lengths, min_size=1, max_size=8), st.sampled_from(",;\t"))
def test_what_the_csv_module_writes_is_read(
    tmp_path_factory: pytest.TempPathFactory, given: list[str], separator: str
) -> None:
    out, mark = io.StringIO(newline=""), separator.strip() or "tab"
    writer = csv.writer(out, delimiter=separator)
    writer.writerow(["section", "drawn_left", "name"])
    for i, length in enumerate(given):
        writer.writerow(["6 x 30 mm", length, f'no. {i}, "{mark}"'])
    file = tmp_path_factory.mktemp("rows") / "log.csv"
    found = read(file, out.getvalue())
    # 1/64 in is 0.396875 mm exactly
    wanted = [int(length.partition("/")[0]) * 0.396875 for length in given]
    assert [row.drawn_left for row in found] == pytest.approx(wanted)
    assert [row.name for row in found] == [
        f'no. {i}, "{mark}"' for i in range(len(given))
    ]  # fmt: skip


# What is refused ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "says"),
    [
        ("wall|3/16", "log row 2, wall: given '3/16'"),
        ("wall|2 in", "log row 2, wall: given '2 in'"),
        ("wall|thin", "log row 2, wall: given 'thin'"),
        ("wall|two feet", "log row 2, wall: given 'two feet'"),
        ("heats|-1", "log row 2, heats: given '-1'"),
        ("heats|seven", "log row 2, heats: given 'seven'"),
        ("heats|2.5", "log row 2, heats: given '2.5'"),
        ("ratio|nan", "log row 2, ratio: given 'nan'"),
        ("ratio|9", "log row 2, ratio: given '9'"),
        ("loss|50 %", "log row 2, loss: given '50 %'"),
        ("mass|680", "log row 2, mass: given '680'"),
        ("form|square", "log row 2, form: given 'square'"),
        ("section|1/2 in", "log row 2, section: given '1/2 in'"),
        ("section|", "log row 2, section: given nothing"),
    ],
)
def test_a_cell_at_fault(file: Path, cell: str, says: str) -> None:
    name, text = cell.split("|")
    heading = name if name == "section" else f"section,{name}"
    first = "" if name == "section" else "6 x 30 mm,"
    (one,) = faults(file, f"{heading},name\n{first}{text},x\n")
    assert one.startswith(says)
    assert "allowed: " in one


def test_every_fault_at_once(file: Path) -> None:
    found = faults(
        file, "section,wall,heat\n6 x 30 mm,3/16 in,2\nsix,4.8 mm\n6 x 30 mm,1 in,,extra,\n"
    )
    assert [f.partition(": ")[0] for f in found] == [
        "log row 1, headings", "log row 3, section", "log row 3, wall", "log row 4",
        "log row 4, wall",
    ]  # fmt: skip
    assert "did you mean heats?" in found[0]


@pytest.mark.parametrize(
    ("heading", "cells", "kept"),
    [
        ("wall", ["3/16 in", "4.8 mm"], "in, as in row 2"),
        ("wall", ["4.8 mm", "0.48 cm"], "mm, as in row 2"),
        ("wall [in]", ["3/16", "4.8 mm"], "in, as in row 1"),
        ("mass", ["680 g", "1 lb"], "g, as in row 2"),
        ("mass", ["1 lb 8 oz", "680 g"], "lb, as in row 2"),
    ],
)
def test_a_unit_that_changes(file: Path, heading: str, cells: list[str], kept: str) -> None:
    text = f"section,{heading}\n" + "".join(f"6 x 30 mm,{cell}\n" for cell in cells)
    (one,) = faults(file, text)
    name = heading.partition(" ")[0]
    assert one.startswith(f"log row 3, {name}: given '{cells[1]}'; allowed: {kept}")
    if name == "wall" and "[" not in heading:
        assert len(read(file, text, one_unit=False)) == 2


def test_a_word_is_no_unit(file: Path) -> None:
    """It is told that it is no length, not that it changes the unit."""
    (one,) = faults(file, "section,wall\n6 x 30 mm,3/16 in\n6 x 30 mm,two feet\n")
    assert "write a number and its unit" in one


def test_sections_may_be_sold_in_either_unit(file: Path) -> None:
    assert len(read(file, "section\n6 x 30 mm\n1/2 x 1 1/2 in\n")) == 2


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "no rows"),
        ("\n\n# nothing\n", "no rows"),
        ("section,wall\n", "headings and no row"),
        ("wall\n3 mm\n", "a column section"),
        ("section,section\n6 x 30 mm,\n", "section twice"),
        ("section,,wall\n6 x 30 mm,,\n", "given none"),
        ("section [kg]\n6 x 30\n", "one of in, mm, cm"),
        ("section,name [in]\n6 x 30 mm,x\n", "no unit"),
        (b"section\n\xff\xfe\n", "not text in UTF-8"),
        ("section\n" + "6 x 30 mm\n" * 101, "101 rows"),
        ('section,name\n6 x 30 mm,"' + "x" * 200_000 + '"\n', "cannot be read"),
    ],
)
def test_a_file_at_fault(file: Path, text: str | bytes, says: str) -> None:
    assert any(says in fault for fault in faults(file, text))


def test_far_too_many_rows_are_told_before_they_are_read(file: Path) -> None:
    (one,) = faults(file, "section\n" + "nonsense\n" * 100_000)
    assert "100,001 rows" in one or "100,000 rows" in one


def test_there_is_no_such_file(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path, tmp_path / ("x" * 300)):
        with pytest.raises(BadInputError, match="log: "):
            rows(Trial, path, "log")


def test_a_fault_of_ones_own_is_named_alike(file: Path) -> None:
    assert row_fault("log", 7, "drawn_left", "a", "b", "c").field == "log row 7, drawn left"


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200) | st.binary(max_size=200).map(lambda b: b.decode("latin-1")))
def test_nothing_breaks_it(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    file = tmp_path_factory.mktemp("rows") / "log.csv"
    file.write_text("section,wall\n" + text, encoding="utf-8", errors="replace")
    try:
        rows(Trial, file, "log")
    except BadInputError as error:
        stray = [fault.field for fault in error.faults if not fault.field.startswith("log")]
        if stray:
            pytest.fail(f"faults of no file: {stray}")
