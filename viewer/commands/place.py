"""earshed place: searches for the cut positions of a speaker, of partners, or of all ceiling speakers together."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from earshed.model.scene import Scene
from earshed.model.scene_file.draft_text import scalar
from earshed.model.scene_file.overlay_text import aim_text, overlay_text
from earshed.model.scene_file.place_text import place_text
from earshed.model.scene_file.read import read_scene
from earshed.model.search.answer import (
    Answer,
    Choice,
    Together,
    explained_one,
    explained_pair,
    found_one,
    found_pair,
    settle,
)
from earshed.model.search.ask import Ask
from earshed.model.search.joint import Unit, together, unit_of_one, unit_of_two
from earshed.model.search.kept_holes import kept_holes
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.place import Place
from earshed.model.search.search import Search
from earshed.model.speaker_type import Fixed
from earshed.viewer.output import error_document, make_folder, need_picture, print_json, write_bytes
from earshed.viewer.overlay_output import need_place, scheme_of_overlay
from earshed.viewer.place_document import place_document
from earshed.viewer.place_options import Wishes, place_options, read_wishes
from earshed.viewer.place_tables import Report, print_report
from earshed.viewer.place_words import PREFERRED_WORDS, note_words
from earshed.viewer.seat_choice import aim_at, seats_option, seats_words
from earshed.viewer.session import SceneCommand, picture_options, printed_date, scene_options

AnySearch = Search | PairSearch


@click.command("place", cls=SceneCommand)
@scene_options
@place_options
@seats_option
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="Plan of where it can go, a PNG.")
@click.option(
    "--write", metavar="FILE", type=click.Path(path_type=Path), help="Overlay with the places, beside the scene."
)
@picture_options
def command(scene: Path, scheme: str | None, as_json: bool, **options: Any) -> None:
    """Search every place where a speaker could be cut in, with every type that the scene offers, aimed as it can be.

    Say --speaker NAME, --pair A,B or --all. Places within the directions of its channel and like its partner come
    first, then by the verdict and the angle of the seat served worst; --prefer puts something else before that angle.
    Ends with 1 where nothing fits; Ctrl-C keeps what was found.
    """
    room = read_scene(scene, scheme)
    wishes = read_wishes(room, scene, options)
    out, write = options["out"], options["write"]
    if write is not None:
        need_place(write, scene, force=options["force"])
    if out is not None:
        need_picture(out, force=options["force"])
        make_folder(out.parent)
    searches = [_search(unit, wishes) for unit in wishes.units]
    searched = _run(searches, quiet=as_json)
    answers = [_found(search, wishes.count) for search in searches]
    settled = _settle(searches) if wishes.together else None
    chosen = _chosen(answers, settled, wishes.choice)
    missing = _missing(answers, wishes.choice)
    answers, explained = _explained(answers, searches, quiet=as_json) if searched == 1.0 else (answers, False)
    holes = kept_holes(wishes.units, chosen) if wishes.in_holes else None
    written = []
    if out is not None:
        draw = importlib.import_module("earshed.viewer.place_page").place_page  # what draws, needed for this alone
        write_bytes(out, draw(room, answers, settled, options["size"], printed_date(options["on"])))
        written.append(out)
    if write is not None and chosen:
        write_bytes(write, _overlay(room, scene, chosen, options["asked"]).encode())
        written.append(write)
    if as_json:
        error = error_document(missing, str(scene)) if missing else {}
        print_json({**place_document(room, answers, settled, holes, written, searched), **error})
    else:
        whom = seats_words(options["asked"]) + PREFERRED_WORDS[options["prefer"]]
        report = Report(room, whom, answers, settled, holes, written, searched)
        print_report(report, write if write is not None and not chosen else None)
    if not explained:
        raise KeyboardInterrupt
    if missing:
        click.echo(missing, err=True)
        click.get_current_context().exit(2)
    placed = [choice for choice in settled.chosen if choice] if settled else [a for a in answers if a.choices]
    click.get_current_context().exit(0 if len(placed) == len(answers) else 1)


def _search(unit: Sequence[Ask], wishes: Wishes) -> AnySearch:
    return Search(unit[0]) if len(unit) == 1 else PairSearch(unit[0], unit[1], wishes.mirror, wishes.slack)


def _run(searches: Sequence[AnySearch], *, quiet: bool) -> float:
    """Searches on until all is done or Ctrl-C, and tells which share was; what was found by then is kept."""
    hidden = quiet or not sys.stderr.isatty()
    done = 0.0
    bar = click.progressbar(length=1000, label="searching", file=sys.stderr, hidden=hidden)
    with bar:
        try:
            for number, search in enumerate(searches):
                for share in search.run():
                    done = (number + share) / len(searches)
                    bar.update(int(1000 * done) - bar.pos)
        except KeyboardInterrupt:
            return min(done, 0.999)
    return 1.0


def _found(search: AnySearch, count: int) -> Answer:
    return found_one(search, count) if isinstance(search, Search) else found_pair(search, count)


def _explained(answers: Sequence[Answer], searches: Sequence[AnySearch], *, quiet: bool) -> tuple[list[Answer], bool]:
    """The answers with what could be given up, as far as Ctrl-C allows, and whether that is all."""
    told = list(answers)
    bar = click.progressbar(
        length=len(told), label="weighing", file=sys.stderr, hidden=quiet or not sys.stderr.isatty()
    )
    with bar:
        try:
            for number, search in enumerate(searches):
                if isinstance(search, Search):
                    told[number] = explained_one(told[number], search)
                else:
                    told[number] = explained_pair(told[number], search)
                bar.update(1)
        except KeyboardInterrupt:
            return told, False
    return told, True


def _settle(searches: Sequence[AnySearch]) -> Together:
    """The places that go together."""
    units: list[Unit] = [
        unit_of_one(one.ask, one.spots) if isinstance(one, Search) else unit_of_two(one.first, one.second, one.twins)
        for one in searches
    ]
    return settle(units, together(units))


def _chosen(answers: Sequence[Answer], settled: Together | None, choice: int) -> list[Place]:
    """The places to write; none where there are not as many choices."""
    if settled is not None:
        return [place for one in settled.chosen for place in one]
    picked: list[Choice] = [answer.choices[choice - 1] for answer in answers if len(answer.choices) >= choice]
    return [place for one in picked for place in one]


def _missing(answers: Sequence[Answer], choice: int) -> str | None:
    """That there are not as many choices, in words; None where there are, or none at all."""
    short = next((answer for answer in answers if 0 < len(answer.choices) < choice), None)
    if short is None:
        return None
    names = " and ".join(ask.speaker.name for ask in short.asks)
    there = f"there are {len(short.choices)} choices" if len(short.choices) > 1 else "there is 1 choice"
    return f"--choice {choice}: {there} for {names}"


def _overlay(scene: Scene, path: Path, places: Sequence[Place], asked: Sequence[str]) -> str:
    changes = {place.speaker.name: _keys(scene, place, asked) for place in places}
    notes = {place.speaker.name: note_words(scene, place) for place in places}
    head = f"Cut positions found for {seats_words(asked)}. Test hole first."
    return overlay_text(path.name, scheme_of_overlay(scene), changes, notes=notes, head=head)


def _keys(scene: Scene, place: Place, asked: Sequence[str]) -> dict[str, str]:
    """What a speaker's keys become: its type, its place, the way of its hole, its aim."""
    speaker = place.speaker
    assert speaker.surface is not None
    keys = {"type": scalar(speaker.type.name)}
    keys |= place_text(scene.room.plan, speaker.surface, speaker.position, scene.print_units)
    before = next(one for one in scene.speakers if one.name == speaker.name)
    if place.offer.way or before.long_axis is not None:
        keys["long_axis"] = place.offer.way or "none"
    if isinstance(speaker.type.aiming, Fixed):
        return {**keys, "aim": "none"}
    return {**keys, "aim": aim_at(asked) or aim_text(speaker.type.aiming, speaker.normal, speaker.axis)}
