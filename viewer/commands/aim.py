"""earshed aim: today's axis of each speaker against its best one, and how to turn it."""

from __future__ import annotations

import importlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from earshed.model.aim_advice import WORTH_TURNING, AimAdvice, advise
from earshed.model.geometry import angle_between
from earshed.model.scene import Scene
from earshed.model.scene_file.overlay_text import aim_text, overlay_text
from earshed.model.scene_file.read import read_scene
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Fixed
from earshed.model.units import format_angle
from earshed.viewer.aim_document import aim_document
from earshed.viewer.aim_tables import print_aims
from earshed.viewer.aim_words import turning_words
from earshed.viewer.output import OutputError, make_folder, need_picture, print_json, write_bytes
from earshed.viewer.overlay_output import need_place, scheme_of_overlay
from earshed.viewer.seat_choice import aim_at, chosen_seats, need_two_seats, seats_option, seats_words
from earshed.viewer.served_words import decibels
from earshed.viewer.session import SceneCommand, chosen_speakers, end, picture_options, printed_date, scene_options

HEADS = {None: "best aims", "angle": "best aims", "evenness": "most even aims, and elsewhere the best ones,"}
"""What an overlay has, by what is preferred."""


@click.command("aim", cls=SceneCommand)
@scene_options
@seats_option
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="File for a plan with both axes, a PNG.")
@click.option(
    "--write", metavar="FILE", type=click.Path(path_type=Path), help="Overlay with the better aims, beside the scene."
)
@click.option("--prefer", type=click.Choice(["angle", "evenness"]), help="Which aims --write takes.  [default: angle]")
@picture_options
def command(
    scene: Path,
    scheme: str | None,
    as_json: bool,
    asked: tuple[str, ...],
    out: Path | None,
    write: Path | None,
    prefer: str | None,
    names: tuple[str, ...],
    size: tuple[int, int],
    force: bool,
    on: Any,
) -> None:
    """Print for each speaker today's axis against the best one for the chosen seats, and how to turn it.

    A speaker is turned as far as its type can: not at all, round its rim, or anywhere up to its limit. Beside each aim
    stands how loud and how even it is, and where another that covers all seats is more even by half a dB, that one.
    What another type would do in its place is said where this one leaves a seat out.
    """
    room = read_scene(scene, scheme)
    speakers = chosen_speakers(room, names, scene)
    seats = chosen_seats(room, asked, scene)
    if prefer is not None and write is None:
        raise OutputError("--prefer says which aims --write takes: it goes with --write FILE")
    if prefer == "evenness":
        need_two_seats(seats)
    if write is not None:
        need_place(write, scene, force=force)
    if out is not None:
        need_picture(out, force=force)
    advice = [advise(room, speaker, seats) for speaker in speakers]
    written = []
    if out is not None:
        make_folder(out.parent)
        aim_page = importlib.import_module("earshed.viewer.aim_page").aim_page  # what draws, needed for this alone
        write_bytes(out, aim_page(room, advice, seats_words(asked), size, printed_date(on)))
        written.append(out)
    changed = [(one, turned) for one in advice if (turned := _changed(one, prefer)) is not None]
    if write is not None and changed:
        write_bytes(write, _overlay(room, scene, changed, asked, f"The {HEADS[prefer]} for").encode())
        written.append(write)
    if as_json:
        print_json(aim_document(room, advice, written))
    else:
        print_aims(room, seats_words(asked), advice, written)
        if write is not None and not changed:
            click.echo(f"{write} is not written: no speaker that can be turned would serve these seats better")
    end([])


def _changed(one: AimAdvice, prefer: str | None) -> Speaker | None:
    """A speaker as it is to be turned; None where it stays as it is."""
    if prefer == "evenness" and one.even is not None:
        turn = float(angle_between(one.speaker.axis, one.even.turned.axis))
        return one.even.turned if turn >= WORTH_TURNING else None
    return one.turned if one.worth_turning and not isinstance(one.speaker.type.aiming, Fixed) else None


def _overlay(
    scene: Scene, path: Path, changed: Sequence[tuple[AimAdvice, Speaker]], asked: Sequence[str], which: str
) -> str:
    changes = {one.speaker.name: {"aim": _aim_text(one, turned, asked)} for one, turned in changed}
    notes = {one.speaker.name: _note(one, turned) for one, turned in changed}
    head = f"{which} {seats_words(asked)}."
    return overlay_text(path.name, scheme_of_overlay(scene), changes, notes=notes, head=head)


def _aim_text(one: AimAdvice, turned: Speaker, asked: Sequence[str]) -> str:
    """The aim by the seats it is for where a scene has words for them, else by the lean."""
    by_seats = aim_at(asked) if turned is one.turned else ""
    return by_seats or aim_text(turned.type.aiming, turned.normal, turned.axis)


def _note(one: AimAdvice, turned: Speaker) -> str:
    if one.even is not None and turned is one.even.turned:
        gain = f"spread {decibels(one.served_today.spread)} -> {decibels(one.even.served.spread)}"
    else:
        gain = f"worst seat {format_angle(one.worst_today.off_axis)} -> {format_angle(one.worst_best.off_axis)}"
    return f"{gain}: {turning_words(turned)}"
