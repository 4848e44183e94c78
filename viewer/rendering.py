"""The room alone as pixels: what is put on a stage, seen from a view."""

from __future__ import annotations

from collections.abc import Callable

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


def render(scene: Scene, view: View, size: tuple[int, int], furnish: Callable[[pv.Plotter], object]) -> Image.Image:
    """A picture, of a size in pixels, of what `furnish` puts of a scene on the stage and lights.

    It is drawn at twice the size and brought down, which smooths every edge. What the view cuts is painted as cut.
    """
    plotter = pv.Plotter(off_screen=True, window_size=[OVERSAMPLING * each for each in size], lighting="none")
    try:
        plotter.set_background(palette.PAPER)
        plotter.disable_anti_aliasing()  # with it, peeling would make what is translucent vanish
        plotter.enable_depth_peeling(PEELS)
        furnish(plotter)
        plotter.enable_ssao(radius=0.32, bias=0.025, kernel_size=SAMPLES, blur=True)
        view.apply(plotter)
        pixels = plotter.screenshot(None, return_img=True)
    finally:
        plotter.close()
    picture = Image.fromarray(pixels).resize(size, Image.Resampling.LANCZOS)
    if view.is_cut:
        paint_cut(picture, view, scene)
    return picture
