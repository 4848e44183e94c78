"""earshed wire: the wiring schedule."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from earshed.model.checks.wiring import schedule_findings
from earshed.model.finding import SEVERITIES
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.wiring.schedule import wire
from earshed.viewer.output import OutputError, make_folder, print_json, refuse_existing, write_bytes
from earshed.viewer.session import SceneCommand, end, scene_options
from earshed.viewer.sheets.options import loaded_pack, need_pdf, printed_in, sheet_options
from earshed.viewer.wire_document import runs_csv, wire_document
from earshed.viewer.wire_tables import print_wiring


@click.command("wire", cls=SceneCommand)
@scene_options
@click.option("--csv", "table", metavar="FILE", type=click.Path(path_type=Path), help="File for the runs, as CSV.")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="File for the sheets and labels, a PDF.")
@sheet_options
def command(scene: Path, scheme: str | None, as_json: bool, table: Path | None, **options: Any) -> None:
    """Print for each cable its way to the rack, leg by leg, how long it is cut and what it loses.

    And what has to be bored or patched on the way, which spool each run comes from, and what to write on its ends. The
    scene says under wiring where the rack is, where a drill can reach and what cable there is.
    Ends with 1 where a run has no way or is longer than any spool, 2 where the scene cannot be read or has no rack.
    """
    room, _ = printed_in(read_scene(scene, scheme), options["step"])
    schedule = wire(room)
    if schedule is None:
        raise OutputError(f"{scene} {_no_rack(room)}")
    if not schedule.runs:
        raise OutputError(f"{scene} has nothing to wire: no speakers, links or spares")
    findings = sorted(schedule_findings(schedule), key=lambda finding: SEVERITIES.index(finding.severity))
    out = options["out"]
    if table is not None:
        _need_csv(table, force=options["force"])
    if out is not None:
        need_pdf(out, force=options["force"])
    made: dict[Path, bytes] = {}
    if table is not None:
        made[table] = runs_csv(schedule)
    if out is not None:
        pack, print_ = loaded_pack(room, options)
        made[out] = pack.wire_pdf(schedule, findings, print_)
    for path, content in made.items():
        write_bytes(path, content)
    if as_json:
        print_json(wire_document(schedule, findings, [*made]))
    else:
        print_wiring(schedule, findings, [*made])
    end(findings)


def _need_csv(table: Path, *, force: bool) -> None:
    if table.suffix.lower() != ".csv":
        raise OutputError(f"--csv {table}: the runs are written as .csv")
    refuse_existing([table], force=force, option="--csv")
    make_folder(table.parent)


def _no_rack(scene: Scene) -> str:
    """What to add, in keys that suit the room."""
    along = "wall: rear, from_left: 2'" if scene.room.plan.kind == "rectangle" else "wall: 1, along: 2'"
    return (
        f"does not say where cables end; add it, on a wall as wiring: {{rack: {{{along}, height: 18in, beyond: 6'}}}}, "
        "or in the room by at: {from_left: ..., from_front: ...} and height"
    )
