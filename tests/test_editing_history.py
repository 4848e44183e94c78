"""Undo and redo, and what was changed in words."""

from __future__ import annotations

import numpy as np
import pytest

from earshed.model.editing.aiming import aimed_at, aimed_at_main, straight, turned
from earshed.model.editing.changes import NO_CHANGES, Changes
from earshed.model.editing.draft import Draft
from earshed.model.editing.history import History
from earshed.model.editing.moving import nudged
from earshed.model.editing.retyping import retyped
from earshed.model.editing.summary import changes_in_words
from earshed.model.editing.tape_fields import plane_height
from earshed.model.units import INCH
from tests.editing_rooms import SCENES, every_way, put_in


def test_all_undone_is_the_beginning_and_all_done_again_the_end() -> None:
    rng = np.random.default_rng(3)
    history = History.begin(NO_CHANGES)
    seen = [NO_CHANGES]
    for number in range(200):
        changes = history.state.with_keys("speakers", f"s{rng.integers(9)}", {"height": f"{number + 1}mm"})
        history = history.done(changes, f"step {number}")
        seen.append(changes)
    assert history.labels == tuple(f"step {number}" for number in range(200))
    for before in reversed(seen[:-1]):
        assert history.can_undo
        history = history.undone()
        assert history.state == before
    assert not history.can_undo
    assert history.undone().state == NO_CHANGES
    assert history.redo_label == "step 0"
    for after in seen[1:]:
        history = history.redone()
        assert history.state == after
    assert not history.can_redo
    assert history.redone().state == seen[-1]


def test_one_undo_takes_back_a_whole_drag() -> None:
    history = History.begin(0).done(1, "typed")
    for state in (2, 3, 4):
        history = history.done(state, f"dragged to {state}", gesture="drag 7")
    assert history.labels == ("typed", "dragged to 4")
    other = history.done(9, "dragged", gesture="drag 8")
    assert other.labels == ("typed", "dragged to 4", "dragged")
    assert history.undone().state == 1
    assert history.undone().redone().state == 4
    again = history.undone().redone().done(5, "dragged", gesture="drag 7")  # it came to an end with the undo
    assert again.undone().state == 4
    assert history.ended().done(6, "dragged", gesture="drag 7").undone().state == 4


def test_a_drag_back_to_where_it_began_is_no_step() -> None:
    history = History.begin(0).done(1, "drag", gesture="a").done(0, "drag", gesture="a")
    assert (history.state, history.labels, history.can_undo) == (0, (), False)
    assert History.begin(0).done(0, "nothing") == History.begin(0)


def test_a_step_from_the_past_drops_what_was_undone() -> None:
    history = History.begin(0).done(1, "one").done(2, "two").undone().done(3, "three")
    assert history.labels == ("one", "three")
    assert not history.can_redo
    assert (history.undo_label, history.redo_label) == ("three", None)


# --- in words


def told(draft: Draft, changes: Changes, scheme: str | None = None) -> list[str]:
    return [str(line) for line in changes_in_words(draft.scene(scheme), draft.scene(scheme, changes), changes)]


def test_every_change_is_told_in_words() -> None:
    """6 in to the right is 6 x sqrt(1 + 0.7^2) = 7.32 in up a slope that rises 4' 8" in 6' 8"."""
    draft = Draft.open(next(path for path in SCENES if path.stem == "bonus-room"))
    scene = draft.scene(None)
    assert told(draft, NO_CHANGES) == []
    changes = put_in(scene, "upper front left", nudged(scene, "upper front left", right=6 * INCH, back=3 * INCH))
    changes = put_in(scene, "upper front left", retyped(scene, "upper front left", "angled round"), changes)
    changes = put_in(scene, "upper front right", retyped(scene, "upper front right", "angled round"), changes)
    changes = put_in(scene, "upper front right", {"aim": {"seats": "all"}}, changes)
    changes = put_in(scene, "center", straight(scene, "center"), changes)
    changes = put_in(scene, "front left", aimed_at(scene, "front left", "armchair"), changes)
    changes = put_in(scene, "front right", turned(scene, "front right", "10deg", "left"), changes)
    changes = put_in(scene, "sub", turned(scene, "sub", heading="left"), changes)
    changes = put_in(scene, "armchair", nudged(scene, "armchair", right=12 * INCH), changes)
    changes = changes.with_keys("listening_plane", None, plane_height(scene, "3' 4\""))
    changes = changes.with_keys("framing", "rafters", {"spacing": "24in"}).without("low bookcase")
    changes = changes.with_keys("speakers", "new one", {
        "type": "flush round", "at": {"from_left": "1m", "from_front": "1m"},
    }).without("upper rear left")  # fmt: skip
    assert told(draft, changes) == [
        "front left: turned to armchair",
        "center: straight",
        "front right: leans 10.0°, pointing 10 degrees left of rear",
        'upper front left: now angled round, 3" towards the rear, 7-5/16" up the slope, turned to the main seats',
        "upper front right: now angled round, turned to all seats",
        "upper rear left: taken out",
        "sub: faces left",
        "new one: new, flush round",
        "armchair: moved 1' 0\" towards the right",
        "low bookcase: taken out",
        "listening plane: at 3' 4\", before at 3' 3\"",
        "rafters: framing changed",
    ]


def test_what_is_taken_out_and_no_thing_of_the_room_is_told_too(tmp_path) -> None:
    draft = Draft.open(every_way(tmp_path))
    assert told(draft, NO_CHANGES.without("rafters")) == ["rafters: taken out"]


def test_nothing_changed_but_its_way_of_being_said(tmp_path) -> None:
    draft = Draft.open(every_way(tmp_path))
    scene = draft.scene(None)
    assert told(draft, put_in(scene, "left", aimed_at_main(scene, "left"))) == []


@pytest.mark.parametrize("name", ["one", "left", "tower"])
def test_a_move_is_told_as_it_is_taped(tmp_path, name) -> None:
    draft = Draft.open(every_way(tmp_path))
    scene = draft.scene(None)
    (line,) = told(draft, put_in(scene, name, nudged(scene, name, right=2 * INCH)))
    assert line.startswith(f"{name}: ")
    assert any(way in line for way in ("towards the right", "towards the front", "up the slope"))
