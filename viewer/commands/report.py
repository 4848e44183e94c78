"""earshed report: what a client is given, as one page or as a PDF."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import Any

import click

from earshed.viewer.collecting import collecting_by_hand
from earshed.viewer.documents import finding_documents
from earshed.viewer.output import OutputError, make_folder, print_json, refuse_existing, write_bytes
from earshed.viewer.report.asked import chosen
from earshed.viewer.session import SceneCommand, date_option, end, force_option, printed_date, stem_of
from earshed.viewer.sheets.options import chosen_paper
from earshed.viewer.sheets.paper_size import PAPERS

KINDS = (".html", ".htm", ".pdf")


@click.command("report", cls=SceneCommand)
@click.argument("scene", type=click.Path(path_type=Path))
@click.option("--scheme", metavar="AFTER", help="Scheme to report, or base.  [default: proposed]")
@click.option("--before", metavar="NAME", help="Scheme it is held against, or base.  [default: as found]")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="File: .html is a page for any browser, .pdf is for paper.  [default: SCENE-SCHEME-report.html]",
)
@click.option(
    "--appendix/--no-appendix", default=False, help="With the sheets of mark-out, wiring and types, or without."
)
@click.option(
    "--paper",
    type=click.Choice(list(PAPERS), case_sensitive=False),
    help="Paper of a PDF; Letter, or A4 in a metric scene, without it.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of words.")
@force_option
@date_option
def command(
    scene: Path,
    scheme: str | None,
    before: str | None,
    out: Path | None,
    appendix: bool,
    paper: str | None,
    as_json: bool,
    force: bool,
    on: Any,
) -> None:
    """Write the report for a client: why it is worth it, how it will look, what is to be done. One file.

    A scene without schemes is reported as it stands. Ends with 1 where something cannot be built as drawn.
    """
    now, then = chosen(scene, scheme, before)
    path = out or Path(f"{stem_of(scene, now.scheme)}-report.html")
    if path.suffix.lower() not in KINDS:
        raise OutputError(f"{path}: a report is written as .html, or as .pdf")
    refuse_existing([path], force=force)
    writing = importlib.import_module("earshed.viewer.report.writing")  # what draws, needed for this alone
    wanted = writing.Wanted(path.suffix.lower() == ".pdf", appendix, chosen_paper(paper, now))
    hidden = as_json or not sys.stderr.isatty()
    with (
        collecting_by_hand(),
        click.progressbar(length=writing.STEPS, label="report", file=sys.stderr, hidden=hidden) as bar,
    ):
        facts, content = writing.written(scene, now, then, printed_date(on), wanted, bar)
    make_folder(path.parent)
    write_bytes(path, content)
    if as_json:
        document = {"scene": now.title, "scheme": now.scheme, "before": then.scheme if then else None}
        print_json({**document, "files": [str(path)], "findings": finding_documents(facts.findings)})
    else:
        click.echo(f"wrote {path}")
    end(facts.findings)
