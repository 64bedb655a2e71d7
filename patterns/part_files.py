"""The files of a set of parts to cut: each part's DXF, their list, and the note for the cutter."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from . import cut_set, processes, report, shop_note
from .blank import ForgePlan
from .errors import NotFitToCutError
from .templates import NAMES, USUAL, Template, Way, templates
from .to_cut import Style, file_name
from .writers import dxf


@dataclass(frozen=True)
class PartFile:
    """A part as a file: its name, bytes, and the kerf that its contours allow for [mm]."""

    template: Template
    name: str
    content: bytes
    kerf: float


@dataclass(frozen=True)
class PartFiles:
    """The parts that were made, every file of their set by name, and what was not made and why.

    Where no part could be made there are no files. ``missing`` has a part's name as often as there
    are faults of it.
    """

    made: tuple[PartFile, ...]
    files: dict[str, bytes]
    missing: tuple[tuple[str, str], ...] = ()


def part_files(
    forge: ForgePlan, way: Way, style: Style, names: Collection[str] | None = None, *,
    kerf: float | None = None, usual_lead: bool = False,
    watch: Callable[[str], None] = lambda doing: None,
) -> PartFiles:  # fmt: skip
    """Every file of a head's parts to cut.

    Parameters
    ----------
    forge : the plan
    way : how the parts are cut, and the units that they are lettered in
    style : how the files are written; its kerf and lead are those of the way's sheet
    names : of :data:`templates.NAMES`; the usual parts if none are named
    kerf : the width of cut of one's own machine [mm], in every stock
    usual_lead : the style's lead is the process's usual one, which goes with the stock
    watch : is told each part that is worked out, by name, then each file that is written
    """
    wanted = USUAL if names is None else names
    found, missing = list[Template](), list[tuple[str, str]]()
    for name in [name for name in NAMES if name in wanted]:
        watch(name)
        some = templates(forge, way, [name])
        found += some.made
        missing += [(name, str(fault)) for faults in some.refused.values() for fault in faults]
    made = []
    for template in found:
        own = _own_style(style, template, way, kerf, usual_lead)
        file = file_name(template.name, way.units, own)
        watch(file)
        try:
            content = dxf.write(template.drawing(), way.units, own)
        except NotFitToCutError as error:
            missing.append((template.name, str(error)))
        else:
            made.append(PartFile(template, file, content, own.kerf))
    files = _files(made, forge, way, style) if made else {}
    return PartFiles(tuple(made), files, tuple(missing))


def _own_style(
    style: Style, template: Template, way: Way, kerf: float | None, usual_lead: bool
) -> Style:  # fmt: skip
    """The style of a part: kerf and usual lead go with the thickness of its own stock."""
    rules = way.rules
    if template.sawn or template.thickness == rules.thickness:
        return style
    own = processes.rules(rules.process, template.thickness, kerf=kerf)
    return replace(style, kerf=own.kerf if style.kerf else 0.0,
                   lead=own.lead if usual_lead else style.lead)  # fmt: skip


def _files(
    made: Sequence[PartFile], forge: ForgePlan, way: Way, style: Style
) -> dict[str, bytes]:  # fmt: skip
    """Every file of the set: the parts, their list and the note."""
    head, revision = forge.design.name, report.revision(forge.design)
    items = tuple(
        cut_set.Item(
            one.name, one.template.title, 1, "" if one.template.sawn else way.rules.process,
            one.template.thickness, one.template.stock, one.template.along, one.kerf,
        )
        for one in made
    )  # fmt: skip
    lines = shop_note.note(
        head, revision, [one.template for one in made], [one.name for one in made], way, style,
        [one.kerf for one in made],
    )  # fmt: skip
    return {
        **{one.name: one.content for one in made},
        cut_set.NAME: cut_set.as_json(cut_set.CutSet(head, revision, items, style.layers)),
        shop_note.NAME: ("\n".join(lines) + "\n").encode(),
    }
