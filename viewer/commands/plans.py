"""earshed plans: the reflected ceiling plan and the wall elevations, dimensioned and to a true scale."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from pathlib import Path
from types import ModuleType
from typing import Any

import click

from earshed.model.ruler import Ruler
from earshed.model.scene_file.read import read_scene
from earshed.viewer.output import OutputError, file_names, make_folder, print_json, refuse_existing, write_bytes
from earshed.viewer.session import SceneCommand, end, printed_date, scene_options
from earshed.viewer.sheets.files import pdf_of, svg_of
from earshed.viewer.sheets.options import chosen_scale, printed_in, sheet_options
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.sheets.plans import PlanOptions, plan_sheets
from earshed.viewer.sheets.sheet import Sheet
from earshed.viewer.sheets.title_block import stamp

KINDS = (".pdf", ".svg", ".dxf")


@click.command("plans", cls=SceneCommand)
@scene_options
@click.option("--out", metavar="FILE", required=True, type=click.Path(path_type=Path), help="A .pdf, .svg or .dxf.")
@click.option("--scale", metavar="S", help="1:25, 1/4in (to the foot) and the like; else the largest that fits.")
@click.option("--sheet", "which", metavar="NAME", default="all", help="ceiling, walls, all, or a wall's name.")
@sheet_options
def command(scene: Path, scheme: str | None, as_json: bool, out: Path, force: bool, on: Any, **asked: Any) -> None:
    """Draw the reflected ceiling plan and the elevations of the walls, dimensioned, to a scale a ruler can check.

    A PDF has a page for each sheet; an SVG is one file for each; a DXF has all of them at full size.
    """
    if out.suffix.lower() not in KINDS:
        raise OutputError(f"{out}: plans are written as {', '.join(KINDS[:-1])} or {KINDS[-1]}")
    room, ruler = printed_in(read_scene(scene, scheme), asked["step"])
    options = _options(ruler, asked)
    date = printed_date(on)
    told: list[dict[str, str | None]] = []
    if out.suffix.lower() == ".dxf":
        if options.scale or options.paper:
            raise OutputError(f"{out}: a DXF is drawn at full size, on no paper; leave out --scale and --paper")
        refuse_existing([out], force=force)
        dxf = _dxf_writer(out)
        files = {out: dxf.dxf_of(room, options, date)}
        told = [{"title": title, "scale": "1:1", "paper": None} for title in dxf.titles(room, options)]
    else:
        sheets = plan_sheets(room, options)
        stamp(list(sheets.values()), room, date)
        places = _places(out, sheets)
        refuse_existing(places.values(), force=force)
        if out.suffix.lower() == ".pdf":
            files = {out: pdf_of(list(sheets.values()), room.title)}
        else:
            files = {places[name]: svg_of(sheet, room.title) for name, sheet in sheets.items()}
        told = [{"title": one.title, "scale": one.scale.removeprefix("scale "), "paper": one.paper.name}
                for one in sheets.values()]  # fmt: skip
    make_folder(out.parent)
    for path, content in files.items():
        write_bytes(path, content)
    if as_json:
        print_json({"written": [str(path) for path in files], "sheets": told})
    else:
        for one in told:
            click.echo(f"{one['title']}: {one['scale']}" + (f" on {one['paper']}" if one["paper"] else ""))
        for path in files:
            click.echo(f"wrote {path}")
    end([])


def _dxf_writer(out: Path) -> ModuleType:
    """What writes a DXF, loaded for that alone. Raises OutputError where its library is not installed."""
    try:
        return importlib.import_module("earshed.viewer.sheets.dxf_file")
    except ModuleNotFoundError as error:
        if error.name != "ezdxf":
            raise
        raise OutputError(f"{out}: a DXF needs the library ezdxf: pip install 'earshed[dxf]'") from None


def _options(ruler: Ruler, asked: Mapping[str, Any]) -> PlanOptions:
    paper = PAPERS[asked["paper"]] if asked["paper"] else None
    return PlanOptions(chosen_scale(asked["scale"]), paper, asked["which"], ruler)


def _places(out: Path, sheets: Mapping[str, Sheet]) -> dict[str, Path]:
    """The file of each sheet: the one asked for, or as an SVG one each, named after the sheet, if there are several."""
    if out.suffix.lower() != ".svg" or len(sheets) == 1:
        return dict.fromkeys(sheets, out)
    return {name: out.with_name(f"{out.stem}-{stem}{out.suffix}") for name, stem in file_names(sheets).items()}
