"""The option `--seats`: which seats a command aims at or places for."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

from earshed.model.scene import Scene
from earshed.model.scene_file.draft_text import scalar
from earshed.model.seating import Seat, main_seats, upright_seats
from earshed.model.sound.served import compared
from earshed.viewer.output import OutputError

F = TypeVar("F", bound=Callable[..., Any])


def seats_option(command: F) -> F:
    """The option, as the argument `asked`."""
    return click.option(
        "--seats",
        "asked",
        metavar="main|all|NAME",
        multiple=True,
        default=("main",),
        help="Seats to aim at: main, all, or a seat's name; may be repeated.  [default: main]",
    )(command)


def chosen_seats(scene: Scene, asked: Sequence[str], path: Path) -> list[Seat]:
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


def need_two_seats(seats: Sequence[Seat]) -> None:
    """Refuses one seat alone where seats are compared. Raises OutputError."""
    if len(compared(seats)) < 2:
        raise OutputError(
            f"--prefer evenness compares seats, and {seats[0].name} is the only one; name more by --seats"
        )


def seats_words(asked: Sequence[str]) -> str:
    """The seats that are asked for, in words."""
    words = {"main": "the main seats", "all": "all seats"}
    return ", ".join(words.get(word, word) for word in dict.fromkeys(asked))


def aim_at(asked: Sequence[str]) -> str:
    """The `aim` at the seats that are asked for, as YAML flow text; empty where a scene has no word for them."""
    if len(set(asked)) > 1:
        return ""
    return f"{{seats: {asked[0]}}}" if asked[0] in ("main", "all") else f"{{seat: {scalar(asked[0])}}}"
