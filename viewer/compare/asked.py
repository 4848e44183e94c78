"""Which two scenes `earshed compare` is asked to hold against each other, and what was found in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from earshed.model.checks.run import find_all
from earshed.model.compare.compare import BeforeAfter, before_after
from earshed.model.finding import Finding
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import is_laid_over, read_design, read_scene
from earshed.viewer.output import OutputError
from earshed.viewer.wording import shortened

USUAL = ("as found", "proposed")
"""The schemes that are taken where nothing is said and a scene has both."""
BASE = "base"


@dataclass(frozen=True, eq=False)
class Side:
    """One of the two scenes: the file it is from, what it is called beside the other, and its findings."""

    path: Path
    scene: Scene
    label: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, eq=False)
class Compared:
    """Two scenes, before and after, and all that is other between them."""

    before: Side
    after: Side
    change: BeforeAfter

    @property
    def sides(self) -> tuple[Side, Side]:
        return self.before, self.after

    @property
    def findings(self) -> list[Finding]:
        return [*self.before.findings, *self.after.findings]

    @property
    def title(self) -> str:
        """What it is all about: the title of the scene, or of both."""
        then, now = self.before.scene.title, self.after.scene.title
        return now if then == now else f"{then} / {now}"


def compared(paths: Sequence[Path], before: str | None, after: str | None) -> Compared:
    """One file under two schemes, or two files. Raises SceneError, and OutputError where it is not clear which."""
    if len(paths) == 2:
        scenes = [read_scene(path, name) for path, name in zip(paths, (before, after), strict=True)]
        labels = _file_labels(paths, scenes)
    else:
        scenes = list(_of_one_file(paths[0], before, after))
        labels = [_called(scene) for scene in scenes]
        if labels[0] == labels[1] and is_laid_over(paths[0]) and before is None:
            labels[1] = paths[0].stem
    found = [(scene, seat_pairs(scene)) for scene in scenes]
    findings = [tuple(find_all(*one)) for one in found]
    sides = [Side(*one) for one in zip((paths[0], paths[-1]), scenes, labels, findings, strict=True)]
    return Compared(sides[0], sides[1], before_after(found[0], found[1]))


def _of_one_file(path: Path, before: str | None, after: str | None) -> tuple[Scene, Scene]:
    """The two scenes of one file: as they are named, else as is usual."""
    if is_laid_over(path) and before is None:
        now = read_scene(path, after)
        return read_design(path, now.scheme or BASE), now
    scene = read_scene(path, None if is_laid_over(path) else BASE)
    names = _names(scene, before, after, path)
    return read_scene(path, names[0]), read_scene(path, names[1])


def _names(scene: Scene, before: str | None, after: str | None, path: Path) -> tuple[str, str]:
    """The names of both schemes. Raises OutputError where what is not said cannot be told."""
    schemes = scene.schemes
    if before is not None and after is not None:
        return before, after
    if before is None and after is None:
        if all(name in schemes for name in USUAL):
            return USUAL
        if len(schemes) == 1:
            return BASE, schemes[0]
    elif after is not None:
        earlier = [name for name in (USUAL[0], BASE) if name != after and name in (*schemes, BASE)]
        return earlier[0], after
    else:
        assert before is not None
        later = [name for name in schemes if name != before]
        if USUAL[1] in later or len(later) == 1:
            return before, USUAL[1] if USUAL[1] in later else later[0]
    if not schemes:
        raise OutputError(f"{path} has no schemes to compare; give a second file, or add some under schemes:")
    known = shortened(", ".join((*schemes, BASE)), 300)
    raise OutputError(f"{path}: which two? say --before NAME and --after NAME, of {known}")


def _called(scene: Scene) -> str:
    return scene.scheme or "as it stands"


def _file_labels(paths: Sequence[Path], scenes: Sequence[Scene]) -> list[str]:
    """What the scenes of two files are called: by their schemes where those tell them apart, else by their files."""
    labels = [_called(scene) for scene in scenes]
    if labels[0] != labels[1] and all(scene.scheme for scene in scenes):
        return labels
    stems = [path.stem for path in paths]
    if stems[0] == stems[1]:
        stems = [str(path) for path in paths]
    return [f"{stem}, {scene.scheme}" if scene.scheme else stem for stem, scene in zip(stems, scenes, strict=True)]
