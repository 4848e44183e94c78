"""Options that commands share that write sheets."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

import click

from earshed.model.ruler import STEPS, Ruler, ruler_of
from earshed.model.scene import Scene
from earshed.viewer.output import OutputError, make_folder, refuse_existing
from earshed.viewer.session import printed_date
from earshed.viewer.sheets.paper_size import PAPERS, PaperSize
from earshed.viewer.sheets.trade_scale import TradeScale, parse_scale

F = TypeVar("F", bound=Callable[..., Any])


def sheet_options(command: F) -> F:
    """The paper and the date of sheets, and the marks of the tape to which they are printed."""
    for option in (
        click.option("--date", "on", type=click.DateTime(["%Y-%m-%d"]), help="Date to print; today without it."),
        click.option("--force", is_flag=True, help="Replace files that exist."),
        click.option(
            "--step",
            type=click.Choice(list(STEPS)),
            help="Mark of the tape to print to; 1/8in, or 1mm in a metric scene, without it.",
        ),
        click.option(
            "--paper",
            type=click.Choice(list(PAPERS), case_sensitive=False),
            help="Paper of the sheets; without it Letter, or A4 in a metric scene.",
        ),
    ):
        command = option(command)
    return command


def printed_in(scene: Scene, step: str | None) -> tuple[Scene, Ruler]:
    """A scene that prints in the units of a step that was asked for, and the ruler for it."""
    ruler = ruler_of(step, scene.print_units)
    return replace(scene, print_units=ruler.units), ruler


def chosen_paper(name: str | None, scene: Scene) -> PaperSize:
    """The paper that was asked for, or that of the trade."""
    return PAPERS[name] if name is not None else PAPERS["Letter" if scene.print_units == "ft-in" else "A4"]


def loaded_pack(scene: Scene, options: Mapping[str, Any]) -> tuple[Any, Any]:
    """The module that makes documents of sheets, which draws and is loaded for that alone, and the `Print` of it that
    the options of `sheet_options` ask for."""
    pack = importlib.import_module("earshed.viewer.sheets.pack")
    return pack, pack.Print(chosen_paper(options["paper"], scene), printed_date(options["on"]))


def chosen_scale(text: str | None) -> TradeScale | None:
    """The scale that was asked for, or none for what fits. Raises OutputError where it is no scale."""
    try:
        return None if text is None else parse_scale(text)
    except ValueError as error:
        raise OutputError(f"--scale {error}") from None


def need_pdf(path: Path, *, force: bool) -> None:
    """Makes the folder of a file that is to be a PDF. Raises OutputError where it does not say so, or is there."""
    if path.suffix.lower() != ".pdf":
        raise OutputError(f"{path}: these sheets are written as .pdf")
    refuse_existing([path], force=force)
    make_folder(path.parent)
