"""Ways of cables: what holds of any way, in random rooms and their mirror images, and small ones worked by hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from earshed.model.checks.wiring import schedule_findings
from earshed.model.geometry import Array
from earshed.model.scene_file.problem import SceneError
from earshed.model.units import INCH
from earshed.model.wiring.lines import FROM_EDGE
from earshed.model.wiring.prices import dearer, dearer_along
from earshed.model.wiring.pulls import pulls_of
from earshed.model.wiring.schedule import Schedule
from tests.wire_rooms import FLAT, SCENES, Plan, cost_of, flat, plans, read, schedule_of, with_wiring

FEW = settings(max_examples=25)
BETWEEN_JOISTS = st.sampled_from([y for y in range(1, 59) if y % 6 != 3])
"""Tenths of a metre from the front of the flat room, with its joists at 3, 9, 15, ..."""
FACES = ("ceiling", "walls", "floor", "left wall", "rear wall")


def drawn(plan: Plan) -> Schedule:
    """The schedule, where the rack does not happen to lie in the door."""
    try:
        return schedule_of(plan.text)
    except SceneError as error:
        assume("opening door" not in str(error))
        raise


@FEW
@given(plans())
def test_a_way_is_whole_and_no_shorter_than_the_straight_line(plan: Plan) -> None:
    schedule = drawn(plan)
    for run in schedule.runs:
        assert run.route is not None
        legs = run.route.legs
        assert np.allclose(legs[0].start, run.pull.end.position, atol=1e-4)
        assert np.allclose(legs[-1].end, schedule.rack.position, atol=1e-4)
        for before, after in pairwise(legs):
            assert np.allclose(before.end, after.start, atol=1e-4)
        straight = float(np.linalg.norm(run.pull.end.position - schedule.rack.position))
        assert run.route.length >= straight - 1e-6
        assert run.route.length == pytest.approx(sum(np.linalg.norm(leg.end - leg.start) for leg in legs), abs=1e-4)


@FEW
@given(plans())
def test_every_leg_keeps_to_its_face_and_is_square_to_its_grid(plan: Plan) -> None:
    schedule = drawn(plan)
    for leg in schedule.legs:
        assert leg.panel is not None
        assert leg.panel.holds(leg.start)
        assert leg.panel.holds(leg.end)
        along, across = np.abs(leg.panel.to_grid(leg.end) - leg.panel.to_grid(leg.start))
        assert min(along, across) < 1e-4
        if leg.way == "along":
            assert leg.members == ()
        if leg.how == "fish":
            assert leg.crossings == 0
        assert leg.how in ("fish", "open and patch")


POINTS = st.tuples(*[st.floats(-9, 9)] * 3).map(np.array)


@given(POINTS, POINTS, POINTS, st.floats(0.05, 0.95))
def test_holes_along_a_straight_cost_the_same_in_parts(start: Array, end: Array, rack: Array, cut: float) -> None:
    middle = start + cut * (end - start)
    parts = cut * dearer_along(start, middle, rack) + (1 - cut) * dearer_along(middle, end, rack)
    assert parts == pytest.approx(dearer_along(start, end, rack), rel=1e-6)
    shares = (np.arange(2000) + 0.5) / 2000
    sampled = np.mean([dearer(start + share * (end - start), rack) for share in shares])
    assert dearer_along(start, end, rack) == pytest.approx(sampled, rel=1e-4)


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_no_cable_runs_level_in_the_plates_of_a_wall(path: Path) -> None:
    for leg in schedule_of(with_wiring(path)).legs:
        if leg.panel is not None and leg.way == "level" and leg.panel.is_upright:
            low, _, high, _ = leg.panel.outline.bounds
            assert low + FROM_EDGE - 1e-4 <= leg.panel.to_grid(leg.start)[0] <= high - FROM_EDGE + 1e-4


@FEW
@given(plans())
def test_no_way_goes_through_a_door(plan: Plan) -> None:
    schedule = drawn(plan)
    for opening in schedule.scene.openings:
        for leg in schedule.legs:
            if leg.panel is not None and leg.panel.face.name == opening.wall.name:
                for share in np.linspace(0, 1, 50):
                    spot = leg.start + share * (leg.end - leg.start)
                    along = float((spot[:2] - opening.wall.start) @ opening.wall.along)
                    within = opening.start < along < opening.end and opening.bottom < spot[2] < opening.top
                    assert not within


@FEW
@given(plans())
def test_a_room_in_a_mirror_takes_as_much_cable(plan: Plan) -> None:
    assume(all(x != plan.ridge_at for x, _ in plan.speakers))  # which goes to the left slope, in the mirror too
    one, other = drawn(plan), drawn(plan.mirrored)
    for mine, its in zip(one.runs, other.runs, strict=True):
        assert mine.route is not None
        assert its.route is not None
        assert mine.route.length == pytest.approx(its.route.length, abs=1e-4)
    assert [(one.how, one.count) for one in one.holes] == [(one.how, one.count) for one in other.holes]


@FEW
@given(plans(), st.dictionaries(st.sampled_from(FACES), st.sampled_from(["attic", "knee wall", "below"]), min_size=1))
def test_to_reach_more_never_makes_a_way_dearer(plan: Plan, reached: dict[str, str]) -> None:
    before = drawn(plan).scene
    after = drawn(replace(plan, access=tuple(reached.items()))).scene
    assert before.wiring is not None
    assert after.wiring is not None
    for ask in pulls_of(before, before.wiring):
        assert cost_of(after, after.wiring, ask) <= cost_of(before, before.wiring, ask) + 1e-5


@FEW
@given(
    st.sampled_from(["left", "right"]),
    st.lists(st.tuples(st.integers(20, 30), BETWEEN_JOISTS), min_size=2, max_size=6, unique=True),
)
def test_cables_come_together_where_joists_are_opened(side: str, spots: list[tuple[int, int]]) -> None:
    """Bays lead to the rack's wall, so that a run may cross the joists anywhere at the same length; all do near that
    wall, on one line, so that each joist is opened once."""
    spares = ", ".join(
        f"s{n}: {{kind: speaker, at: {{from_left: {x / 10}, from_front: {y / 10}}}}}" for n, (x, y) in enumerate(spots)
    )
    lines = f"rack: {{wall: {side}, from_front: 3.6, height: 1}}\nspares: {{{spares}}}"
    schedule = schedule_of(flat(lines).replace("spacing: 0.4", "spacing: 0.6"))
    opened = {number for leg in schedule.legs for number, _ in leg.members or ()}
    assert sum(holes.count for holes in schedule.holes) == len(opened)


def test_along_its_bay_and_down_the_wall() -> None:
    """2 m to the left wall in the bay of the speaker, and 2.1 m down to the rack below."""
    run = schedule_of(flat("rack: {wall: left, from_front: 3.3, height: 0.4}")).runs[0]
    assert run.route is not None
    assert [(leg.way, leg.how) for leg in run.route.legs] == [("along", "fish"), ("upright", "fish")]
    assert run.route.length == pytest.approx(2 + 2.1)
    assert [leg.entered.crossed for leg in run.route.legs if leg.entered] == ["top plate"]


@pytest.mark.parametrize("reached", [False, True])
def test_members_are_counted_where_they_are_crossed(reached: bool) -> None:
    """A rack straight in front: joists at 0.3, 0.7, ... 3.1 m from the front are between, eight of them."""
    access = "\naccess: {ceiling: attic}" if reached else ""
    schedule = schedule_of(flat("rack: {wall: front, from_left: 2, height: 1}" + access))
    run = schedule.runs[0]
    assert run.route is not None
    (leg, down) = run.route.legs
    assert leg.crossings == 8
    assert leg.how == ("bore" if reached else "open and patch")
    assert down.way == "upright"
    (holes,) = schedule.holes
    assert (holes.count, holes.how, holes.framing.name) == (8, leg.how, "joists")


def test_studs_of_a_wall_without_framing_are_not_known() -> None:
    """The rack is 1.1 m aside of where the bay meets the wall: studs at 3.4, 3.8 and 4.2 m from the front."""
    studs = "\n  - {name: studs, surface: left wall, member: 2x4, spacing: 0.4, direction: up-slope, first_center: 0.2}"
    framing = FLAT.replace("first_center: 0.3}", "first_center: 0.3}" + studs)
    rack = "wiring: {rack: {wall: left, from_front: 4.4, height: 0.4}, access: {left wall: knee wall}}\n"
    unknown, known = schedule_of(FLAT + rack), schedule_of(framing + rack)
    assert unknown.framing_unknown == ("left wall",)
    assert [leg.crossings for leg in unknown.legs if leg.how == "bore"] == [None]
    assert known.framing_unknown == ()
    assert [leg.crossings for leg in known.legs if leg.how == "bore"] == [3]


def test_a_deck_is_crossed_only_where_nothing_else_works() -> None:
    """What is under a deck has no other way than in sight over it; a board beside it is kept to."""
    deck = FLAT.replace("height: 2.5}", "height: 2.5, finish: deck}").replace(
        "flush: {mount: in-ceiling", "flush: {mount: on-surface"
    )
    deck = deck.replace(
        "at: {from_left: 2, from_front: 3.3}", "at: {from_left: 2, from_front: 3.3}, height: 2.4, faces: down"
    )
    deck = deck[: deck.index("framing:")] + deck[deck.index("speaker_types:") :]
    deck = deck.replace("known: {mount: in-ceiling", "known: {mount: on-surface")
    schedule = schedule_of(deck + "wiring: {rack: {wall: left, from_front: 3.3, height: 0.4}}\n")
    hows = [leg.how for leg in schedule.legs]
    assert hows == ["loose", "surface", "fish"]
    board = schedule_of(flat("rack: {wall: left, from_front: 3.3, height: 0.4}"))
    assert all(leg.how != "surface" for leg in board.legs)


def test_a_cable_goes_round_a_deck_as_long_as_there_is_a_cavity() -> None:
    """From the front wall to the rear one: over the deck it is shorter, but in sight; in the walls all is patched."""
    deck = FLAT.replace("height: 2.5}", "height: 2.5, finish: deck}")
    deck = deck[: deck.index("framing:")] + deck[deck.index("speaker_types:") : deck.index("speakers:")]
    deck += "wiring: {rack: {wall: rear, from_left: 2, height: 0.1}, links: {feed: {kind: network, wall: front, "
    deck += "from_left: 2, height: 0.1}}}\n"
    schedule = schedule_of(deck)
    assert all(leg.how != "surface" for leg in schedule.legs)
    assert [leg.panel.face.name for leg in schedule.legs if leg.panel] == ["front wall", "left wall", "rear wall"]


def test_a_cable_turns_no_more_often_than_its_way_asks() -> None:
    """Three joists may be crossed anywhere before the wall: at once, and not where it takes a turn more."""
    schedule = schedule_of(flat("rack: {wall: left, from_front: 4.5, height: 0.4}\naccess: {ceiling: attic}"))
    assert [leg.way for leg in schedule.legs] == ["across", "along", "upright"]


def test_points_of_a_route_are_measured_from_one_to_the_next() -> None:
    """A detour: 1 m to the front in the ceiling, then to the left wall, and down; 1 + 2 + 1.5 m."""
    points = "\n".join([
        "rack: {wall: left, from_front: 2.3, height: 1}",
        "routes:",
        "  top: [{at: {from_left: 2, from_front: 2.3}}, {wall: left, from_front: 2.3, height: 2.5}]",
    ])  # fmt: skip
    run = schedule_of(flat(points)).runs[0]
    assert run.route is not None
    assert run.route.is_given
    assert run.route.length == pytest.approx(1 + 2 + 1.5)
    assert [leg.crossings for leg in run.route.legs] == [2, 0, 0]  # joists at 3.1 and 2.7 m; 2.3 is one itself
    assert [leg.entered.crossed if leg.entered else None for leg in run.route.legs] == [None, None, "top plate"]


def test_what_stands_in_the_room_is_fed_from_a_wall_near_it() -> None:
    cube = "  - {name: sub, type: cube, at: {from_left: 0.5, from_front: 3}, height: 0.2, faces: right}"
    text = flat("rack: {wall: left, from_front: 3, height: 1}").replace("wiring:", f"{cube}\nwiring:")
    run = schedule_of(text).runs[1]
    assert run.pull.kind == "line"
    assert run.route is not None
    assert [(leg.how, round(leg.length, 3)) for leg in run.route.legs] == [("loose", 0.5), ("fish", 0.8)]


def test_no_way_goes_through_what_stands_in_the_room() -> None:
    """A cube that stands in the corner, by both walls, is no bridge between them."""
    cube = "  - {name: sub, type: cube, at: {from_left: 0.1, from_front: 5.9}, height: 0.2, faces: right}"
    rack = "rack: {wall: left, from_front: 5.7, height: 0.2}\nspares: {near: {kind: line, wall: rear, from_left: 0.3, "
    text = flat(rack + "height: 0.2}}").replace("wiring:", f"{cube}\nwiring:")
    for run in schedule_of(text).runs:
        assert run.route is not None
        loose = [leg for leg in run.route.legs if leg.how == "loose"]
        assert len(loose) == (1 if run.pull.name == "sub" else 0)


def test_a_box_that_hangs_free_has_no_way_out() -> None:
    box = "fixtures: [{name: shelf, kind: box, from_left: 1.5, from_front: 2.8, bottom: 1.5, width: 1, length: 1, "
    box += "height: 0.3}]"
    run = schedule_of(flat("rack: {wall: left, from_front: 3.3, height: 0.4}", box)).runs[0]
    assert run.pull.end.surface is not None
    assert run.pull.end.surface.name == "shelf"
    assert run.route is None
    assert run.cut is None


def test_a_soffit_is_left_through_its_side_or_its_wall() -> None:
    """A duct boxed in along the left wall: the speaker in its underside goes straight to that wall."""
    box = "fixtures: [{name: duct, kind: box, from_left: 0, from_front: 0, bottom: 2.1, width: 2.5, length: 6, "
    box += "height: 0.4}]"
    reached = "rack: {wall: left, from_front: 3.3, height: 0.4}\naccess: {duct: below}"
    run = schedule_of(flat(reached, box)).runs[0]
    assert run.route is not None
    assert [leg.panel.face.name for leg in run.route.legs if leg.panel] == ["duct", "left wall"]
    assert run.route.length == pytest.approx(2 + 1.7)
    away = schedule_of(flat("rack: {wall: right, from_front: 3.3, height: 0.4}", box)).runs[0]
    assert away.route is not None
    assert "side of duct" in [leg.panel.face.name for leg in away.route.legs if leg.panel]


def test_the_sides_of_a_soffit_are_reached_as_the_soffit_is() -> None:
    band = "height: 2.5}, soffits: [{name: band, width: 0.6, bottom: 2.2}]}"
    rack = "rack: {wall: left, from_front: 3.3, height: 0.4}\naccess: {band: below}"
    schedule = schedule_of(flat(rack).replace("height: 2.5}}", band))
    assert any(leg.panel is not None and leg.panel.face.name.startswith("inner side") for leg in schedule.legs)
    assert schedule.access_assumed == ("ceiling", "left wall")
    assert {passed.how for leg in schedule.legs if (passed := leg.entered)} == {"bore"}


def test_what_was_found_behind_the_board_is_gone_round_or_told() -> None:
    pipe = "keep_outs:\n  - {name: drain, kind: pipe, at: {from_left: 1, from_front: 3.3}, diameter: 0.1}"
    rack = "rack: {wall: left, from_front: 3.3, height: 0.4}"
    run = schedule_of(flat(rack, pipe)).runs[0]
    assert run.route is not None
    plain = schedule_of(flat(rack)).runs[0]
    assert plain.route is not None
    assert run.route.length > plain.route.length
    assert not any(leg.passes for leg in run.route.legs)
    told = schedule_of(flat(f"{rack}\nroutes: {{top: [{{wall: left, from_front: 3.3, height: 2.5}}]}}", pipe)).runs[0]
    assert told.route is not None
    assert told.route.legs[0].passes == ("drain (pipe)",)


def test_a_way_keeps_off_what_is_beside_it() -> None:
    """The bay of the speaker meets the wall at the edge of the door; a cable goes down 4 in past it, and 12 in past a
    fireplace (common practice)."""
    rack = "rack: {wall: left, from_front: 4.4, height: 1}"
    door = "openings: [{name: door, wall: left, from_front: 2.5, sill: 0, width: 0.8, height: 2}]"
    fire = "fixtures: [{name: hearth, kind: fireplace, from_left: 0, from_front: 2.5, width: 0.5, length: 0.8}]"
    for thing, inches in ((door, 4), (fire, 12)):
        down = [leg for leg in schedule_of(flat(rack, thing)).legs if leg.way == "upright" and leg.end[2] < 2]
        assert down
        assert all(-leg.end[1] >= 3.3 + inches * INCH - 1e-6 for leg in down)


def test_points_that_lead_through_a_door_are_told() -> None:
    door = "openings: [{name: door, wall: left, from_front: 2.5, sill: 0, width: 0.8, height: 2}]"
    rack = "rack: {wall: left, from_front: 4.4, height: 1}"
    points = "routes: {top: [{wall: left, from_front: 2, height: 2.5}, {wall: left, from_front: 2, height: 1}]}"
    through = schedule_of(flat(f"{rack}\n{points}", door))
    assert [leg.passes for leg in through.legs] == [(), (), ("door (opening)",)]
    assert "through-opening" in {one.rule for one in schedule_findings(through)}
    assert "through-opening" not in {one.rule for one in schedule_findings(schedule_of(flat(rack, door)))}


def test_one_scene_gives_one_answer() -> None:
    text = flat("rack: {wall: right, from_front: 1, height: 0.4}")
    one, other = schedule_of(text), schedule_of(text)
    assert [leg.end.tolist() for leg in one.legs] == [leg.end.tolist() for leg in other.legs]
    assert read(text).wiring is not None
