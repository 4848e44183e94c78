"""The room alone as pixels: what is put on a stage, seen from a view."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pyvista as pv
from PIL import Image

from earshed.model.scene import Scene
from earshed.viewer import palette
from earshed.viewer.camera import View
from earshed.viewer.cut_drawing import paint_cut

OVERSAMPLING = 2
PEELS, SAMPLES = 6, 32
"""Passes over what is translucent, two layers each, and points at which it is asked how deep a corner is: with twice as
many nobody sees a difference, and a picture takes a third longer."""


Furnish = Callable[[pv.Plotter], object]
"""Puts what is to be seen on the stage, and lights it."""


class Studio:
    """Where pictures of a size in pixels are taken one after another: what draws them is made ready once."""

    def __init__(self, size: tuple[int, int]) -> None:
        self.size = size
        self._plotter = pv.Plotter(off_screen=True, window_size=[OVERSAMPLING * each for each in size], lighting="none")
        self._plotter.set_background(palette.PAPER)
        self._plotter.disable_anti_aliasing()  # with it, peeling would make what is translucent vanish
        self._plotter.enable_depth_peeling(PEELS)
        self._plotter.enable_ssao(radius=0.32, bias=0.025, kernel_size=SAMPLES, blur=True)

    @property
    def aspect(self) -> float:
        return self.size[0] / self.size[1]

    def take(self, scene: Scene, view: View, furnish: Furnish) -> Image.Image:
        """A picture of what `furnish` puts of a scene on the stage.

        It is drawn at twice the size and brought down, which smooths every edge. What the view cuts is painted as cut.
        """
        plotter = self._plotter
        plotter.suppress_rendering = True  # else a picture is drawn for each thing that is put there
        plotter.clear_actors()
        plotter.remove_all_lights()
        furnish(plotter)
        view.apply(plotter)
        plotter.suppress_rendering = False
        plotter.render()
        pixels = plotter.screenshot(None, return_img=True)
        picture = Image.fromarray(pixels).resize(self.size, Image.Resampling.LANCZOS)
        if view.is_cut:
            paint_cut(picture, view, scene)
        return picture

    def close(self) -> None:
        self._plotter.close()


@contextmanager
def studio(size: tuple[int, int]) -> Iterator[Studio]:
    """A studio for pictures of a size, which is closed after them."""
    opened = Studio(size)
    try:
        yield opened
    finally:
        opened.close()


def render(scene: Scene, view: View, size: tuple[int, int], furnish: Furnish) -> Image.Image:
    """One picture, of a size in pixels."""
    with studio(size) as opened:
        return opened.take(scene, view, furnish)
