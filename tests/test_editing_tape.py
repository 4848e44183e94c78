"""Where a thing is, said in every way, and typed in any."""

from __future__ import annotations

import pytest

from earshed.model.editing.changes import NO_CHANGES
from earshed.model.editing.draft import Draft
from earshed.model.editing.tape_fields import plane_height, tape_fields, typed
from earshed.model.editing.taping import remeasured, way_of, ways
from earshed.model.taped_from import TapedFrom
from earshed.model.units import parse_length
from tests.editing_rooms import drafts, every_way, place, put_in, things


def test_measured_in_another_way_a_thing_stays_where_it_is(tmp_path):
    for draft in dict.fromkeys(draft for draft, _ in drafts(tmp_path)):
        scene = draft.scene(None)
        for way_number in range(7):  # each thing in another of its ways, all in one scene
            changes, said = NO_CHANGES, {}
            for name in things(scene):
                all_ways = ways(scene, name)
                said[name] = all_ways[way_number % len(all_ways)]
                changes = put_in(scene, name, remeasured(scene, name, said[name]), changes)
            after = draft.scene(None, changes)
            for name, way in said.items():
                assert place(after, name) == pytest.approx(place(scene, name), abs=1e-9), (name, way)
                assert way_of(after, name) == way


def test_the_way_that_the_scene_says_is_one_of_all_ways(tmp_path):
    for draft, scheme in drafts(tmp_path):
        scene = draft.scene(scheme)
        for name in things(scene):
            assert way_of(scene, name) in ways(scene, name)


def test_fields_are_what_the_file_says(tmp_path):
    scene = Draft.open(every_way(tmp_path)).scene(None)
    said = {name: [(f.key, f.words, f.text) for f in tape_fields(scene, name)] for name in things(scene)}
    assert said["two"] == [
        ("from_right", "from the right wall", "4' 0-5/16\""), ("from_front", "from the front wall", "3' 3-3/8\""),
    ]  # fmt: skip
    assert said["chair"] == [
        ("right", "right of post", "3' 3-3/8\""), ("back", "behind post", "6' 6-3/4\""),
        ("ear_height", "ears above the floor", "3' 4\""),
    ]  # fmt: skip
    assert said["sofa"][:2] == [
        ("from_center", "right of the center line", '10"'), ("from_rear", "from the rear wall", "6' 6-3/4\""),
    ]  # fmt: skip
    assert said["right"] == [
        ("from_rear", "from the rear wall", "16' 4-7/8\""), ("height", "above the floor", "4' 0-5/16\""),
    ]  # fmt: skip
    assert said["front"][0] == ("right", "right of post", "3' 3-3/8\"")


def test_a_length_typed_is_the_length_it_gets(tmp_path):
    """Whatever is typed, that length becomes it and the others stay; what was shown changes nothing."""
    draft = Draft.open(every_way(tmp_path))
    scene = draft.scene(None)
    for name in things(scene):
        fields = tape_fields(scene, name)
        for field in fields:
            for text in ("3' 3 1/2\"", "1.02m", "  1020 mm ", "3′ 4″", "39½ in"):
                after = draft.scene(None, put_in(scene, name, typed(scene, name, field, text)))
                for before, now in zip(fields, tape_fields(after, name), strict=True):
                    if before.key == field.key:
                        assert now.metres == pytest.approx(parse_length(text), abs=1e-9), (name, field)
                    elif field.key != "back" and before.key != "ear_height":  # which is over what one stands on
                        assert now.metres == pytest.approx(before.metres, abs=1e-9), (name, field)
            same = draft.scene(None, put_in(scene, name, typed(scene, name, field.key, field.text)))
            assert place(same, name) == pytest.approx(place(scene, name), abs=1e-9)


@pytest.mark.parametrize(
    "text", ["", "  ", "tall", "66", "5' 14\"", "1,5 m", "1e3m", "nan m", "900m", "'" * 400, "1/0in"]
)
def test_what_is_no_length_is_refused_in_words(tmp_path, text):
    scene = Draft.open(every_way(tmp_path)).scene(None)
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        typed(scene, "one", "from_left", text)
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        plane_height(scene, text)


def test_fields_and_ways_that_a_thing_does_not_have_are_refused(tmp_path):
    scene = Draft.open(every_way(tmp_path)).scene(None)
    with pytest.raises(ValueError, match="does not place it; what does is from_left, from_front"):
        typed(scene, "one", "height", "1m")
    with pytest.raises(ValueError, match="from a side and from an end"):
        remeasured(scene, "one", TapedFrom("left"))
    with pytest.raises(ValueError, match="runs the other way"):
        remeasured(scene, "left", TapedFrom("left"))
    with pytest.raises(ValueError, match="no datum called shelf"):
        remeasured(scene, "one", TapedFrom(datum="shelf"))
    with pytest.raises(ValueError, match="did you mean one"):
        tape_fields(scene, "onee")


def test_a_bare_number_is_read_where_the_scene_states_its_unit(tmp_path):
    path = every_way(tmp_path)
    path.write_text(path.read_text().replace("format: 1\n", "format: 1\nbare_lengths: in\n"))
    draft = Draft.open(path)
    scene = draft.scene(None)
    after = draft.scene(None, put_in(scene, "one", typed(scene, "one", "from_left", "66")))
    assert tape_fields(after, "one")[0].text == "5' 6\""


def test_the_height_of_the_plane(tmp_path):
    draft = Draft.open(every_way(tmp_path))
    scene = draft.scene(None)
    for said, metres in (("3' 6\"", 42 * 0.0254), (1.0, 630 / 16 * 0.0254)):
        changes = NO_CHANGES.with_keys("listening_plane", None, plane_height(scene, said))
        assert draft.scene(None, changes).plane.height == pytest.approx(metres, abs=1e-9)
