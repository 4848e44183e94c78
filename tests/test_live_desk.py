"""The desk of the live room: what is changed is what an overlay would change, step by step, and nothing is lost."""

from __future__ import annotations

import random
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.editing.changes import NO_CHANGES, Changes
from earshed.model.scene_file.problem import SceneError
from earshed.viewer.live.acts import do
from earshed.viewer.live.asked import Asked, Refused
from earshed.viewer.live.desk import Desk, Unfit
from tests.live_rooms import LIVE_ROOM, live_room


def ask(desk: Desk, act: str, **said: object) -> str:
    return do(desk, Asked.read({"act": act, **said}))


def place(desk: Desk, name: str) -> np.ndarray:
    return next(one.position for one in desk.answer.scene.speakers if one.name == name)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk.open(live_room(tmp_path), None)


def test_an_inch_to_the_right_is_an_inch(desk: Desk) -> None:
    before = place(desk, "top left")
    ask(desk, "nudge", thing="top left", far='1"', right=1, up=0)
    moved = place(desk, "top left") - before
    np.testing.assert_allclose(moved, [0.0254, 0.0, 0.0254 * 4 / 7], atol=1e-9)  # a rise of 4 ft over 7 ft
    assert desk.unsaved == 1


def test_a_drag_from_straight_above_lands_below(desk: Desk) -> None:
    """Dragged to 3 ft from the left wall and 6 ft from the front, on the slope of 6 ft + 3 ft x 4 / 7."""
    foot = 0.3048
    said = {"origin": [3 * foot, -6 * foot, 10.0], "way": [0.0, 0.0, -1.0], "gesture": "one", "snap": False}
    ask(desk, "drag", thing="top left", **said)
    np.testing.assert_allclose(place(desk, "top left"), [3 * foot, -6 * foot, (6 + 12 / 7) * foot], atol=1e-4)


def test_steps_of_one_drag_are_taken_back_at_once(desk: Desk) -> None:
    start = desk.changes
    for step in range(1, 30):
        said = {"origin": [1.0 + step / 100, -2.0, 10.0], "way": [0.0, 0.0, -1.0], "gesture": "a", "snap": False}
        ask(desk, "drag", thing="top left", **said)
    assert desk.history.undo_label == "move top left"
    ask(desk, "undo")
    assert desk.changes == start
    assert desk.unsaved == 0
    with pytest.raises(Refused, match="nothing to take back"):
        ask(desk, "undo")


@settings(max_examples=15)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["top left", "top right", "side left", "left seat"]), st.integers(-9, 9), st.integers(-9, 9)
        ),
        min_size=1,
        max_size=30,
    )
)
def test_undo_of_everything_is_the_start_and_redo_the_end(live: Path, steps: list) -> None:
    desk = Desk.open(live, None)
    for thing, right, up in steps:
        ask(desk, "nudge", thing=thing, far='1"', right=right, up=up)
    end = desk.changes
    count = 0
    while desk.history.can_undo:
        ask(desk, "undo")
        count += 1
    assert desk.changes == NO_CHANGES
    for _ in range(count):
        ask(desk, "redo")
    assert desk.changes == end


def test_two_hundred_edits_of_all_kinds_and_back(desk: Desk) -> None:
    rng = random.Random(2051)
    things = ["top left", "top right", "side left", "side right", "left seat", "right seat", "bench"]
    first = desk.answer.figures
    for number in range(200):
        thing, speaker = rng.choice(things), rng.choice(things[:4])
        edits = [
            ("nudge", {"thing": thing, "far": '1"', "right": rng.randint(-5, 5), "up": rng.randint(-5, 5)}),
            ("drag", {"thing": thing, "origin": [rng.uniform(0, 4.2), rng.uniform(-4.8, 0), 9.0], "way": [0.1, 0.1, -1],
                      "gesture": str(number), "snap": True}),
            ("aim", {"thing": speaker, "at": rng.choice(["main", "none"])}),
            ("turn", {"thing": speaker, "tilt": rng.uniform(0, 15), "heading": rng.uniform(0, 360)}),
            ("mirror", {"thing": speaker}),
            ("retype", {"thing": rng.choice(things[:2]), "type": rng.choice(["flush", "pivot"])}),
            ("plane", {"metres": rng.uniform(0.8, 1.4)}),
            ("tape", {"thing": "top left", "key": "from_left", "text": f"{rng.randint(12, 80)}in"}),
            ("scheme", {"scheme": rng.choice([None, "flush ones"])}),
            ("remeasure", {"thing": thing, "way": rng.randint(0, 3)}),
        ]  # fmt: skip
        act, said = rng.choice(edits)
        with suppress(Refused):  # a flush type does not tilt, an untaped way is none
            ask(desk, act, **said)
    assert len(desk.history.steps) > 80
    while desk.history.can_undo:
        ask(desk, "undo")
    ask(desk, "scheme", scheme=None)
    assert desk.unsaved == 0
    assert desk.answer.figures == first


