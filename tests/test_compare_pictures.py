"""Pictures of before and after: seen from one place, in the same colors, whatever the two scenes are."""

from __future__ import annotations

import io
from itertools import combinations

import numpy as np
import pytest
from PIL import Image

from earshed.model.compare.maps import map_change
from earshed.viewer import palette
from earshed.viewer.camera import find_view, from_below
from earshed.viewer.compare import plan_views, room_views, side_by_side
from earshed.viewer.compare.side_by_side import Foot
from earshed.viewer.gl import prepare_offscreen
from tests.compared_rooms import DEN, IDS, SCENES, change_of, held, read, top_at
from tests.test_palette import SIGHT, cielab, contrast, linear

FOOT = Foot("Den", "as found", "proposed", "2030-01-02")
SMALL = (220, 185)


def bytes_of(image: Image.Image) -> bytes:
    return image.tobytes()


def maps_of(change):
    return map_change(change.before, change.after, change.signals)


@pytest.fixture(scope="module", autouse=True)
def offscreen():
    prepare_offscreen()


# --- colors


@pytest.mark.parametrize("sight", SIGHT)
def test_steps_of_change_are_told_apart(sight):
    """Any two for every kind of sight; in gray the two sides by the strokes over what is worse, and still apart."""
    seen = cielab(np.array([linear(color) for color in palette.CHANGE_COLORS]) @ SIGHT[sight].T)
    apart = [float(np.linalg.norm(one - other)) for one, other in combinations(seen, 2)]
    assert min(apart) > 4.0  # well over what is just seen


def test_steps_of_change_run_from_the_middle_to_both_ends():
    """The farther from no change, the darker, on either side."""
    lightness = [float(cielab(linear(color))[0]) for color in palette.CHANGE_COLORS]
    assert lightness[3] == max(lightness)
    assert lightness[:4] == sorted(lightness[:4])
    assert lightness[3:] == sorted(lightness[3:], reverse=True)
    assert len(palette.CHANGE_EDGES) == len(palette.CHANGE_COLORS) - 1
    assert [-edge for edge in palette.CHANGE_EDGES] == list(palette.CHANGE_EDGES[::-1])


def test_ink_reads_on_every_step():
    assert min(contrast(palette.INK, color) for color in palette.CHANGE_COLORS[:6]) > 3
    assert contrast(palette.INK, palette.CHANGE_COLORS[3]) > 4.5


# --- one view for both


def test_both_pictures_of_a_room_are_taken_from_one_place(monkeypatch):
    """Where the rooms differ in size, the view takes in both."""
    taken = []

    def note(stage, view, opened):
        taken.append((stage.scene, view, opened.size))
        return Image.new("RGB", opened.size)

    monkeypatch.setattr(room_views, "rendered", note)
    change = held(read(DEN), read(DEN.replace("width: 5", "width: 4.6").replace("height: 2.5", "height: 3.1")))
    views = room_views.room_views(change)
    assert [view.name for view in views] == ["corner", "seat", "ceiling"]
    for (before, first, size), (after, second, its_size) in zip(taken[::2], taken[1::2], strict=True):
        assert (before, after) == (change.before, change.after)
        assert first is second
        assert size == its_size


@pytest.mark.parametrize("swapped", [False, True])
def test_the_view_takes_in_both_rooms(swapped):
    low, high = read(DEN), read(DEN.replace("width: 5", "width: 4.6").replace("height: 2.5", "height: 3.1"))
    scene, beside = (high, low) if swapped else (low, high)
    for view in (find_view(scene, "corner", 1.2, beside=beside), from_below(scene, 1.2, beside=beside)):
        for one in (scene, beside):
            seen = view.pixels(one.room.shell.vertices, (1200, 1000))
            assert (seen > 0).all()
            assert (seen < [1200, 1000]).all()


def test_looking_up_left_is_left_and_the_front_is_at_the_foot():
    den = read(DEN)
    view = from_below(den, 1.0, beside=den)
    left_front, right_rear = view.pixels(np.array([[0.5, -0.5, 2.5], [4.5, -5.5, 2.5]]), (1000, 1000))
    assert left_front[0] < right_rear[0]
    assert left_front[1] > right_rear[1]
    assert view.place[2] == pytest.approx(1.5)


