"""The mark-out of a scene: every hole with its tapes, and the checks between them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from earshed.model.checks.readings import WHEN_WIRED
from earshed.model.checks.run import find_all
from earshed.model.finding import Finding
from earshed.model.mark_out.hole_mark import HoleMark, hole_mark
from earshed.model.mark_out.hung import Wish
from earshed.model.mark_out.strings import String, Twin, strings, twins
from earshed.model.mark_out.tapes import Tapes, tapes_for
from earshed.model.pairs import seat_pairs
from earshed.model.ruler import Ruler
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker, speaker_holes

TO_TAPE_AGAIN = ("walk-does-not-close", "tape-misread", "hidden-outside", "hole-past-edge")
"""Rules that leave in doubt how large the room is, or what is behind its faces."""
ELSEWHERE = (
    "seat-outside-coverage", "seat-blocked", "through-hanging", "outside-window", "insulation", *WHEN_WIRED,
)  # fmt: skip
"""Rules of warnings that nobody minds who marks a hole, or that what is behind the board says already."""


@dataclass(frozen=True, eq=False)
class MarkOut:
    """All holes of a scene in its order; `findings` are those on them and those that leave the room itself in doubt,
    `without` the speakers that are not cut in."""

    scene: Scene
    ruler: Ruler
    wish: Wish
    holes: tuple[HoleMark, ...]
    twins: tuple[Twin, ...]
    strings: tuple[String, ...]
    findings: tuple[Finding, ...]
    without: tuple[Speaker, ...]

    def bars(self, speaker: Speaker) -> list[Finding]:
        """Why a hole is not to be cut yet: errors on it, and what leaves the room itself in doubt."""
        return [one for one in self.findings if one.rule in TO_TAPE_AGAIN or _is_error_on(one, speaker.name)]

    def cares(self, speaker: Speaker) -> list[Finding]:
        """What one has to mind at a hole besides."""
        names = (speaker.name,)
        mine = [one for one in self.findings if one.severity == "warning" and _is_on(one, names)]
        return [one for one in mine if one.rule not in ELSEWHERE]


def mark_out(scene: Scene, ruler: Ruler, wish: Wish, names: Sequence[str] = ()) -> MarkOut:
    """The mark-out of some speakers by name, of all without any. Raises ValueError for a wish that fits no hole.

    Tapes are chosen for all holes of the scene together, so that a sheet of one hole agrees with that of all.
    """
    speakers = {one.name: one for one in scene.speakers}
    holes = speaker_holes(scene.speakers, scene.ahead)
    every = zip(holes, tapes_for(scene, holes, wish), strict=True)
    marks = [hole_mark(scene, speakers[hole.owner], hole, tapes, ruler.mark) for hole, tapes in every]
    asked = set(names) or set(speakers)
    pairs = twins(scene, marks)
    return MarkOut(
        scene,
        ruler,
        wish,
        tuple(one for one in marks if one.speaker.name in asked),
        tuple(one for one in pairs if asked.intersection(one.names)),
        tuple(one for one in strings(pairs) if asked.intersection(one.names)),
        tuple(one for one in find_all(scene, seat_pairs(scene)) if _is_on(one, asked) or one.rule in TO_TAPE_AGAIN),
        tuple(one for one in scene.speakers if one.surface is None and one.name in asked),
    )


def _is_on(finding: Finding, names: Collection[str]) -> bool:
    return finding.subject in names or finding.other in names


def _is_error_on(finding: Finding, name: str) -> bool:
    return finding.severity == "error" and _is_on(finding, (name,))


def tapes_at(scene: Scene, speaker: Speaker, wish: Wish) -> Tapes:
    """The tapes of one hole by itself, as of a second choice, pulled from what the others are where it can be."""
    others = [one for one in scene.speakers if one.name != speaker.name]
    holes = speaker_holes([speaker, *others], scene.ahead)
    return tapes_for(scene, holes, wish)[0]
