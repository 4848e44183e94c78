"""Which scene a report is of, and which it is held against."""

from __future__ import annotations

from pathlib import Path

from earshed.model.scene import Scene
from earshed.model.scene_file.read import is_laid_over, read_design, read_scene
from earshed.viewer.compare.asked import BASE, USUAL
from earshed.viewer.output import OutputError
from earshed.viewer.wording import shortened


def chosen(path: Path, scheme: str | None, before: str | None) -> tuple[Scene, Scene | None]:
    """The scene that is reported, and the one before it; None for one that is reported as it stands.

    Without a word that is `proposed` against `as found`, where there are both, and else the only scheme against the
    scene itself; an overlay is held against what it is laid over. Raises SceneError, and OutputError where it is not
    clear which scheme is meant.
    """
    if is_laid_over(path):
        now = read_scene(path, scheme)
        return now, read_design(path, before or now.scheme or BASE)
    plain = read_scene(path, BASE)
    name = scheme or _usual(plain, path)
    now = plain if name == BASE else read_scene(path, name)
    earlier = before or _earlier(plain.schemes, name)
    return now, None if earlier is None else read_scene(path, earlier)


def _usual(scene: Scene, path: Path) -> str:
    schemes = scene.schemes
    if USUAL[1] in schemes:
        return USUAL[1]
    if len(schemes) > 1:
        known = shortened(", ".join((*schemes, BASE)), 300)
        raise OutputError(f"{path}: a report of which scheme? say --scheme NAME, of {known}")
    return schemes[0] if schemes and schemes[0] != USUAL[0] else BASE


def _earlier(schemes: tuple[str, ...], name: str) -> str | None:
    """What a scheme is held against without a word: nothing is before the room as it was found."""
    if name in (BASE, USUAL[0]):
        return None
    return USUAL[0] if USUAL[0] in schemes else BASE
