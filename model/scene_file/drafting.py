"""Makes a draft of the answers: the room as told, the picture and the seats as they fit in it, places for a layout."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from earshed.model.checks.run import find_all
from earshed.model.layout import LAYOUTS
from earshed.model.pairs import seat_pairs
from earshed.model.picture_fit import largest_picture
from earshed.model.proposal import propose
from earshed.model.scene import Scene
from earshed.model.scene_file.answers import (
    MOST_ROWS,
    MOST_SEATS_IN_A_ROW,
    Answers,
    Refused,
    count_of,
    is_pitch,
    size_of,
    units_of,
)
from earshed.model.scene_file.draft import Draft, Values, taped
from earshed.model.scene_file.draft_text import draft_text
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.proposal_lines import speaker_lines
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.speaker_type import SpeakerType
from earshed.model.units import INCH

SMALLEST_PICTURE = 20 * INCH
ASPECT = 16 / 9
AHEAD_OF_BACK_ROW = 30 * INCH
"""How far a riser reaches in front of the ears of the back row, if the front row leaves it that. Common practice, no
source."""

_UNTIL_TOLD = {
    "width": "5m", "length": "5m", "shape": "flat", "height": "3m", "low": "2m", "pitch": "30deg", "rises": "right",
    "ridge": "front-to-back", "rise": "1cm", "inset": "1cm",
}  # fmt: skip
"""Stand-ins for figures that are still to be told, so that those told already can be tried."""
CEILING_KEYS = {
    "flat": ("height",),
    "shed": ("low", "high", "rises"),
    "gable": ("ridge", "ridge_at", "low", "far_low", "peak"),
    "hip": ("low", "peak"),
    "tray": ("height", "rise", "inset"),
}
SHAPES = tuple(CEILING_KEYS)
UNSAID = {"ridge_at": "middle", "far_low": "same"}
"""Answers that leave a key out, since the reader takes it so without."""


@dataclass(frozen=True)
class Drafted:
    """A draft with the scene that it reads as; notes say what was made to fit, and what was left out."""

    draft: Draft
    scene: Scene
    notes: tuple[str, ...]


def drafted(answers: Answers) -> Drafted:
    """What the answers so far make. The picture, the seats and the speakers are there once `screen`, `seats` (with
    all that goes with it) and `layout` are told. Raises Refused."""
    return _drafted(tuple(sorted(answers.items())))


@lru_cache(maxsize=1)
def _drafted(items: tuple[tuple[str, str], ...]) -> Drafted:
    """What answers make; those last tried are asked for again at the end of their step."""
    answers = dict(items)
    told = {**_UNTIL_TOLD, **answers}
    draft = Draft(
        title=told.get("title", "A new room"),
        print_units=units_of(answers),
        bare_lengths=answers.get("bare_lengths"),
        width=told["width"],
        length=told["length"],
        ceiling=_ceiling(told, answers),
    )
    made = Drafted(draft, read_draft(draft), ())
    if answers.get("screen", "none") != "none":
        made = _with_screen(made, answers)
    if "seats" in answers:
        made = _with_seats(made, answers)
    if answers.get("layout", "none") != "none":
        made = _with_speakers(made, answers)
    return made


def read_draft(draft: Draft) -> Scene:
    """The scene that a draft reads as. Raises Refused, with the reader's words."""
    try:
        return _read(draft_text(draft, "new.yaml"), with_catalog=bool(draft.speakers))
    except SceneError as error:
        raise Refused(error.message) from None


@lru_cache(maxsize=16)
def _read(text: str, *, with_catalog: bool) -> Scene:
    """The scene in a text; without its catalog, which takes its time and which speakers alone need, or with it.

    Most answers change a part of the scene, and the rest is there already. Raises SceneError.
    """
    tree = parse_tree(text, "new.yaml")
    if not with_catalog:
        tree = replace(tree, entries={key: entry for key, entry in tree.entries.items() if key != "catalogs"})
    return scene_from_tree(tree)


def catalog_types() -> Mapping[str, SpeakerType]:
    """The speaker types that a first scene brings in, by name."""
    empty = Draft("Nothing yet", "ft-in", None, "10'", "10'", {"shape": "flat", "height": "8'"})
    return _read(draft_text(empty, "new.yaml"), with_catalog=True).speaker_types


def _ceiling(told: Answers, answers: Answers) -> Values:
    shape = told["shape"]
    if shape not in SHAPES:
        raise Refused(f"shape must be {', '.join(SHAPES[:-1])} or {SHAPES[-1]}, not {shape}")
    values = {"shape": shape}
    for key in CEILING_KEYS[shape]:
        if key in ("peak", "high"):
            text = answers.get(key)
            values |= {"pitch": text or told["pitch"]} if text is None or is_pitch(text) else {key: text}
        elif key not in UNSAID or answers.get(key, UNSAID[key]) != UNSAID[key]:
            values[key] = told[key]
    return values


