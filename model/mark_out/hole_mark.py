"""All that is printed of one hole: its tapes, what is near it, what has to be behind it, how the speaker is turned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from earshed.model.cavity import Cavity
from earshed.model.cut_fit import covers, wider
from earshed.model.fixture import Fixture
from earshed.model.framing import Direction, runs_along
from earshed.model.geometry import Array
from earshed.model.hidden import ExistingHole
from earshed.model.hole import Hole
from earshed.model.landing import Landing, landing
from earshed.model.mark_out.floor_mark import FloorMark, floor_mark
from earshed.model.mark_out.tapes import Tapes
from earshed.model.neighbors import Near, way_to, wood_round
from earshed.model.scene import Scene
from earshed.model.search.ask import WAYS, Offer
from earshed.model.search.asking import ask_of
from earshed.model.search.ground import Slide, ground_of, slides
from earshed.model.search.in_the_way import obstacles_for
from earshed.model.speaker import Speaker
from earshed.model.turning import RimMark, WallTurn, rim_mark, wall_turn

LIGHTS = ("can light", "pendant")


@dataclass(frozen=True, eq=False)
class NearLight:
    """The light nearest to a hole on its face: metres between what shows of both and between their centers, and the way
    (3,) there."""

    light: Fixture
    gap: float
    centers: float
    way: Array


@dataclass(frozen=True, eq=False)
class OldCut:
    """A hole that is there already, and metres across by which it is cut wider, 0 where nothing is sawn."""

    hole: ExistingHole
    larger: float


@dataclass(frozen=True, eq=False)
class HoleMark:
    """One hole as it is marked out, metres.

    `wood` is what is nearest behind the board and what is on the other side, then crosswise to it, `slides` how far the
    hole can be moved and stay clear. `needed` is the depth behind the board, None where the type states none. `sweep`
    is the radius that a bent wire through the pilot hole has to find free: half of the cut-out and what clamps reach.
    `rim` says where an axis that leans is turned to, `turn` the same on a wall, `lands` where the axis ends.
    """

    speaker: Speaker
    hole: Hole
    tapes: Tapes
    floor: FloorMark
    wood: tuple[Near, ...]
    light: NearLight | None
    slides: tuple[Slide, ...]
    cavity: Cavity
    needed: float | None
    sweep: float
    rim: RimMark | None
    turn: WallTurn | None
    lands: Landing | None
    old: OldCut | None


def hole_mark(scene: Scene, speaker: Speaker, hole: Hole, tapes: Tapes, mark: float) -> HoleMark:
    """The mark-out of a speaker's hole; `mark` is the step of the tape, metres."""
    face, middle = hole.surface, hole.middle
    offer = Offer(speaker.type, _way_of(speaker))
    ask = replace(ask_of(scene, speaker, moving=[speaker], seats=()), offers=(offer,))
    old = _old_cut(scene, hole)
    taken = {old.hole.name} if old is not None else set()
    near = [one for one in obstacles_for(ask, face, offer) if one.name not in taken]
    cavity = scene.cavity(face)
    leans = speaker.has_verdict
    return HoleMark(
        speaker,
        hole,
        tapes,
        floor_mark(scene, speaker.position, mark),
        wood_round(near, face, middle, hole.shape),
        _nearest_light(scene, hole),
        () if old is not None else slides(ground_of(ask, face, offer), middle),
        cavity,
        speaker.type.depth_behind(cavity.board),
        _sweep(scene, hole),
        rim_mark(speaker, speaker.axis, scene.ahead) if leans else None,
        wall_turn(speaker.normal, speaker.axis) if leans else None,
        landing(scene.room, speaker.position, speaker.normal, speaker.axis) if leans else None,
        old,
    )


def _way_of(speaker: Speaker) -> Direction | None:
    """The way that the long side of a rectangular hole lies, as an offer names it."""
    face, long_axis = speaker.surface, speaker.long_axis
    if long_axis is None or face is None:
        return None
    return max(WAYS, key=lambda way: abs(float(runs_along(way, face.normal) @ long_axis)))


def _old_cut(scene: Scene, hole: Hole) -> OldCut | None:
    on_face = (old for old in scene.existing_holes if old.surface.name == hole.surface.name)
    found = next((old for old in on_face if covers(hole.cut, old.shape)), None)
    return None if found is None else OldCut(found, wider(hole.cut, found.shape))


def _nearest_light(scene: Scene, hole: Hole) -> NearLight | None:
    face = hole.surface
    lights: Sequence[Fixture] = [one for one in scene.fixtures if one.kind in LIGHTS and one.surface.name == face.name]
    found = []
    for light in lights:
        centers = float(np.hypot(*(face.to_face(light.position) - hole.middle)))
        found.append(NearLight(light, light.seen.gap(hole.rim), centers, way_to(light.seen, hole.middle, face)))
    return min(found, key=lambda one: one.gap, default=None)


def _sweep(scene: Scene, hole: Hole) -> float:
    cut, clamps = hole.type.cutout or hole.type.rim, hole.type.clamps
    reach = clamps.reach if clamps is not None else None
    return cut.widest / 2 + (scene.clearances.of("clamp") if reach is None else reach)
