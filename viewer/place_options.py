"""The options of `earshed place`, and the asks that they make of a scene."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

import click

from earshed.model.scene import Scene
from earshed.model.scene_file.fields import read_azimuths, read_elevations
from earshed.model.search.ask import PREFERRED, Ask, Line, Mirror, lines_through, picture_mirror, room_mirror
from earshed.model.search.asking import asks_of, in_order, units_of
from earshed.model.search.joint import MOST_TOGETHER
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import SpeakerType
from earshed.model.units import INCH, MeasureError, parse_length
from earshed.model.window import ANY_AZIMUTH, ANY_ELEVATION, Window
from earshed.viewer.output import OutputError
from earshed.viewer.seat_choice import chosen_seats, need_two_seats

F = TypeVar("F", bound=Callable[..., Any])
OWN_WINDOW = "as asked for"


@dataclass(frozen=True, eq=False)
class Wishes:
    """What is to be placed: units of one or two asks, together or each by itself; how many choices to show, and which
    of them to write."""

    units: tuple[tuple[Ask, ...], ...]
    together: bool
    mirror: Mirror
    slack: float
    count: int
    choice: int
    in_holes: bool


def place_options(command: F) -> F:
    """The options that say what is to be placed and how."""
    for option in (
        click.option("--choice", type=click.IntRange(1), help="Which choice --write takes.  [default: 1]"),
        click.option(
            "--prefer",
            type=click.Choice(PREFERRED),
            default="angle",
            help="What tells places of one verdict apart.  [default: angle]",
        ),
        click.option("--count", type=click.IntRange(1, 20), default=3, help="How many places to show.  [default: 3]"),
        click.option("--slack", metavar="LENGTH", help="How far a partner may be from the mirror image.  [default: 0]"),
        click.option(
            "--about", type=click.Choice(["screen", "room"]), default="screen", help="Center line.  [default: screen]"
        ),
        click.option("--within", metavar="LENGTH", help="How near to in line is in line.  [default: 1/2in]"),
        click.option("--align", metavar="NAME", multiple=True, help="In line with this fixture or datum."),
        click.option("--elevation", metavar="LOW..HIGH", help="Degrees up, in place of those of its channel."),
        click.option("--azimuth", metavar="RIGHT..LEFT", help="Degrees to the left, in place of those of its channel."),
        click.option("--anywhere", is_flag=True, help="Wherever it is heard from, whatever its channel asks for."),
        click.option("--keep-holes", is_flag=True, help="Only in holes that are there already."),
        click.option("--face", "faces", metavar="NAME", multiple=True, help="Only on this face; may be repeated."),
        click.option("--type", "types", metavar="NAME", multiple=True, help="Only this type; may be repeated."),
        click.option("--all", "everything", is_flag=True, help="All ceiling speakers, together."),
        click.option("--pair", metavar="A,B", help="Two partners, each the mirror image of the other."),
    ):
        command = option(command)
    return command


def read_wishes(scene: Scene, path: Path, options: Mapping[str, Any]) -> Wishes:
    """The asks that the options make. Raises OutputError for what is not there or does not go together."""
    units, together = _units(scene, path, options)
    choice = options["choice"] or 1
    if together and choice > 1:
        raise OutputError("--choice goes with one --speaker or --pair: of several together there is one answer")
    if options["choice"] is not None and options["write"] is None:
        raise OutputError("--choice says which choice --write takes: it goes with --write FILE")
    pairs = any(len(unit) > 1 for unit in units)
    for name, goes, needed in (("slack", pairs, "--pair or --all"), ("within", options["align"], "--align NAME")):
        if options[name] is not None and not goes:
            raise OutputError(f"--{name} {options[name]} goes with {needed}")
    if len(units) > MOST_TOGETHER:
        raise OutputError(
            f"{len(units)} pairs and single speakers are too many to place together; name at most {MOST_TOGETHER} of "
            "them, each with --speaker"
        )
    if len(units) > 1 and options["azimuth"] is not None:
        raise OutputError("--azimuth goes with one --speaker or --pair: each of several has its own side")
    seats = chosen_seats(scene, options["asked"], path)
    if options["prefer"] == "evenness":
        need_two_seats(seats)
    types = _types(scene, path, options["types"])
    mirror = room_mirror(scene) if options["about"] == "room" else picture_mirror(scene)
    asks = asks_of(scene, units, seats=seats, types=types, mirror=mirror)
    change = _conditions(scene, path, options)
    wished = tuple(tuple(change(ask, number) for number, ask in enumerate(unit)) for unit in asks)
    for unit in wished:
        _refuse_no_offers(unit, path)
    if options["keep_holes"] and not scene.existing_holes:
        raise OutputError(f"{path} has no holes to keep; list them under existing_holes:")
    slack = _length(options["slack"], "--slack", 0.0)
    count = max(options["count"], choice)
    return Wishes(wished, together, mirror, slack, count, choice, options["keep_holes"])


def _units(scene: Scene, path: Path, options: Mapping[str, Any]) -> tuple[list[tuple[Speaker, ...]], bool]:
    """The speakers that are to be placed, those of a pair in one, and whether they are placed together."""
    names, pair, everything = options["names"], options["pair"], options["everything"]
    if (bool(names) + bool(pair) + everything) != 1:
        raise OutputError("say what to place: --speaker NAME, --pair A,B or --all, one of them")
    if everything:
        speakers = [one for one in scene.judged if one.type.mount == "in-ceiling"]
        if not speakers:
            raise OutputError(f"{path} has no ceiling speakers to place")
        return units_of(scene, speakers), True
    if pair:
        both = _split_pair(scene, path, pair)
        return [in_order(both)], False
    speakers = [_speaker(scene, path, name) for name in dict.fromkeys(names)]
    return [(one,) for one in speakers], len(speakers) > 1


def _split_pair(scene: Scene, path: Path, text: str) -> tuple[Speaker, Speaker]:
    words = text.split(",")
    cuts = [(",".join(words[:at]).strip(), ",".join(words[at:]).strip()) for at in range(1, len(words))]
    known = {one.name for one in scene.speakers}
    cuts = [cut for cut in cuts if known.issuperset(cut)] or (cuts if len(cuts) == 1 else [])  # a name may hold commas
    names = cuts[0] if cuts else ("", "")
    if not all(names) or names[0] == names[1]:
        raise OutputError(f"--pair {text}: needs two speakers, as A,B")
    one, other = (_speaker(scene, path, name) for name in names)
    if one.type.mount != other.type.mount:
        raise OutputError(f"--pair {text}: {one.name} is {one.type.mount} and {other.name} {other.type.mount}")
    return one, other


def _speaker(scene: Scene, path: Path, name: str) -> Speaker:
    found = next((one for one in scene.judged if one.name == name), None)
    if found is None:
        known = ", ".join(one.name for one in scene.judged) or "none"
        raise OutputError(f"{path} has no speaker {name} to place; it has {known}")
    if found.type.mount not in ("in-ceiling", "in-wall"):
        raise OutputError(f"{name} is a {found.type.mount} type: it needs no hole, so there is none to place")
    return found


def _types(scene: Scene, path: Path, names: Sequence[str]) -> list[SpeakerType] | None:
    for name in names:
        if name not in scene.speaker_types:
            raise OutputError(f"{path} has no speaker type {name}; it has {', '.join(scene.speaker_types)}")
    return [scene.speaker_types[name] for name in names] or None


def _refuse_no_offers(unit: Sequence[Ask], path: Path) -> None:
    for ask in unit:
        if not ask.offers:
            mount = ask.speaker.type.mount
            raise OutputError(f"{path} has no {mount} type with a coverage to offer for {ask.speaker.name}")
        if not ask.faces:
            raise OutputError(f"there is no face to place {ask.speaker.name} on")


def _conditions(scene: Scene, path: Path, options: Mapping[str, Any]) -> Callable[[Ask, int], Ask]:
    """What the options change in an ask; the window of the second of a pair is mirrored."""
    lines = _lines(scene, path, options["align"])
    within = _length(options["within"], "--within", INCH / 2)
    given = _given(options)
    wanted = options["faces"]

    def change(ask: Ask, number: int) -> Ask:
        faces = tuple(face for face in ask.faces if not wanted or face.name in wanted)
        unknown = [name for name in wanted if name not in [face.name for face in ask.faces]]
        if unknown:
            known = ", ".join(face.name for face in ask.faces)
            raise OutputError(f"--face {unknown[0]}: {ask.speaker.name} can be cut into {known}")
        asked = None if options["anywhere"] else _window(given, ask.window, mirrored=number > 0)
        wished = replace(ask, faces=faces, lines=lines, align_within=within, window=asked)
        return replace(wished, only_holes=options["keep_holes"], preferred=options["prefer"])

    return change


def _lines(scene: Scene, path: Path, names: Sequence[str]) -> tuple[Line, ...]:
    places = {**{fixture.name: fixture.position[:2] for fixture in scene.fixtures}, **scene.datums}
    for name in names:
        if name not in places:
            known = ", ".join(list(places)[:20]) or "none"
            raise OutputError(f"{path} has no fixture or datum {name} to align with; it has {known}")
    return lines_through([(name, places[name]) for name in dict.fromkeys(names)])


Limits = tuple[float, float]


def _given(options: Mapping[str, Any]) -> tuple[Limits | None, Limits | None]:
    """Azimuths and elevations that are asked for, radians; None for those that are not."""
    given = _limits(options, "azimuth", read_azimuths), _limits(options, "elevation", read_elevations)
    if options["anywhere"] and given != (None, None):
        raise OutputError("--anywhere goes without --azimuth and --elevation")
    return given


def _window(given: tuple[Limits | None, Limits | None], own: Window | None, *, mirrored: bool) -> Window | None:
    """The window of a channel with what is asked for in its place; azimuths for the second of a pair on the other
    side."""
    azimuths, elevations = given
    if azimuths is None and elevations is None:
        return own
    if azimuths is not None and mirrored:
        azimuths = Window(azimuths, ANY_ELEVATION, OWN_WINDOW).mirrored.azimuths
    if azimuths is None:
        azimuths = own.azimuths if own is not None else ANY_AZIMUTH
    if elevations is None:
        elevations = own.elevations if own is not None else ANY_ELEVATION
    window = Window(azimuths, elevations, OWN_WINDOW)
    return None if window.any_azimuth and window.any_elevation else window


def _limits(options: Mapping[str, Any], name: str, read: Callable[[str], Limits]) -> Limits | None:
    """What an option says, radians, read as a scene's window is; None where it is not given."""
    text = options[name]
    if text is None:
        return None
    try:
        return read(text.strip())
    except ValueError as error:
        raise OutputError(f"--{name} {error}") from None


def _length(text: str | None, option: str, usual: float) -> float:
    if text is None:
        return usual
    try:
        metres = parse_length(text)
    except MeasureError as error:
        raise OutputError(f"{option}: {error}") from None
    if metres < 0:
        raise OutputError(f"{option} {text}: must be at least 0")
    return metres
