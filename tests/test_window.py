"""Windows of direction: what Rec. ITU-R BS.2051-3 (05/2022) allows, laws of wrap and mirror, pairs.

Directions and ranges: Tables 1 and 3 to 12; the sense of angles: section 3; symmetry of pairs: section 3.1.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.bs2051 import SYSTEMS
from earshed.model.channel import CHANNELS, parse_channel
from earshed.model.layout import WITHIN
from earshed.model.window import Window, even, uneven

OF_A_SYSTEM = [(letter, label) for letter, system in SYSTEMS.items() for label in system.allowed]
PLACED = [(letter, label) for letter, label in OF_A_SYSTEM if SYSTEMS[letter].allowed[label]]


def window(letter: str, label: str) -> Window:
    allowed = SYSTEMS[letter].allowed[label]
    assert allowed
    return Window(allowed.azimuths, allowed.elevations, letter)


def of_degrees(right: float, left: float, low: float = -90, high: float = 90) -> Window:
    return Window(
        (math.radians(right), math.radians(left)), (math.radians(low), math.radians(high)), "degrees, as written"
    )


# --- the Recommendation's tables

CHANNELS_OF = {"A": 2, "B": 6, "C": 8, "D": 10, "E": 11, "F": 12, "G": 14, "H": 24, "I": 8, "J": 12}
"""Table 1: upper, middle and bottom, such as 4+7+0, and the low-frequency ones; G has the screen's edges besides."""
LIMITS = [  # system, label, azimuths, elevations, degrees: some of each table, right ones among them
    ("A", "M-030", -30, -30, 0, 0), ("B", "M-110", -120, -100, 0, 15), ("C", "U-030", -45, -30, 30, 55),
    ("D", "M+110", 100, 120, 0, 0), ("D", "U-110", -135, -100, 30, 55), ("E", "B+000", 0, 0, -30, -15),
    ("F", "U+045", 30, 45, 30, 45), ("F", "M-090", -150, -60, 0, 0), ("F", "M+135", 60, 150, 0, 0),
    ("F", "UH+180", 180, 180, 45, 90), ("G", "M-090", -110, -85, 0, 0), ("G", "U+135", 100, 150, 30, 55),
    ("H", "M+060", 45, 60, 0, 5), ("H", "M-030", -30, -22.5, 0, 5), ("H", "M+180", 180, 180, 0, 15),
    ("H", "U-045", -60, -45, 30, 45), ("H", "U+135", 110, 135, 30, 45), ("H", "B-045", -60, -45, -30, -15),
    ("I", "M-135", -150, -120, 0, 0), ("J", "M+030", 30, 45, 0, 0), ("J", "U-045", -45, -30, 30, 55),
    ("J", "U+135", 100, 150, 30, 55),
]  # fmt: skip


def test_each_system_has_the_channels_of_table_1() -> None:
    assert {letter: len(system.allowed) for letter, system in SYSTEMS.items()} == CHANNELS_OF
    assert {label for _, label in OF_A_SYSTEM} == {channel.label for channel in CHANNELS}


@pytest.mark.parametrize(("letter", "label", "right", "left", "low", "high"), LIMITS)
def test_limits(letter: str, label: str, right: float, left: float, low: float, high: float) -> None:
    found = window(letter, label)
    assert np.degrees([*found.azimuths, *found.elevations]) == pytest.approx([right, left, low, high])


@pytest.mark.parametrize(("letter", "label"), PLACED)
def test_every_nominal_direction_is_inside_and_as_its_label_says(letter: str, label: str) -> None:
    allowed = SYSTEMS[letter].allowed[label]
    assert allowed
    assert window(letter, label).off(allowed.azimuth, allowed.elevation) == 0
    assert math.degrees(allowed.azimuth) == pytest.approx(parse_channel(label).azimuth_deg)
    assert -math.pi <= allowed.azimuths[0] <= allowed.azimuths[1] <= math.pi


@pytest.mark.parametrize(("letter", "label"), PLACED)
def test_left_and_right_are_allowed_the_same(letter: str, label: str) -> None:
    other = window(letter, parse_channel(label).mirrored.label)
    assert window(letter, label).mirrored == other


@pytest.mark.parametrize(("letter", "label"), [pair for pair in OF_A_SYSTEM if pair not in PLACED])
def test_what_is_left_open_has_no_direction(letter: str, label: str) -> None:
    assert label[:3] == "LFE" or label in ("M+SC", "M-SC")


def test_the_rear_uppers_of_system_j() -> None:
    """Table 12: azimuth 100 to 150 and elevation 30 to 55 degrees, limits included."""
    rear = window("J", "U+135")
    for azimuth, elevation in [(100, 30), (150, 55), (135, 30)]:
        assert rear.off(math.radians(azimuth), math.radians(elevation)) == 0
    for azimuth, elevation in [(135, 29.9), (135, 55.1), (99.9, 40), (150.1, 40), (-135, 40)]:
        assert rear.off(math.radians(azimuth), math.radians(elevation)) > 0


# --- windows


azimuths = st.floats(-math.pi, math.pi)
elevations = st.floats(-math.radians(88), math.radians(88))
windows = st.builds(
    lambda least, width, low, high: Window((least, least + width), (low, low + high * (1.5 - low)), "made up"),
    st.floats(-math.pi + 1e-6, math.pi), st.floats(0, math.pi), st.floats(-1.5, 1.5), st.floats(0, 1),
)  # fmt: skip


