"""Ceiling shapes against closed forms and the tables of the framing square.

Volumes and areas of the rooms under these shapes are closed forms too: they are in this file beside the shape.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.ceiling import CeilingPlane, ceiling_height, flat, gable, plane_over, planes, shed
from earshed.model.geometry import UP, angle_between
from earshed.model.plan import rectangle
from earshed.model.room import Room
from earshed.model.units import FOOT, INCH, format_length
from tests.rooms import FRAMING_SQUARE, RIDGES, SIDES, ceilings, metres, plans

WIDTH, LENGTH = 4.5, 6.0  # the worked example of every closed form below


def under(ceiling, width=WIDTH, length=LENGTH):
    return Room(rectangle(width, length), ceiling)


def simple_gable(ridge, *, low, peak, width=WIDTH, length=LENGTH, ridge_at=None, far_low=None):
    return gable(width=width, length=length, ridge=ridge, low=low, peak=peak, ridge_at=ridge_at, far_low=far_low)


# --- closed forms: volume and ceiling area


def test_flat_volume_and_area():
    room = under(flat(2.4))
    assert room.volume == pytest.approx(64.8, abs=1e-9)
    assert room.ceiling_area == pytest.approx(27, abs=1e-9)


@pytest.mark.parametrize("rises", SIDES)
def test_shed_volume_and_area(rises):
    """L W (H1 + H2) / 2 and L sqrt(W^2 + (H2 - H1)^2), the slope across W."""
    room = under(shed(width=WIDTH, length=LENGTH, low=2.4, high=3.3, rises=rises))
    across, along = (WIDTH, LENGTH) if rises in ("left", "right") else (LENGTH, WIDTH)
    assert room.volume == pytest.approx(76.95, abs=1e-9)
    assert room.ceiling_area == pytest.approx(along * math.hypot(across, 0.9), abs=1e-9)
    if rises in ("left", "right"):
        assert room.ceiling_area == pytest.approx(27.53471, abs=5e-6)


def test_gable_volume_and_area():
    """L W (He + Hr) / 2 and 2 L sqrt((W/2)^2 + d^2) = L W / cos th: 81.0 m3, 30.6 m2, th 28.0725 degrees."""
    room = under(simple_gable("front-to-back", low=2.4, peak=3.6))
    assert room.volume == pytest.approx(81.0, abs=1e-9)
    assert room.ceiling_area == pytest.approx(30.6, abs=1e-9)
    assert math.degrees(room.ceiling[0].slope) == pytest.approx(28.0725, abs=5e-5)


def test_hip_made_of_planes_volume_and_area():
    """Equal pitch, L >= W: L W He + d W (3 L - W) / 6 and L W / cos th: 76.95 m3, 30.6 m2 at d = 1.2."""
    left, right, front, rear = 0.0, WIDTH, 0.0, -LENGTH
    ridge = [[WIDTH / 2, -WIDTH / 2, 3.6], [WIDTH / 2, -LENGTH + WIDTH / 2, 3.6]]
    hip = planes([
        [[left, front, 2.4], [left, rear, 2.4], ridge[0]], [[right, front, 2.4], [right, rear, 2.4], ridge[0]],
        [[left, front, 2.4], [right, front, 2.4], ridge[0]], [[left, rear, 2.4], [right, rear, 2.4], ridge[1]],
    ])  # fmt: skip
    room = under(hip)
    assert room.volume == pytest.approx(76.95, abs=1e-9)
    assert room.ceiling_area == pytest.approx(30.6, abs=1e-9)
    assert {surface.name for surface in room.surfaces if surface.kind == "ceiling"} == {plane.name for plane in hip}


@given(
    width=metres(1, 9),
    length=metres(1, 12),
    low=metres(0.01, 3),
    far=metres(0.01, 3),
    rise=metres(0.1, 3),
    data=st.data(),
)
def test_gable_with_unequal_walls_and_a_ridge_off_the_middle(width, length, low, far, rise, data):
    """Two trapezoids times the length of the ridge; each slope's face is a rectangle."""
    ridge = data.draw(st.sampled_from(RIDGES))
    span, run = (width, length) if ridge == "front-to-back" else (length, width)
    at, peak = data.draw(metres(0.3, span - 0.3)), max(low, far) + rise
    room = under(
        simple_gable(ridge, low=low, peak=peak, width=width, length=length, ridge_at=at, far_low=far), width, length
    )
    section = at * (low + peak) / 2 + (span - at) * (peak + far) / 2
    assert room.volume == pytest.approx(section * run, rel=1e-8)
    near, other = (surface for surface in room.surfaces if surface.kind == "ceiling")
    assert near.area == pytest.approx(run * math.hypot(at, peak - low), rel=1e-7)
    assert other.area == pytest.approx(run * math.hypot(span - at, peak - far), rel=1e-7)
    assert (near.name, other.name) == (
        ("left slope", "right slope") if ridge == "front-to-back" else ("front slope", "rear slope")
    )


