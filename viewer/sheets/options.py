"""Options that commands share that write sheets."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from earshed.model.units import PrintUnits
from earshed.viewer.output import OutputError, make_folder, refuse_existing
from earshed.viewer.sheets.paper_size import PAPERS, PaperSize

F = TypeVar("F", bound=Callable[..., Any])


def sheet_options(command: F) -> F:
    """The file, the paper and the date of sheets."""
    for option in (
        click.option("--date", "on", type=click.DateTime(["%Y-%m-%d"]), help="Date to print; today without it."),
        click.option("--force", is_flag=True, help="Replace a file that exists."),
        click.option(
            "--paper",
            type=click.Choice(list(PAPERS), case_sensitive=False),
            help="Paper of the sheets; Letter, or A4 in a metric scene, without it.",
        ),
        click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="File for the sheets, a PDF."),
    ):
        command = option(command)
    return command


def chosen_paper(name: str | None, units: PrintUnits) -> PaperSize:
    """The paper that was asked for, or that of the trade."""
    return PAPERS[name] if name is not None else PAPERS["Letter" if units == "ft-in" else "A4"]


def need_pdf(path: Path, *, force: bool) -> None:
    """Makes the folder of a file that is to be a PDF. Raises OutputError where it does not say so, or is there."""
    if path.suffix.lower() != ".pdf":
        raise OutputError(f"{path}: these sheets are written as .pdf")
    refuse_existing([path], force=force)
    make_folder(path.parent)
