"""PDF at true size, one page for each sheet of paper.

Each drawing's lines are turned into PDF once and placed on its sheets, moved and never scaled;
lettering is drawn in strokes of its own. Behind it stands the same text, unseen, so that figures
can be searched for and copied.

Only a page with a printer's correction is stretched, by that printer's two factors, so that it
comes out at true size. Printers feed a lying page turned, and the paper's two directions would
change places; so such a page is always written upright, what lies is turned a quarter on it, and
no ``/Rotate`` is left to the viewer.
"""

from __future__ import annotations

import io
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from ..contour import Bounds, Contour
from ..drawing import Drawing, Label, Purpose
from ..errors import MissingLibraryError
from ..pages import Page
from ..units import MM_PER_INCH
from .common import DASHES, PENS, clean, eighths, number, path, pen

POINT = 72.0 / MM_PER_INCH
"""Points in a millimetre; a point is 1/72 in (ISO 32000)."""

NO_CAIRO = """\
PDF needs the cairo library, which is not on this machine. To put it there:
  Debian, Ubuntu:  sudo apt install libcairo2
  Fedora:          sudo dnf install cairo
  macOS:           brew install cairo
  Windows:         install MSYS2, then: pacman -S mingw-w64-ucrt-x86_64-cairo
                   and add its bin folder (C:\\msys64\\ucrt64\\bin) to PATH
SVG and DXF do not need it."""

_EDGE = 2.0  # room round the art for the pen [mm]
_COURIER_CAPITAL = 0.562  # height of Courier's capitals, of its size (its published metrics)
_COURIER_ADVANCE = 0.6  # advance of every sign of Courier, of its size


def _art(drawing: Drawing, box: Bounds) -> bytes:
    """The drawing's lines as a compact SVG of its own: one path for each kind of line."""
    lines: dict[tuple[Purpose, bool], list[str]] = defaultdict(list)
    for stroke in drawing.strokes:
        data = path(stroke.contour, -box.left, box.top)
        lines[stroke.purpose, stroke.filled].append(data)
    width, height = number(box.width), number(box.height)
    found = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
        f' viewBox="0 0 {width} {height}">'
    ]
    for (purpose, filled), data_list in lines.items():
        look = 'fill="#000"' if filled else (
            f'fill="none" stroke="#000" stroke-linejoin="round" stroke-width="{PENS[purpose]}"'
        )  # fmt: skip
        if purpose in DASHES and not filled:
            look += f' stroke-dasharray="{" ".join(map(number, DASHES[purpose]))}"'
        found += [f'<path {look} d="{data}"/>' for data in data_list] if filled else [
            f'<path {look} d="{"".join(data_list)}"/>'
        ]  # fmt: skip
    found.append("</svg>")
    return "".join(found).encode()