# --- heights at the walls and at the ridge


@pytest.mark.parametrize(("rises", "high_wall"), [("right", "x"), ("left", "0"), ("front", "0"), ("rear", "y")])
def test_shed_is_high_on_the_side_it_rises_to(rises, high_wall):
    ceiling = shed(width=WIDTH, length=LENGTH, low=2.0, high=3.0, rises=rises)
    left, right = ceiling_height(ceiling, [[0, -3], [WIDTH, -3]])
    front, rear = ceiling_height(ceiling, [[2, 0], [2, -LENGTH]])
    wanted = {"left": left, "right": right, "front": front, "rear": rear}
    opposite = {"left": right, "right": left, "front": rear, "rear": front}
    assert (wanted[rises], opposite[rises]) == (pytest.approx(3, abs=1e-12), pytest.approx(2, abs=1e-12))
    assert ceiling_height(ceiling, [WIDTH / 2, -LENGTH / 2]) == pytest.approx(2.5, abs=1e-12)


@pytest.mark.parametrize("ridge", RIDGES)
@given(at=metres(0.3, 4.2), along=metres(0, 4.5), low=metres(0, 2), far=metres(0, 2), step=st.floats(1e-9, 1e-3))
def test_gable_meets_its_walls_and_is_continuous_at_its_ridge(ridge, at, along, low, far, step):
    ceiling = simple_gable(ridge, low=low, peak=3.0, ridge_at=at, far_low=far)
    span = WIDTH if ridge == "front-to-back" else LENGTH

    def height(across):
        return float(ceiling_height(ceiling, (across, -along) if ridge == "front-to-back" else (along, -across)))

    assert height(0) == pytest.approx(low, abs=1e-12)
    assert height(span) == pytest.approx(far, abs=1e-12)
    assert height(at) == pytest.approx(3.0, abs=1e-12)
    steepest = max(math.tan(plane.slope) for plane in ceiling)
    assert 3.0 - steepest * step - 1e-12 <= min(height(at - step), height(at + step)) < 3.0 + 1e-12
    assert height(at / 2) == pytest.approx((low + 3) / 2, abs=1e-12)
    assert height((at + span) / 2) == pytest.approx((3 + far) / 2, abs=1e-12)


@given(at=metres(0.3, 4.2), low=metres(0, 2), far=metres(0, 2), x=metres(0, 4.5), back=metres(0, 6))
def test_mirrored_gable_has_mirrored_heights(at, low, far, x, back):
    here = simple_gable("front-to-back", low=low, peak=3.0, ridge_at=at, far_low=far)
    there = simple_gable("front-to-back", low=far, peak=3.0, ridge_at=WIDTH - at, far_low=low)
    assert ceiling_height(here, [x, -back]) == pytest.approx(
        float(ceiling_height(there, [WIDTH - x, -back])), abs=1e-12
    )


