"""earshed reflections: where sound first comes back from, and how long it lasts."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from earshed.model.checks.reflections import reflection_findings
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.seating import Seat, main_seats
from earshed.model.sound.early import early_reflections, scene_reflections
from earshed.model.sound.reverberation import reverberation
from earshed.viewer.output import OutputError, print_json, write_bytes
from earshed.viewer.reflection_document import reflection_document
from earshed.viewer.reflection_tables import print_reflections
from earshed.viewer.session import SceneCommand, chosen_speakers, end, scene_options
from earshed.viewer.sheets.options import loaded_pack, need_pdf, printed_in, sheet_options


@click.command("reflections", cls=SceneCommand)
@scene_options
@click.option("--speaker", "names", metavar="NAME", multiple=True, help="Only this speaker; may be repeated.")
@click.option(
    "--seat", "at", metavar="NAME", multiple=True, help="At this seat in place of the main ones; may be repeated."
)
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="File for the sheets, a PDF.")
@sheet_options
def command(
    scene: Path, scheme: str | None, as_json: bool, names: Sequence[str], at: Sequence[str], **options: Any
) -> None:
    """Print for each speaker and main seat the reflections that come early and strong: off which face, at which point
    by tape, how late, how strong.

    And how long sound lasts in the room, octave by octave. The scene says of what its faces are under surfaces, and of
    things as their material; what it does not say is assumed, and told.
    """
    room, _ = printed_in(read_scene(scene, scheme), options["step"])
    heard = scene_reflections(room, chosen_speakers(room, names, scene), _chosen_seats(room, at, scene))
    early = early_reflections(heard)
    lasts = reverberation(room)
    findings = [*reflection_findings(room, early)]
    written = []
    if options["out"] is not None:
        need_pdf(options["out"], force=options["force"])
        pack, print_ = loaded_pack(room, options)
        write_bytes(options["out"], pack.reflections_pdf(heard, early, lasts, findings, print_))
        written.append(options["out"])
    if as_json:
        print_json(reflection_document(heard, early, lasts, findings, written))
    else:
        print_reflections(room, early, lasts, findings, written)
    end(findings)


def _chosen_seats(scene: Scene, names: Sequence[str], path: Path) -> Sequence[Seat]:
    """The seats that were asked for, or the main ones. Raises OutputError for unknown ones and for none."""
    known = {seat.name: seat for seat in scene.seats}
    for name in names:
        if name not in known:
            raise OutputError(f"{path} has no seat {name}; it has {', '.join(known) or 'none'}")
    if not known:
        raise OutputError(f"{path} has no seats; add some under seats:")
    return [known[name] for name in dict.fromkeys(names)] if names else main_seats(scene.seats)