def test_maps_of_a_pair_have_one_scale(monkeypatch):
    painted = []
    monkeypatch.setattr(plan_views, "paint", lambda axes, sheet, values, edges, colors: painted.append((edges, colors)))
    change = top_at(1.9, 3.4)
    maps = maps_of(change)
    views = [plan_views.set_views(change, maps)[0], plan_views.signal_views(change, maps, change.signals[0], "one")[0]]
    for (first, second), view in zip(((painted[0], painted[1]), (painted[3], painted[4])), views, strict=True):
        assert first == second
        assert view.before.size == view.after.size


def test_a_channel_that_comes_does_not_stretch_the_scale(monkeypatch):
    painted = []
    monkeypatch.setattr(plan_views, "paint", lambda axes, sheet, values, edges, colors: painted.append((edges, colors)))
    more = DEN.replace("speakers:\n", "speakers:\n  - {name: new, type: flush, at: {from_left: 3, from_front: 4}}\n")
    change = held(read(DEN), read(more))
    plan_views.set_views(change, maps_of(change))
    assert painted[0] == painted[1]
    assert len(painted[0][1]) == 4  # none to three


# --- what the pictures show


def test_a_scheme_against_itself_looks_the_same():
    change = top_at(1.9, 1.9)
    maps = maps_of(change)
    both, more = plan_views.set_views(change, maps)
    assert bytes_of(both.before) == bytes_of(both.after)
    assert "Nowhere are there fewer than before." in more.caption
    worst = plan_views.worst_view(change, maps)
    colors = {color for _, color in worst.picture.getcolors(1 << 24)}
    steps = [tuple(bytes.fromhex(color[1:])) for color in palette.CHANGE_COLORS]
    assert [step for step in steps if step in colors] == [steps[3]]


def test_better_is_blue_and_worse_is_struck():
    change = top_at(1.9, 3.4)
    picture = plan_views.worst_view(change, maps_of(change)).picture
    counts = {color: count for count, color in picture.getcolors(1 << 24)}
    steps = [tuple(bytes.fromhex(color[1:])) for color in palette.CHANGE_COLORS]
    assert min(counts.get(steps[1], 0), counts.get(steps[5], 0)) > 500
    left, right = np.array_split(np.asarray(picture), 2, axis=1)
    assert (left == steps[1]).all(axis=-1).sum() < (right == steps[1]).all(axis=-1).sum()


@pytest.mark.parametrize("path", SCENES, ids=IDS)
def test_every_shipped_scene_is_drawn(path):
    """In words, without a number of degrees in what a client reads first."""
    change = change_of(path, "as found", "proposed")
    maps = maps_of(change)
    views = [plan_views.set_views(change, maps)[0], *room_views.room_views(change, SMALL)]
    views += [plan_views.signal_views(change, maps, one, one.key)[0] for one in change.changed]
    assert len({view.name for view in views}) == len(views)
    for view in views:
        assert view.before.size == view.after.size
        assert "°" not in view.caption + "".join(swatch.words for swatch in view.key.swatches)
        assert np.asarray(view.before.convert("L")).std() > 3
        if view.name not in ("ceiling", "seat"):
            assert bytes_of(view.before) != bytes_of(view.after)


def test_drawn_twice_it_is_the_same():
    change = top_at(1.9, 3.4)
    maps = maps_of(change)
    for draw in (
        lambda: room_views.room_views(change, SMALL)[0].after,
        lambda: plan_views.set_views(change, maps)[0].after,
    ):
        assert bytes_of(draw()) == bytes_of(draw())


# --- sheets


@pytest.mark.parametrize("size", [(1400, 1000), (900, 700), (500, 400)])
def test_sheets_have_their_size_and_say_when(size):
    change = top_at(1.9, 3.4)
    both, more = plan_views.set_views(change, maps_of(change))
    for png in (side_by_side.pair_sheet(both, FOOT, size), side_by_side.change_sheet(more, FOOT, size)):
        with Image.open(io.BytesIO(png)) as page:
            assert page.size == size
            assert np.asarray(page.convert("L"))[:40].min() < 120  # a heading
    again = side_by_side.pair_sheet(both, FOOT, size)
    assert again == side_by_side.pair_sheet(both, FOOT, size)


def test_a_long_name_does_not_leave_the_sheet():
    change = top_at(1.9, 3.4)
    both, _ = plan_views.set_views(change, maps_of(change))
    foot = Foot("W" * 10_000, "M" * 400, "\u202eM" * 400, "2030-01-02")
    with Image.open(io.BytesIO(side_by_side.pair_sheet(both, foot, (1400, 1000)))) as page:
        edge = np.asarray(page.convert("L"))[:, -6:]
    assert edge.min() > 250
