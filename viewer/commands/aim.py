"""earshed aim: today's axis of each speaker against its best one, and how to turn it."""

from __future__ import annotations

import importlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from earshed.model.aim_advice import AimAdvice, advise
from earshed.model.scene import Scene
from earshed.model.scene_file.draft_text import scalar
from earshed.model.scene_file.overlay_text import aim_text, overlay_text
from earshed.model.scene_file.overlays import is_overlay
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene
from earshed.model.scene_file.tree import read_tree
from earshed.model.seating import Seat, main_seats, upright_seats
from earshed.model.speaker_type import Fixed
from earshed.model.units import format_angle
from earshed.viewer.aim_tables import print_aims
from earshed.viewer.aim_words import turning_words
from earshed.viewer.documents import aim_document
from earshed.viewer.output import OutputError, make_folder, print_json, refuse_existing, write_bytes
from earshed.viewer.session import SceneCommand, chosen_speakers, end, picture_options, printed_date, scene_options

GROUPS = ("main", "all")


@click.command("aim", cls=SceneCommand)
@scene_options
@click.option(
    "--seats",
    "asked",
    metavar="main|all|NAME",
    multiple=True,
    default=("main",),
    help="Seats to aim at: main, all, or a seat's name; may be repeated.  [default: main]",
)
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="File for a plan with both axes, a PNG.")
@click.option(
    "--write", metavar="FILE", type=click.Path(path_type=Path), help="Overlay with the better aims, beside the scene."
)
@picture_options
def command(
    scene: Path,
    scheme: str | None,
    as_json: bool,
    asked: tuple[str, ...],
    out: Path | None,
    write: Path | None,
    names: tuple[str, ...],
    size: tuple[int, int],
    force: bool,
    on: Any,
) -> None:
    """Print for each speaker today's axis against the best one for the chosen seats, and how to turn it.

    A speaker is turned as far as its type can: not at all, round its rim, or anywhere up to its limit. What another
    type would do in its place is said where this one leaves a seat out.
    """
    room = read_scene(scene, scheme)
    speakers = chosen_speakers(room, names, scene)
    seats = _chosen_seats(room, asked, scene)
    if write is not None:
        _need_place(write, scene, force=force)
    if out is not None:
        refuse_existing([out], force=force)
    advice = [advise(room, speaker, seats) for speaker in speakers]
    written = []
    if out is not None:
        make_folder(out.parent)
        aim_page = importlib.import_module("earshed.viewer.aim_page").aim_page  # what draws, needed for this alone
        write_bytes(out, aim_page(room, advice, _whom(asked), size, printed_date(on)))
        written.append(out)
    changed = [one for one in advice if one.worth_turning and not isinstance(one.speaker.type.aiming, Fixed)]
    if write is not None and changed:
        write_bytes(write, _overlay(room, scene, changed, asked).encode())
        written.append(write)
    if as_json:
        print_json(aim_document(room, advice, written))
    else:
        print_aims(room, _whom(asked), advice, written)
        if write is not None and not changed:
            click.echo(f"{write} is not written: no speaker that can be turned would serve these seats better")
    end([])


def _chosen_seats(scene: Scene, asked: Sequence[str], path: Path) -> list[Seat]:
    """The seats that are asked for, in the scene's order, both postures of those that recline. Raises OutputError."""
    if not scene.seats:
        raise OutputError(f"{path} has no seats to aim at; add some under seats:")
    chosen: set[Seat] = set()
    for word in asked:
        named = {seat for seat in scene.seats if word in (seat.name, seat.reclined_from)}
        groups: Mapping[str, Sequence[Seat]] = {"main": main_seats(scene.seats), "all": scene.seats}
        found = set(groups.get(word, named))
        if not found:
            known = ", ".join(seat.name for seat in upright_seats(scene.seats))
            raise OutputError(f"{path} has no seat {word} to aim at; say main, all, or one of {known}")
        chosen |= found
    return [seat for seat in scene.seats if seat in chosen]


def _whom(asked: Sequence[str]) -> str:
    """The seats that are asked for, in words."""
    words = {"main": "the main seats", "all": "all seats"}
    return ", ".join(words.get(word, word) for word in dict.fromkeys(asked))


def _need_place(write: Path, scene: Path, *, force: bool) -> None:
    """Refuses a place where the overlay could not stand or would destroy something else. Raises OutputError."""
    if is_overlay(read_tree(scene)):
        raise OutputError(
            f"{scene} is an overlay itself, and an overlay is laid over a scene; give --write the scene's"
        )
    if write.parent.resolve() != scene.parent.resolve():
        raise OutputError(f"--write {write}: an overlay stands beside its scene, in {scene.parent.resolve()}")
    refuse_existing([write], force=force, option="--write")
    if write.exists():
        try:
            replaceable = is_overlay(read_tree(write))
        except SceneError:
            replaceable = False
        if not replaceable:
            raise OutputError(f"{write} is no overlay, so it is not replaced; choose another --write")


def _overlay(scene: Scene, path: Path, changed: Sequence[AimAdvice], asked: Sequence[str]) -> str:
    scheme = scene.scheme or ("base" if scene.schemes else None)
    changes = {one.speaker.name: {"aim": _aim_text(one, asked)} for one in changed}
    notes = {one.speaker.name: _note(one) for one in changed}
    return overlay_text(path.name, scheme, changes, notes=notes, head=f"The best aims for {_whom(asked)}.")


def _aim_text(one: AimAdvice, asked: Sequence[str]) -> str:
    """The aim by the seats it is for where a scene has words for them, else by the lean."""
    if len(set(asked)) == 1:
        return f"{{seats: {asked[0]}}}" if asked[0] in GROUPS else f"{{seat: {scalar(asked[0])}}}"
    return aim_text(one.turned.type.aiming, one.turned.normal, one.turned.axis)


def _note(one: AimAdvice) -> str:
    angles = f"{format_angle(one.worst_today.off_axis)} -> {format_angle(one.worst_best.off_axis)}"
    return f"worst seat {angles}: {turning_words(one.turned)}"