@given(data=st.data(), plan=plans())
def test_height_is_the_lowest_plane_and_concave(data, plan):
    """The lowest of planes bulges upwards: halfway between two points it is no lower than the mean of the two."""
    ceiling = data.draw(ceilings(plan))
    ends = np.array([[data.draw(metres(0, 9)), data.draw(metres(-9, 0))] for _ in range(2)])
    heights = ceiling_height(ceiling, ends)
    assert ceiling_height(ceiling, ends.mean(axis=0)) >= heights.mean() - 1e-9
    for xy, height in zip(ends, heights, strict=True):
        over = plane_over(ceiling, xy)
        assert float(over.height(xy)) == pytest.approx(float(height), abs=1e-8)
        assert all(float(plane.height(xy)) >= height - 1e-9 for plane in ceiling)


# --- slope and normal


@given(right=st.floats(-3, 3), front=st.floats(-3, 3))
def test_normal_points_into_the_room_and_slope_is_its_angle_from_straight_down(right, front):
    plane = CeilingPlane("c", right, front, 2.0)
    assert plane.normal[2] < 0
    assert float(angle_between(plane.normal, -UP)) == pytest.approx(plane.slope, abs=1e-12)
    in_plane = np.array([[1, 0, right], [0, 1, front]])
    assert np.allclose(in_plane @ plane.normal, 0, atol=1e-12)


def test_flush_speaker_on_a_slope_fires_towards_the_high_side():
    """z = z0 + x tan th has the inward normal (sin th, 0, -cos th). This ear is 45 degrees off straight down."""
    (slope,) = shed(width=3, length=4, low=2, high=3, rises="right")
    assert np.allclose(slope.normal, [math.sin(slope.slope), 0, -math.cos(slope.slope)], atol=1e-15)
    to_ear = np.array([1.2, 0.9, 1.2]) - [0, 0, 2.7]
    assert np.linalg.norm(to_ear) == pytest.approx(2.121320, abs=5e-7)
    assert math.degrees(float(angle_between(flat(2.7)[0].normal, to_ear))) == pytest.approx(45, abs=1e-4)
    assert math.degrees(float(angle_between(slope.normal, to_ear))) == pytest.approx(31.8203, abs=1e-4)


@pytest.mark.parametrize(("rise", "degrees", "common", "hip", "factor"), FRAMING_SQUARE)
def test_slopes_of_the_framing_square(rise, degrees, common, hip, factor):
    width, length = 10 * FOOT, 8 * FOOT
    room = under(shed(width=width, length=length, low=1.0, high=1.0 + 10 * rise * INCH, rises="right"), width, length)
    face = room.surface("slope")
    assert math.degrees(face.slope) == pytest.approx(degrees, abs=5.1e-5)
    assert face.area / length / INCH / 10 == pytest.approx(common, abs=0.0051)
    assert face.area / (width * length) == pytest.approx(factor, abs=5.1e-6)
    diagonal = np.array([12 * INCH, 12 * INCH, 0]) + rise * INCH * UP  # up a hip: as far along one eave as the other
    assert np.linalg.norm(diagonal) / INCH == pytest.approx(hip, abs=0.0051)


@pytest.mark.parametrize(
    ("rise", "run_in", "printed_in", "tolerance", "tape"),
    [
        (7, 96, 111.12, 0.03, "9' 3-1/8\""),  # NAVEDTRA 14044, from 13.89 per foot
        (6, 150, 167.75, 0.1, None),  # Griffith, from 13.42 per foot; exact 167.705
        (13, 124, 182.79, 0.05, "15' 2-13/16\""),  # Army carpentry text, which rounds it to 15 ft 3 in
    ],
)
def test_published_rafter_lengths(rise, run_in, printed_in, tolerance, tape):
    run = run_in * INCH
    room = under(simple_gable("front-to-back", low=2.0, peak=2.0 + run * rise / 12, width=2 * run), width=2 * run)
    rafter = room.surface("left slope").area / LENGTH
    assert rafter / INCH == pytest.approx(printed_in, abs=tolerance)
    if tape:
        assert format_length(rafter) == tape