@given(windows, azimuths, elevations, st.integers(-3, 3))
def test_a_whole_turn_changes_nothing(made: Window, azimuth: float, elevation: float, turns: int) -> None:
    turned = azimuth + turns * 2 * math.pi
    assert made.off(turned, elevation) == pytest.approx(made.off(azimuth, elevation), abs=1e-9)


@given(windows, azimuths, elevations)
def test_how_far_outside_is_how_far_to_the_nearest_limit_round_the_circle(made, azimuth, elevation) -> None:
    """Chords between points on the unit circle know nothing of wrap: the arc is 2 asin(chord / 2)."""
    least, most = made.azimuths
    inside = (azimuth - least) % (2 * math.pi) <= most - least
    chords = [abs(np.exp(1j * azimuth) - np.exp(1j * limit)) for limit in (least, most)]
    nearest = 0 if inside else 2 * math.asin(min(*chords, 2) / 2)
    assert made.off_azimuth(azimuth, elevation) == pytest.approx(nearest, abs=1e-6)
    low, high = made.elevations
    assert made.off_elevation(elevation) == pytest.approx(max(low - elevation, elevation - high, 0), abs=1e-9)
    assert made.off(azimuth, elevation) == pytest.approx(
        math.hypot(made.off_azimuth(azimuth, elevation), made.off_elevation(elevation))
    )


@given(windows, azimuths, elevations)
def test_the_mirrored_window_holds_the_mirrored_directions(made: Window, azimuth: float, elevation: float) -> None:
    assert made.mirrored.off(-azimuth, elevation) == pytest.approx(made.off(azimuth, elevation), abs=1e-9)
    assert made.mirrored.mirrored.azimuths == pytest.approx(made.azimuths, abs=1e-9)
    assert -math.pi < made.mirrored.azimuths[0] <= math.pi


@given(windows, st.lists(st.tuples(azimuths, elevations), min_size=1, max_size=5))
def test_many_directions_are_judged_as_one_by_one(made: Window, directions) -> None:
    many = np.array(directions)[None]  # (1, N, 2)
    asked = (many[..., 0], many[..., 1])
    assert made.off(*asked).tolist() == [[float(made.off(*each)) for each in directions]]
    assert made.contains(*asked).tolist() == [[bool(made.contains(*each)) for each in directions]]


@pytest.mark.parametrize("past", [-0.51, -0.49, 0.0, 0.49, 0.51])
def test_half_a_degree_past_a_limit_still_counts_as_in_and_is_told_all_the_same(past: float) -> None:
    made = of_degrees(30, 45, 30, 55)
    for azimuth, elevation in [(45 + past, 40), (40, 55 + past), (30 - past, 40), (40, 30 - past)]:
        here = math.radians(azimuth), math.radians(elevation)
        assert made.contains(*here) == (past <= math.degrees(WITHIN))
        assert math.degrees(made.off(*here)) == pytest.approx(max(past, 0), abs=1e-9)


def test_a_window_over_the_rear() -> None:
    rear = of_degrees(170, 190)
    assert [math.degrees(rear.off_azimuth(math.radians(a), 0)) for a in (165, 170, 175, 180, -180, -170, -164)] == (
        pytest.approx([5, 0, 0, 0, 0, 0, 6])
    )
    center = window("F", "UH+180")
    assert [math.degrees(center.past_azimuth(math.radians(a), 1.0)) for a in (180, -180, 177, -177)] == (
        pytest.approx([0, 0, -3, 3])
    )


@given(azimuths)
def test_straight_above_there_is_no_azimuth(azimuth: float) -> None:
    """UH+180 is allowed up to 90 degrees, where azimuth is seen as 0; T+000 has none to be right or wrong."""
    for made in (window("F", "UH+180"), window("H", "T+000")):
        assert made.contains(azimuth, math.pi / 2)
        assert made.off(azimuth, math.pi / 2) == 0
    assert window("H", "T+000").off(azimuth, math.radians(80)) == pytest.approx(math.radians(10))


# --- pairs


@pytest.mark.parametrize(
    ("here", "there", "nominal", "enough"),
    [
        ((95, 0), (-86, 0), 90, True), ((95, 0), (-85, 0), 90, True), ((95, 0), (-84, 0), 90, False),
        ((95, 40), (-95, 30), 90, True), ((95, 40.1), (-95, 30), 90, False), ((95, 40), (-85, 30), 135, True),
        ((178, 40), (-174, 40), 135, True), ((46, 30), (-41, 30), 45, True), ((46, 30), (-40, 30), 45, False),
        ((46, 30), (-40, 30), 60, True), ((-30, 3), (30, 8.1), -30, False), ((95, 0), (86, 0), 90, False),
    ],
)  # fmt: skip
def test_pairs_may_differ_by_ten_degrees_past_45_and_hardly_before(here, there, nominal, enough) -> None:
    """Section 3.1: 10 degrees in azimuth and in elevation where the nominal azimuth is more than 45 degrees."""
    assert even(np.radians(here), np.radians(there), math.radians(nominal)) == enough
    assert even(np.radians(there), np.radians(here), -math.radians(nominal)) == enough


@given(azimuths, elevations, st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
def test_unevenness_is_the_distance_from_the_mirror_image(azimuth, elevation, aside, up) -> None:
    made = uneven((azimuth, elevation), [(-azimuth + aside, elevation + up), (-azimuth, elevation)])
    assert made == pytest.approx(np.abs([(aside, up), (0, 0)]), abs=1e-9)