def _figure(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")


def _numbers(*values: float) -> str:
    return " ".join(map(_figure, values))


def _outline(contour: Contour, filled: bool = False) -> Iterator[str]:
    """Path operators of a contour; arcs as one Bezier for 45 degrees or less.

    A filled shape is written with Beziers all round, straight ones too: some viewers, and the
    browsers that print with their engines, grow a plain upright rectangle to whole dots, which
    would make a check bar too long.
    """
    first = contour.vertices[0]
    yield f"{_numbers(first.x, first.y)} m"
    for whole in contour.pieces:
        for piece in eighths(whole):
            if piece.bulge == 0.0:
                end = _numbers(piece.x1, piece.y1)
                yield (
                    f"{_numbers(*piece.at(1 / 3), *piece.at(2 / 3))} {end} c"
                    if filled
                    else (f"{end} l")
                )
                continue
            reach = 4.0 / 3.0 * math.tan(abs(piece.sweep) / 4.0) * piece.radius
            start, last = piece.angle_at(0.0), piece.angle_at(1.0)
            ends = _numbers(
                piece.x0 + reach * math.cos(start),
                piece.y0 + reach * math.sin(start),
                piece.x1 - reach * math.cos(last),
                piece.y1 - reach * math.sin(last),
                piece.x1,
                piece.y1,
            )
            yield f"{ends} c"
    if contour.closed:
        yield "h"


def _furniture(drawing: Drawing) -> Iterator[str]:
    """The furniture as page operators, in millimetres."""
    for stroke in drawing.strokes:
        if stroke.filled:
            yield from _outline(stroke.contour, filled=True)
            yield "f"
            continue
        dashes = DASHES.get(stroke.purpose, ())
        yield f"{_figure(PENS[stroke.purpose])} w [{_numbers(*dashes)}] 0 d"
        yield from _outline(stroke.contour)
        yield "S"
    yield from _lettering(drawing.labels)


def _lettering(labels: Iterable[Label]) -> Iterator[str]:
    """Lettering as operators, in millimetres: far more points than all lines together, so that it
    does not go through SVG."""
    yield "1 J 1 j [] 0 d"
    for label in labels:
        yield f"{_figure(pen(label))} w"
        for run in label.strokes:
            yield " l\n".join([f"{x:.3f} {y:.3f}" for x, y in run]).replace(" l", " m", 1) + " l"
        yield "S"


def _text(labels: Iterable[Label], dx: float, dy: float, window: Bounds | None) -> Iterator[str]:
    """The labels as unseen text that covers the drawn one, in millimetres."""
    for label in labels:
        box = label.outline()
        middle = box.bounds
        if window is not None and not (
            window.left <= (middle.left + middle.right) / 2.0 <= window.right
            and window.bottom <= (middle.bottom + middle.top) / 2.0 <= window.top
        ):
            continue
        width = max(box.pieces[0].length, 0.1 * label.height)  # an I alone has none
        text = label.text.replace("′", "'").replace("″", '"').replace("−", "-")
        raw = text.encode("cp1252", "replace")
        if not raw.strip():
            continue
        angle = math.radians(label.angle)
        c, s = math.cos(angle), math.sin(angle)
        x, y = label.start
        size = label.height / _COURIER_CAPITAL
        stretch = 100.0 * width / (len(raw) * _COURIER_ADVANCE * size)
        place = _numbers(c, s, -s, c, x + dx, y + dy)
        yield f"BT 3 Tr /F {_figure(size)} Tf {_figure(stretch)} Tz {place} Tm <{raw.hex()}> Tj ET"


def _corrected(page: Page) -> Iterator[str]:
    """What turns and stretches all that follows, drawing, furniture and unseen text alike."""
    if page.correction is not None:
        *turn, dx, dy = page.to_paper
        yield f"{' '.join(f'{part:.10f}' for part in turn)} {_numbers(dx * POINT, dy * POINT)} cm"


def write(sheets: Sequence[tuple[Drawing, Sequence[Page]]], title: str) -> bytes:
    """All sheets of all drawings as one PDF; the same input gives the same bytes.

    The file asks to be printed at actual size, on paper chosen by the size of its pages. A page
    with a correction is as large as the real paper.

    Raises
    ------
    MissingLibraryError
        Where the cairo library is missing; the message says how to put it there.
    ValueError
        For a label that cannot be set.
    """
    try:
        import cairosvg
    except OSError as error:  # cairocffi found no library to load
        raise MissingLibraryError(NO_CAIRO) from error
    import pikepdf
    from pikepdf import Array, Dictionary, Name

    pdf = pikepdf.new()
    font = pdf.make_indirect(
        Dictionary(
            Type=Name.Font,
            Subtype=Name.Type1,
            BaseFont=Name.Courier,
            Encoding=Name.WinAnsiEncoding,
        )
    )
    for drawing, pages in sheets:
        box = drawing.bounds.grown(_EDGE)
        with pikepdf.open(io.BytesIO(cairosvg.svg2pdf(bytestring=_art(drawing, box)))) as made:
            art = pdf.copy_foreign(made.pages[0].as_form_xobject())
        words = pdf.make_stream(
            "\n".join(_lettering(drawing.labels)).encode("ascii"),
            Type=Name.XObject, Subtype=Name.Form,
            BBox=Array([box.left, box.bottom, box.right, box.top]),
        )  # fmt: skip
        for page in pages:
            width, height = (round(side * POINT, 5) for side in page.on_paper)
            sheet = pdf.add_blank_page(page_size=(width, height))
            clip = ""
            if page.tiled:
                window = page.window.grown(max(PENS.values()))
                clip = (
                    _numbers(
                        (window.left + page.dx) * POINT,
                        (window.bottom + page.dy) * POINT,
                        window.width * POINT,
                        window.height * POINT,
                    )
                    + " re W n "
                )
            at = _numbers((box.left + page.dx) * POINT, (box.bottom + page.dy) * POINT)
            scale = f"{POINT:.10f} 0 0 {POINT:.10f} 0 0 cm"
            content = [
                *_corrected(page),
                f"q {scale}",
                *_furniture(page.furniture),
                "Q",
                f"q {clip}1 0 0 1 {at} cm /Art Do Q",
                f"q {clip}{scale} 1 0 0 1 {_numbers(page.dx, page.dy)} cm /Words Do Q",
                f"q {scale}",
                *_text(page.furniture.labels, 0.0, 0.0, None),
                *_text(drawing.labels, page.dx, page.dy, page.window if page.tiled else None),
                "Q",
            ]
            sheet.obj.Contents = pdf.make_stream("\n".join(content).encode("ascii"))
            sheet.obj.Resources = Dictionary(
                XObject=Dictionary(Art=art, Words=words), Font=Dictionary(F=font)
            )
    pdf.Root.ViewerPreferences = Dictionary(
        PrintScaling=Name("/None"),
        PickTrayByPDFSize=True,
        DisplayDocTitle=True,
        Enforce=Array([Name.PrintScaling]),
    )
    pdf.docinfo[Name.Title] = clean(title)
    out = io.BytesIO()
    pdf.save(out, min_version="1.7", deterministic_id=True, compress_streams=True)
    return out.getvalue()
