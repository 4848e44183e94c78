"""What a hole in a face has to keep away from behind the board: framing, and what a scan or a test hole found."""

from __future__ import annotations

from collections.abc import Iterator

from earshed.model.face_shape import FaceShape
from earshed.model.finding import Severity
from earshed.model.framing import Framing, member_width, members_on
from earshed.model.geometry import TOUCHING
from earshed.model.hidden import CAUTIONS, KeepOut
from earshed.model.obstacle import Level, Obstacle
from earshed.model.scene import Scene
from earshed.model.surface import Surface


def framing_on(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    for framing in scene.framing:
        if face.name in [surface.name for surface in framing.surfaces]:
            for number, member in enumerate(members_on(framing, face), start=1):
                yield member_obstacle(scene, framing, number, member_width(member), member.mark.within)


def member_obstacle(scene: Scene, framing: Framing, number: int, strip: FaceShape, within: float) -> Obstacle:
    called = f"one of the {framing.name}" if framing.spacing is not None else f"member {number} of {framing.name}"
    saw = scene.clearances.of("saw")
    return Obstacle(framing.name, "framing", _timber(scene, called, "crosses-member", strip, within, saw))


def _timber(scene: Scene, called: str, rule: str, shape: FaceShape, within: float, saw: float) -> tuple[Level, ...]:
    clamp = scene.clearances.of("clamp")
    runs = f"its cut-out runs into {called}"
    return (
        Level(rule, "error", "cut", shape, 0.0, runs),
        Level("near-member", "error", "cut", shape, saw, called, "for the saw and the bezel", within),
        Level("clamp-short", "warning", "clamps", shape, clamp, called, "for its clamps", within),
    )


def hidden_on(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """What a scan or a test hole found; what begins deep behind the board is a matter of depth, not of place."""
    for found in scene.keep_outs:
        if found.surface.name == face.name and found.behind is None:
            yield keep_out(scene, found)


def hidden_before(scene: Scene, face: Surface, needed: float) -> Iterator[Obstacle]:
    """What begins deep behind the board, but not as deep as the metres that a hole's speaker needs there."""
    for found, _, is_sure in begins_too_near(scene, face, needed):
        severity: Severity = "error" if is_sure else "warning"
        yield Obstacle(
            found.name, "hidden", (Level("too-deep", severity, "cut", found.shape, 0.0, within=found.within),)
        )


def begins_too_near(scene: Scene, face: Surface, needed: float) -> Iterator[tuple[KeepOut, float, bool]]:
    """What begins behind the board of a face, but not as deep as the metres needed: with the metres at which it begins,
    and whether that is too little even where it is just where it was found."""
    for found in scene.keep_outs:
        if found.surface.name != face.name or found.behind is None:
            continue
        if needed > found.behind - found.within + TOUCHING:
            yield found, found.behind, needed > found.behind + TOUCHING


def keep_out(scene: Scene, found: KeepOut) -> Obstacle:
    called = f"{found.name} ({found.kind})"
    if found.kind == "blocking":
        levels = _timber(scene, called, "cuts-hidden", found.shape, found.within, found.keep_clear)
        return Obstacle(found.name, "hidden", levels)
    runs = f"its cut-out runs into {called}"
    levels = (
        Level("cuts-hidden", "error", "cut", found.shape, 0.0, runs),
        Level("near-hidden", "warning", "cut", found.shape, found.keep_clear, called, "", found.within),
    )
    return Obstacle(found.name, "hidden", levels, note=CAUTIONS.get(found.kind, ""))