@pytest.fixture(scope="module")
def live(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return live_room(tmp_path_factory.mktemp("undo"))


def test_what_cannot_be_is_refused_and_changes_nothing(desk: Desk) -> None:
    before = desk.changes
    for said in (
        {"key": "from_left", "text": "four and a bit"},
        {"key": "from_left", "text": "900 m"},
        {"key": "height", "text": "2m"},
    ):
        with pytest.raises(Refused):
            ask(desk, "tape", thing="top left", **said)
    assert desk.changes == before
    assert not desk.history.can_undo


def test_changes_lie_under_their_scheme_alone(desk: Desk) -> None:
    ask(desk, "scheme", scheme="flush ones")
    ask(desk, "nudge", thing="top left", far="1'", right=-1, up=0)
    ask(desk, "scheme", scheme=None)
    assert desk.changes == NO_CHANGES
    assert desk.unsaved == 1
    ask(desk, "undo")  # it was under the other scheme, which shows again
    assert desk.scheme == "flush ones"
    assert desk.changes == NO_CHANGES


def test_a_file_changed_by_another_is_read_again_under_the_changes(desk: Desk) -> None:
    ask(desk, "nudge", thing="top left", far='1"', right=1, up=0)
    spot, path = place(desk, "top left"), desk.draft.path
    path.write_text(LIVE_ROOM.replace("from_right: 4ft", "from_right: 5ft"), encoding="utf-8")
    before = place(desk, "top right")
    desk.reread()
    np.testing.assert_allclose(place(desk, "top left"), spot)
    assert place(desk, "top right")[0] == pytest.approx(before[0] - 0.3048)


WITHOUT_IT = LIVE_ROOM.replace("top left", "top middle")


@pytest.mark.parametrize("broken", ["format: 1\ntitle: [", WITHOUT_IT, ""])
def test_a_file_that_can_no_longer_be_used_leaves_all_as_it_was(desk: Desk, broken: str) -> None:
    """Not to be read at all, or without the thing that was moved."""
    ask(desk, "nudge", thing="top left", far='1"', right=1, up=0)
    spot = place(desk, "top left")
    desk.draft.path.write_text(broken, encoding="utf-8")
    with pytest.raises(Unfit if broken == WITHOUT_IT else SceneError):
        desk.reread()
    np.testing.assert_array_equal(place(desk, "top left"), spot)
    ask(desk, "undo")
    assert desk.changes == NO_CHANGES


def test_changes_that_no_longer_fit_can_be_left(desk: Desk) -> None:
    ask(desk, "nudge", thing="top left", far='1"', right=1, up=0)
    desk.draft.path.write_text(WITHOUT_IT, encoding="utf-8")
    desk.reread_alone()
    assert desk.changes == NO_CHANGES
    assert not desk.history.can_undo
    assert place(desk, "top middle") is not None


def test_work_left_behind_is_taken_up_as_one_step(desk: Desk) -> None:
    ask(desk, "nudge", thing="top left", far='1"', right=1, up=0)
    work = desk.work
    again = Desk.open(desk.draft.path, None)
    again.take_up(work, None)
    assert again.changes == desk.changes
    ask(again, "undo")
    assert again.changes == NO_CHANGES


def test_work_that_no_longer_fits_is_refused_whole(desk: Desk) -> None:
    lost = NO_CHANGES.with_keys("speakers", "nobody", {"type": "flush"})
    with pytest.raises(Refused, match="nobody"):
        desk.take_up({None: lost}, None)
    with pytest.raises(Refused, match="gone"):
        desk.take_up({"gone": Changes()}, "gone")
    assert desk.changes == NO_CHANGES
    assert not desk.history.can_undo


def test_back_to_as_it_was_opened(desk: Desk) -> None:
    ask(desk, "nudge", thing="top left", far='1"', right=1, up=0)
    ask(desk, "nudge", thing="side left", far='1"', right=1, up=0)
    ask(desk, "revert", thing="top left")
    assert desk.changes.things == (("speakers", "side left"),)


def test_a_hole_in_a_rafter_slides_clear(desk: Desk) -> None:
    """Rafters stand every 16 in from 8 in behind the front wall, so 88 in is the middle of one, and 80 in of a bay."""
    ask(desk, "tape", thing="top left", key="from_front", text="7ft 4in")
    assert stopped(desk) == {"top left"}
    ask(desk, "clear", thing="top left")
    assert stopped(desk) == set()
    assert abs(place(desk, "top left")[1] + 7 * 0.3048 + 4 * 0.0254) < 0.21  # no farther than half a bay
    before = place(desk, "top left")
    ask(desk, "clear", thing="top left")
    np.testing.assert_array_equal(place(desk, "top left"), before)
    with pytest.raises(Refused, match="cut into nothing"):
        ask(desk, "clear", thing="bench")


def stopped(desk: Desk) -> set[str]:
    return {one.subject for one in desk.answer.findings if one.severity == "error"}