def _with_screen(made: Drafted, answers: Answers) -> Drafted:
    """The picture, smaller where the wall is too small for it, and left out where there is hardly any wall."""
    draft, units = made.draft, made.draft.print_units
    asked, bottom = size_of(answers, "screen"), size_of(answers, "screen_bottom")
    wall = made.scene.room.plan.walls[0]
    if asked <= largest_picture(made.scene.room, wall, aspect=ASPECT, bottom=bottom, margin=0.0):
        screen = {"wall": "front", "diagonal": answers["screen"], "aspect": "16:9", "bottom": answers["screen_bottom"]}
        return _again(made, replace(draft, screen=screen))
    free = largest_picture(made.scene.room, wall, aspect=ASPECT, bottom=bottom, margin=1 * INCH)
    step = 1 * INCH if units == "ft-in" else 0.01
    fitting = math.floor(free / step + 1e-6) * step
    above = f"the front wall has no room for a picture of {answers['screen']} above {answers['screen_bottom']}"
    if fitting < SMALLEST_PICTURE:
        return replace(made, notes=(*made.notes, f"screen: {above}; it is left out"))
    inches = round(fitting / INCH)
    diagonal = f"{inches}in" if units == "ft-in" else taped(fitting, units)
    screen = {"wall": "front", "diagonal": diagonal, "aspect": "16:9", "bottom": answers["screen_bottom"]}
    note = f"screen: {above}; made {diagonal}, the largest that fits"
    return _again(made, replace(draft, screen=screen), note)


def _with_seats(made: Drafted, answers: Answers) -> Drafted:
    """The seats that have room for a head, and the riser if anyone sits on it. Raises Refused if no main seat has."""
    draft = replace(made.draft, seats=tuple(_seats(made, answers)), riser=_riser(made, answers))
    scene = read_draft(draft)
    wrong = _errors(scene)
    left_out = [seat for seat in draft.seats if seat["name"] in wrong]
    seats = tuple(seat for seat in draft.seats if seat not in left_out)
    if not any("main" in seat for seat in seats):
        name = str(left_out[0]["name"])
        raise Refused(f"{name}: {wrong[name]}")
    if all("main" in seat for seat in seats):
        draft = replace(draft, riser={})
    notes = [f"{seat['name']}: {wrong[str(seat['name'])]}; it is left out" for seat in left_out]
    return _again(made, replace(draft, seats=seats), *notes)


def _seats(made: Drafted, answers: Answers) -> Iterator[Values]:
    units = made.draft.print_units
    count = count_of(answers, "seats", MOST_SEATS_IN_A_ROW)
    rows = count_of(answers, "rows", MOST_ROWS)
    spacing = size_of(answers, "seat_spacing")
    places = [answers["front_row"]]
    if rows == 2:
        places.append(taped(size_of(answers, "front_row") + size_of(answers, "row_spacing"), units))
    for row, from_front in enumerate(places):
        for number in range(count):
            called = "seat" if rows == 1 else ("front", "back")[row]
            aside = (number - (count - 1) / 2) * spacing
            values: dict[str, str | Values] = {
                "name": f"{called} {number + 1}",
                "at": {"from_center": taped(aside, units), "from_front": from_front},
                "ear_height": answers["ear_height"],
            }
            yield {**values, "main": "true"} if row == 0 else values


def _riser(made: Drafted, answers: Answers) -> Values:
    """The step under the back row: from wall to wall, and to the rear wall."""
    if count_of(answers, "rows", MOST_ROWS) == 1 or answers["riser"] in ("none", "0"):
        return {}
    units, apart = made.draft.print_units, size_of(answers, "row_spacing")
    start = size_of(answers, "front_row") + apart - min(apart / 2, AHEAD_OF_BACK_ROW)
    length = made.scene.room.plan.length - start
    if length <= 0:
        return {}
    values = {"name": "riser", "from_left": "0", "from_front": taped(start, units), "width": made.draft.width}
    return {**values, "length": taped(length, units), "height": answers["riser"]}


def _with_speakers(made: Drafted, answers: Answers) -> Drafted:
    """The speakers of a layout that the room has places for; what the checks would refuse is left out."""
    if answers["layout"] not in LAYOUTS:
        raise Refused(f"layout must be none, {', '.join(LAYOUTS)}, not {answers['layout']}")
    proposed = propose(made.scene, LAYOUTS[answers["layout"]], catalog_types())
    lines = speaker_lines(made.scene, proposed)
    wrong = _errors(read_draft(replace(made.draft, speakers=lines)))
    kept = tuple(line for line in lines if line.values["name"] not in wrong)
    notes = [f"{each.channel.words}: {each.reason}; it is left out" for each in proposed.left_out]
    notes += [f"{name}: {wrong[name]}; it is left out" for line in lines if (name := str(line.values["name"])) in wrong]
    return _again(made, replace(made.draft, speakers=kept), *notes)


def _errors(scene: Scene) -> dict[str, str]:
    """What cannot be built as drawn, by the thing that it is about."""
    found = find_all(scene, seat_pairs(scene))
    return {finding.subject: finding.message for finding in reversed(found) if finding.severity == "error"}


def _again(made: Drafted, draft: Draft, *notes: str) -> Drafted:
    return Drafted(draft, read_draft(draft), (*made.notes, *notes))
