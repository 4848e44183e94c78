"""Resistance and loss of copper against printed tables, and holes in members against the model code's figures."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.framing import DRESSED
from earshed.model.units import FOOT, INCH
from earshed.model.wiring.bored import hole_for, largest_hole
from earshed.model.wiring.conductor import (
    STANDARD_GAUGES,
    Conductor,
    diameter_of_gauge,
    longest_run,
    loop_resistance,
    loss_db,
    of_gauge,
    size_needed,
    usual_sizes,
)

GAUGES = st.sampled_from(STANDARD_GAUGES)
LENGTHS = st.floats(0.1, 100)
LOADS = st.floats(2, 16)
COPPERS = st.sampled_from(["solid", "stranded"])


@given(GAUGES, COPPERS, LENGTHS, LOADS)
def test_twice_as_far_is_twice_the_loop_and_always_more_loss(gauge, copper, length, load) -> None:
    wire = of_gauge(gauge, copper)
    one, two = loop_resistance(wire, length), loop_resistance(wire, 2 * length)
    assert two == pytest.approx(2 * one)
    assert 0 > loss_db(one, load) > loss_db(two, load)


@given(COPPERS, LENGTHS, LOADS, st.floats(0.01, 0.2))
def test_the_size_that_is_needed_is_the_thinnest_that_does(copper, length, load, limit) -> None:
    for like in (of_gauge(18, copper), Conductor(1.0, None, copper)):
        needed = size_needed(like, length, load, limit)
        fits = [c for c in usual_sizes(like) if loop_resistance(c, length) <= limit * load * (1 + 1e-12)]
        assert needed == min(fits, key=lambda c: c.area_mm2, default=None)
        assert like in usual_sizes(like)


@given(GAUGES, COPPERS, st.floats(-20, 60))
def test_warm_copper_resists_more(gauge, copper, celsius) -> None:
    wire = of_gauge(gauge, copper)
    assert wire.resistance(celsius + 1) > wire.resistance(celsius)
    assert of_gauge(gauge, "stranded").resistance() > of_gauge(gauge, "solid").resistance()


@pytest.mark.parametrize(
    ("gauge", "millimetres", "area", "solid", "strands"),
    [
        (10, 2.5882, 5.2612, 1.00, 1.028),
        (12, 2.0525, 3.3088, 1.588, 1.650),
        (14, 1.6277, 2.0809, 2.525, 2.624),
        (16, 1.2908, 1.3087, 4.016, 4.172),
        (18, 1.0237, 0.8230, 6.385, 6.636),
    ],
)
def test_the_printed_table_of_gauges(gauge, millimetres, area, solid, strands) -> None:
    """Ohm per 1000 ft at 20 C as wire tables print them; strands as a hardware handbook does."""
    assert diameter_of_gauge(gauge) * 1000 == pytest.approx(millimetres, abs=1e-4)
    assert of_gauge(gauge).area_mm2 == pytest.approx(area, abs=1e-4)
    assert of_gauge(gauge, "solid").resistance() * 1000 * FOOT == pytest.approx(solid, rel=2e-3)
    assert of_gauge(gauge).resistance() * 1000 * FOOT == pytest.approx(strands, rel=1e-9)


@pytest.mark.parametrize(
    ("gauge", "four", "eight"), [(18, 16, 32), (16, 24, 48), (14, 40, 80), (12, 60, 120), (10, 100, 200)]
)
def test_the_published_table_of_distances(gauge, four, eight) -> None:
    """R. Russell's table of feet one way at 5 %, whole feet that are rounded to a few."""
    for load, feet in ((4, four), (8, eight)):
        assert longest_run(of_gauge(gauge, "solid"), load, 0.05) / FOOT == pytest.approx(feet, rel=0.05)


def test_losses_that_are_published() -> None:
    """50 ft of solid 16 AWG to 8 ohm; a wiring page's 100 ft to 4 and 8 ohm, which is of stranded wire."""
    assert loss_db(loop_resistance(of_gauge(16, "solid"), 50 * FOOT), 8) == pytest.approx(-0.425, abs=0.001)
    page = {(16, 4): -1.65, (16, 8): -0.86, (18, 4): -2.49, (18, 8): -1.33}
    for (gauge, load), printed in page.items():
        assert loss_db(loop_resistance(of_gauge(gauge), 100 * FOOT), load) == pytest.approx(printed, abs=0.01)


def test_warm_wire_as_a_table_at_75_degrees_has_it() -> None:
    """Ohm per 1000 ft of solid 14 AWG: 3.071."""
    assert of_gauge(14, "solid").resistance(75) * 1000 * FOOT == pytest.approx(3.071, abs=1e-3)


def test_a_metric_size_is_by_its_area() -> None:
    assert Conductor(2.5, None, "solid").resistance() == pytest.approx(1 / 58 / 2.5)
    assert Conductor(2.5).resistance() == pytest.approx(7.98e-3, rel=1e-3)  # IEC 60228, class 5, value from memory


@pytest.mark.parametrize(
    ("member", "joist", "stud"),
    [("2x4", 0, 1.4), ("2x6", 1.5, 2.2), ("2x8", 2.417, 2.9), ("2x10", 3.083, 3.7), ("2x12", 3.75, 4.5)],
)
def test_the_largest_holes_of_the_model_code(member, joist, stud) -> None:
    """IRC R502.8.1 and R802.7.1 (a third, 2 in to the edges), R602.6 (40 % of a bearing stud); inches."""
    thickness, depth = DRESSED[member]
    assert largest_hole("joist", thickness, depth).diameter == pytest.approx(joist * INCH, abs=1e-3 * INCH)
    assert largest_hole("stud", thickness, depth).diameter == pytest.approx(stud * INCH, abs=1e-3 * INCH)
    assert largest_hole("joist", 2 * thickness, depth).diameter == pytest.approx(joist * INCH, abs=1e-3 * INCH)


def test_of_what_is_no_sawn_size_only_the_maker_can_say() -> None:
    assert largest_hole("joist", 1.75 * INCH, 9.5 * INCH).diameter is None
    assert largest_hole("joist", 1.75 * INCH, 9.25 * INCH).diameter is None
    assert largest_hole("joist", 1.6 * INCH, 9.25 * INCH).diameter is not None  # as taped between its edges


@given(st.lists(st.floats(0.002, 0.02), min_size=1, max_size=20), st.sampled_from([INCH / 8, 0.002]))
def test_a_bundle_fills_at_most_two_fifths_of_its_hole(diameters, bit) -> None:
    hole = hole_for(diameters, bit)
    assert hole is not None
    assert sum(d**2 for d in diameters) <= 0.4 * hole**2 * (1 + 1e-9)
    assert hole - bit < math.sqrt(sum(d**2 for d in diameters) / 0.4) * (1 + 1e-6)
    assert hole / bit == pytest.approx(round(hole / bit))
    assert hole_for([*diameters, None], bit) is None
    assert hole_for([*diameters, 0.01], bit) >= hole
