"""Two rooms in three dimensions, from one place: from a corner, from a seat, and looking up at the ceiling."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pyvista as pv
from PIL import Image

from earshed.model.compare.compare import BeforeAfter
from earshed.model.compare.holes import count_of
from earshed.model.compare.maps import common_bounds
from earshed.model.hidden import ExistingHole
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.camera import View, find_view, from_below, seat_view
from earshed.viewer.compare.numbered import with_numbers
from earshed.viewer.compare.shown import seat_shown, shown_signals
from earshed.viewer.compare.views import Key, Swatch, ViewPair
from earshed.viewer.rendering import Studio, studio
from earshed.viewer.stage import add_cone, add_old_holes, light_stage, show_room
from earshed.viewer.wording import shortened

SIZE = (880, 740)


@dataclass(frozen=True, eq=False)
class Stage:
    """What to draw of a scene: the cones of some speakers, each in its color, and the old holes that show."""

    scene: Scene
    cones: Sequence[tuple[str, Speaker]] = ()
    holes: Sequence[ExistingHole] = ()


def room_views(change: BeforeAfter, size: tuple[int, int] = SIZE) -> list[ViewPair]:
    """The views of two rooms, each from the same place in both."""
    with studio(size) as opened:
        views = [corner_view(change, opened)]
        if (seat := seat_shown(change)) is not None:
            views.append(_from_seat(change, seat, opened))
    return [*views, ceiling_view(change, size[0])]


def corner_view(change: BeforeAfter, opened: Studio) -> ViewPair:
    """Both rooms seen into from a corner, with the cones of the speakers that are other than they were."""
    signals = [
        (number, palette.SPEAKER_HUES[(number - 1) % len(palette.SPEAKER_HUES)], signal)
        for number, signal in enumerate(shown_signals(change), start=1)
    ]
    key = Key("speakers:", tuple(Swatch(color, f"{n} {shortened(one.called, 28)}") for n, color, one in signals))
    view = find_view(change.after, "corner", opened.aspect, beside=change.before)
    then = [(number, color, one) for number, color, signal in signals for one in signal.before]
    now = [(number, color, one) for number, color, signal in signals for one in signal.after]
    stages = [Stage(scene, [(color, one) for _, color, one in speakers])
              for scene, speakers in ((change.before, then), (change.after, now))]  # fmt: skip
    bare_ones = rendered_pair(stages[0], stages[1], view, opened)
    pictures = with_numbers(bare_ones[0], view, then), with_numbers(bare_ones[1], view, now)
    caption = "Each cone is where a speaker is heard clearly; its arrow is where the speaker points."
    shows = "The room seen into from its rear right corner, with the cones of its speakers"
    return ViewPair("corner", "The room, and where its speakers point", caption, shows, pictures, key)


def _from_seat(change: BeforeAfter, seat: str, opened: Studio) -> ViewPair:
    view = seat_view(change.after, next(one for one in change.after.seats if one.name == seat))
    pictures = rendered_pair(bare(change.before), Stage(change.after), view, opened)
    name = shortened(seat, 40)
    caption = f"What one sees there, looking at the screen. {holes_sentence(change)}"
    return ViewPair("seat", f"From {name}", caption, f"The room seen from {name}", pictures, Key("", ()))


def ceiling_view(change: BeforeAfter, longest: int = SIZE[0]) -> ViewPair:
    """The ceiling in a picture of its own proportions, its longer side that many pixels."""
    across = np.ptp(common_bounds(change.before, change.after), axis=0)
    width, height = (round(longest * float(each / across.max())) for each in across)
    size = (width, height)
    view = from_below(change.after, width / height, beside=change.before)
    with studio(size) as opened:
        pictures = rendered_pair(bare(change.before), Stage(change.after), view, opened)
    caption = f"As you see it looking up, the screen wall at the foot. {holes_sentence(change)}"
    shows = "The ceiling from below, with its lights and the rims of its speakers"
    return ViewPair("ceiling", "How the ceiling will look", caption, shows, pictures, Key("", ()))


def holes_sentence(change: BeforeAfter) -> str:
    """What of the ceiling looks other, in a sentence."""
    new, wide = count_of(change.holes, "cut", "shrink", "recut"), count_of(change.holes, "widen")
    gone = count_of(change.holes, "patch", "open", "shrink", "recut")
    told = [f"{count} {words}" for count, words in (
        (new, "new"), (wide, "cut wider"), (gone, "patched")) if count]  # fmt: skip
    if not told:
        return "No hole is cut, widened or patched."
    return f"Holes: {', '.join(told)}."


def bare(scene: Scene) -> Stage:
    """A room as it is found, with the old holes that nobody has patched yet."""
    return Stage(scene, holes=scene.existing_holes)


def rendered_pair(then: Stage, now: Stage, view: View, opened: Studio) -> tuple[Image.Image, Image.Image]:
    """Both rooms from one place; a scene that is held against itself is drawn once, as it will be."""
    if then.scene is now.scene:
        shown = rendered(now, view, opened)
        return shown, shown
    return rendered(then, view, opened), rendered(now, view, opened)


def rendered(stage: Stage, view: View, opened: Studio) -> Image.Image:
    """The room alone."""
    return opened.take(stage.scene, view, lambda plotter: _furnish(plotter, stage, view))


def _furnish(plotter: pv.Plotter, stage: Stage, view: View) -> None:
    show_room(plotter, stage.scene, view)
    add_old_holes(plotter, stage.holes)
    light_stage(plotter)
    for color, speaker in stage.cones:
        add_cone(plotter, stage.scene, speaker, color, view, filled=True)
