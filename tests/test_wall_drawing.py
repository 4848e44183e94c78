"""What is behind a wall looks on a page of places as what is behind a ceiling does on a map."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure

from earshed.viewer.face_views import from_inside
from earshed.viewer.hidden_drawing import draw_framing, draw_hidden, hidden_signs
from tests.search_rooms import LENGTH, read

HIDDEN = """
framing: [{name: studs, surface: left wall, member: 2x4, spacing: 16in, direction: up-slope, first_center: 8in}]
keep_outs:
  - {name: duct, kind: duct, wall: left, from_front: 1, bottom: 1.2, width: 0.3, height: 0.25}
  - {name: over, kind: pipe, at: {from_left: 1, from_front: 1}, diameter: 0.2}
existing_holes: [{name: old, wall: left, from_front: 3, height: 1.2, cutout: 0.18}]
"""


def test_a_wall_shows_its_own_with_the_patterns_and_lines_of_a_map():
    scene = read(HIDDEN)
    wall = next(face for face in scene.room.surfaces if face.name == "left wall")
    axes = Figure().subplots()
    draw_framing(axes, scene, from_inside(wall), lambda face: face.name == wall.name)
    studs = len(axes.patches)
    assert studs == len(np.arange(8 * 0.0254, LENGTH, 16 * 0.0254))
    draw_hidden(axes, scene, from_inside(wall), lambda face: face.name == wall.name)
    duct, old = axes.patches[studs:]
    (strokes,) = (one for one in axes.collections if isinstance(one, LineCollection))
    ends = np.concatenate(strokes.get_segments())
    along = -1.0 if from_inside(wall)(np.array([0.0, -1.0, 0.0]))[0] < 0 else 1.0
    box = np.array([[1.0, 1.2], [1.3, 1.45]])
    np.testing.assert_allclose(np.sort(np.ptp(duct.get_xy(), axis=0)), [0.25, 0.3], atol=1e-6)
    assert ((ends * [along, 1] >= box[0] - 1e-6) & (ends * [along, 1] <= box[1] + 1e-6)).all()
    slopes = {round(float(np.diff(line[:, 1])[0] / np.diff(line[:, 0])[0])) for line in strokes.get_segments()}
    assert slopes == {1, -1}  # a duct is crossed both ways
    assert old.get_xy().mean(axis=0)[1] == pytest.approx(1.2, abs=0.01)
    assert not old.get_fill() or old.get_facecolor()[3] == 0
    assert old.get_linestyle() != "-"
    looks = [(look, kind) for look, kind, _ in hidden_signs(scene, lambda face: face.name == wall.name)]
    assert looks == [("counted", None), ("old hole", None), ("keep-out", "duct")]