# --- which plane, on a crease


@pytest.mark.parametrize(("ridge", "name"), [("front-to-back", "left slope"), ("side-to-side", "front slope")])
@given(low=metres(0, 2), far=metres(0, 2), at=metres(0.3, 4.2), along=metres(0, 4.5))
def test_on_the_ridge_the_slope_on_the_left_or_in_front_is_taken(ridge, name, low, far, at, along):
    ceiling = simple_gable(ridge, low=low, peak=3.0, ridge_at=at, far_low=far)
    spot = np.array([at, -along] if ridge == "front-to-back" else [along, -at])
    for order in (ceiling, ceiling[::-1]):
        assert plane_over(order, spot).name == name


@given(slopes=st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=2, max_size=4, unique=True))
def test_where_planes_meet_the_one_a_hair_to_the_left_is_taken(slopes):
    """All planes pass through one point. What lies just left of it decides; where two agree there, just in front."""
    spot, hair = np.array([2.0, -3.0]), 1e-4
    ceiling = tuple(
        CeilingPlane(str(i), right / 12, front / 12, 2.5 - (np.array([right, front]) / 12) @ spot)
        for i, (right, front) in enumerate(slopes)
    )
    beside = spot + np.array([-hair, hair / 1000])  # to the left, and by far less to the front
    heights = [float(plane.height(beside)) for plane in ceiling]
    assert plane_over(ceiling, spot).name == str(int(np.argmin(heights)))


# --- refused


@pytest.mark.parametrize(("low", "high"), [(2.0, 2.0), (3.0, 2.0)])
def test_shed_must_rise(low, high):
    with pytest.raises(ValueError, match="high side must be higher"):
        shed(width=4, length=5, low=low, high=high, rises="left")


@pytest.mark.parametrize("ridge_at", [0.0, WIDTH, -1.0, 9.0])
def test_ridge_must_be_inside(ridge_at):
    with pytest.raises(ValueError, match="ridge_at must lie inside the room"):
        simple_gable("front-to-back", low=2, peak=3, ridge_at=ridge_at)


@pytest.mark.parametrize(("low", "far"), [(3.0, None), (2.0, 3.0), (3.5, 1.0)])
def test_peak_must_be_above_both_walls(low, far):
    with pytest.raises(ValueError, match="peak must be higher"):
        simple_gable("side-to-side", low=low, peak=3.0, far_low=far)


@pytest.mark.parametrize(
    ("points", "why"),
    [
        ([[0, 0, 2], [1, 0, 2], [3, 0, 2]], "three points of plane 2 lie in one line"),
        ([[0, 0, 2], [0, 0, 2], [3, 1, 2]], "three points of plane 2 lie in one line"),
        ([[0, 0, 2], [1, 0, 2], [1, 0, 3]], "plane 2 stands on edge"),
    ],
)
def test_points_that_make_no_ceiling(points, why):
    fine = [[0, 0, 2], [1, 0, 2], [0, -1, 3]]
    with pytest.raises(ValueError, match=why):
        planes([fine, points])


@given(data=st.data())
def test_a_plane_passes_through_its_three_points_in_any_order(data):
    spots = np.array([[0.0, 0.0], [3.0, -0.5], [1.0, -4.0]])
    heights = [data.draw(metres(0, 4)) for _ in spots]
    points = np.column_stack([spots, heights])
    (plane,) = planes([points])
    (turned,) = planes([points[::-1]])
    assert np.allclose(plane.height(spots), heights, atol=1e-12)
    assert np.allclose(turned.normal, plane.normal, atol=1e-12)
