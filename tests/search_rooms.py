"""Small rooms to search for places in, in metres, and asks of them."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.search.answer import Answer, explained_one, explained_pair, found_one, found_pair
from earshed.model.search.ask import STEP, Ask
from earshed.model.search.asking import ask_of
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.search import Search
from earshed.model.search.spots import Spots
from earshed.model.seating import main_seats
from earshed.model.window import Window

TYPES = """
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in}
  angled: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 8in, bezel: 9in}
  pivot: {mount: in-ceiling, aiming: {pivoting: 18deg}, coverage: 100deg, cutout: 8in, bezel: 9in}
  slot: {mount: in-ceiling, aiming: fixed, coverage: 80deg, cutout: 5in x 12in, bezel: 6in x 13in}
  wall: {mount: in-wall, aiming: {pivoting: 12deg}, coverage: 110deg, cutout: 7in, bezel: 8in}
"""
WIDTH, LENGTH, HEIGHT = 240 * STEP, 300 * STEP, 2.6
EAR = 1.1
SEAT = f"{{name: sofa, at: {{from_center: 0, from_front: {200 * STEP}}}, ear_height: {EAR}, main: true}}"
"""On the grid, in the middle of the room."""
ONE = "{name: top, type: flush, at: {from_center: 0, from_front: 1}}"

OBSTRUCTED = """
framing: [{name: joists, surface: ceiling, member: 2x8, spacing: 16in, direction: side-to-side, first_center: 5in}]
fixtures:
  - {name: can, kind: can light, at: {from_left: 1.4, from_front: 2.4}, cutout: 6in}
  - {name: smoke, kind: detector, at: {from_left: 1.9, from_front: 2.9}}
  - {name: pier, kind: box, from_left: 0.4, from_front: 1.2, bottom: 0, width: 0.5, length: 0.5, height: 2.3}
keep_outs: [{name: pipe, kind: pipe, at: {from_left: 1.2, from_front: 2.8}, diameter: 2in}]
"""
WINDOW = Window((math.radians(20), math.radians(60)), (math.radians(30), math.radians(55)), "by hand")


def read(
    more: str = "", *, room: str = "", seats: str = SEAT, speakers: str = ONE, types: str = TYPES, units: str = "mm"
) -> Scene:
    """A scene of a room, 10 ft wide and 12-1/2 ft long, under a flat ceiling."""
    room = room or f"{{width: {WIDTH}, length: {LENGTH}, ceiling: {{shape: flat, height: {HEIGHT}}}}}"
    text = (
        f"format: 1\ntitle: Search\nbare_lengths: m\nprint_units: {units}\nroom: {room}\n"
        f"seats: [{seats}]\nspeakers: [{speakers}]\n{types}\n{more}\n"
    )
    return scene_from_tree(parse_tree(text, "search.yaml"))


def obstructed(more: str = OBSTRUCTED):
    return read(more, seats=seats((-30, 210), (10, 200), (50, 205)))


def seats(*places: tuple[float, float]) -> str:
    """Main seats at steps of the grid from the middle of the room and its front."""
    return ", ".join(
        f"{{name: s{n}, at: {{from_center: {x * STEP}, from_front: {y * STEP}}}, ear_height: {EAR}, main: true}}"
        for n, (x, y) in enumerate(places)
    )


def asked(scene: Scene, name: str = "top", types: tuple[str, ...] = (), **changes: Any) -> Ask:
    """The ask of one speaker for the main seats, with any type of its mount or some by name."""
    speaker = next(one for one in scene.speakers if one.name == name)
    chosen = [scene.speaker_types[kind] for kind in types] or None
    ask = ask_of(scene, speaker, moving=[speaker], seats=main_seats(scene.seats), types=chosen)
    return replace(ask, **changes)


def search(scene: Scene, *types: str, step: float = STEP, **changes: Any) -> Spots:
    """All places of the speaker `top`."""
    return Search(asked(scene, types=types, **changes), step).finish()


def best(spots: Spots) -> Spots:
    return spots.take(spots.order[:1])


def answer_one(search: Search, count: int) -> Answer:
    """What a search for one speaker found, with what could be given up."""
    return explained_one(found_one(search, count), search)


def answer_pair(search: PairSearch, count: int) -> Answer:
    """The same for two partners."""
    return explained_pair(found_pair(search, count), search)
