"""Changes as values: merged as overlays are, equal by what they say, and a scene built of them as one reads it."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.editing.changes import NO_CHANGES, Changes, changes_of
from earshed.model.editing.draft import Draft
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.schemes import apply_changes, changed
from earshed.model.scene_file.tree import Table, parse_tree, plain, read_tree

SCENES = sorted((Path(__file__).parent.parent / "scenes").glob("*.yaml"))
PLACES = st.sampled_from([
    {"from_left": "3' 4\"", "from_front": "5'"}, {"from_right": "1m"}, {"from_center": "0", "height": "2 m"},
    {"wall": "left", "from_front": "2'", "height": "5'"}, {"at": {"from_left": "1m", "from_front": "2m"}},
    {"datum": "bookcase", "right": "1'", "back": "2'"}, {"type": "flush round", "aim": "none"},
    {"aim": {"seats": "main"}}, {"height": "1.2 m"},
])  # fmt: skip
"""What an edit says. None forgets what an earlier one displaced, as one would that tapes along another wall unsaid."""
names = st.text(min_size=1, max_size=12).filter(lambda text: text == " ".join(text.split()) and text.isprintable())


@settings(max_examples=300)
@given(st.lists(st.tuples(st.sampled_from(["a", "b"]), PLACES), max_size=6))
def test_one_change_after_another_is_all_of_them_at_once(steps):
    scene = parse_tree(
        "format: 1\nspeakers: [{name: a, at: {from_left: 0, from_front: 0}}, {name: b, from_left: 1m}]", ""
    )
    after, all_at_once = scene, NO_CHANGES
    for name, keys in steps:
        one = NO_CHANGES.with_keys("speakers", name, keys)
        after, all_at_once = apply_changes(after, one.tree, ""), all_at_once.with_keys("speakers", name, keys)
    assert plain(apply_changes(scene, all_at_once.tree, "")) == plain(after)


def test_a_distance_from_one_side_replaces_one_from_the_other():
    one = NO_CHANGES.with_keys("fixtures", "case", {"from_left": "1m", "from_front": "2m"})
    assert one.with_keys("fixtures", "case", {"from_right": "3m"}).keys_of("fixtures", "case") == {
        "from_front": "2m",
        "from_right": "3m",
    }


def test_what_is_said_of_wiring_keeps_the_names_that_it_does_not_name():
    one = NO_CHANGES.with_keys("wiring", None, {"cables": {"a": {"to": "b"}}})
    two = one.with_keys("wiring", None, {"cables": {"c": {"to": "d"}}})
    assert two.keys_of("wiring") == {"cables": {"a": {"to": "b"}, "c": {"to": "d"}}}


@given(st.dictionaries(names, PLACES, max_size=4), names)
def test_changes_are_what_they_say(things, taken):
    whole = NO_CHANGES
    for name, keys in things.items():
        whole = whole.with_keys("speakers", name, keys)
    assert whole.is_empty == (not things)
    assert whole.count == len(things)
    assert whole.reverted_section("speakers") == NO_CHANGES
    gone = whole.without(taken)
    assert gone.removed == (taken,)
    assert gone.reverted(taken) == whole.reverted(taken)
    assert taken not in gone.keys_of("speakers")
    for one in (whole, gone):
        back = Changes.from_plain(json.loads(json.dumps(one.to_plain())))
        assert back == one
        assert hash(back) == hash(one)
    assert gone.with_keys("speakers", taken, {"aim": "none"}).removed == ()


@pytest.mark.parametrize(
    "body",
    [
        [], "text", None, 3, {"schemes": {}}, {"format": "1"}, {"speakers": []}, {"speakers": {"a": "b"}},
        {"speakers": {"a": {"tilt": 3}}}, {"speakers": {"a": {"tilt": None}}}, {"remove": {"a": "b"}}, {"remove": [1]},
        {"speakers": {"a\x00": {}}}, {"speakers": {"a": {"type": "\ud800"}}}, {"speakers": {"a": {}, " a ": {}}},
        {"room": "wide"}, {3: {}}, {"surfaces": {"ceiling": 3}},
    ],
)  # fmt: skip
def test_what_is_no_set_of_changes_is_refused_in_words(body):
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        Changes.from_plain(body)


def test_a_bottomless_journal_is_refused():
    body: dict = {}
    for _ in range(2000):
        body = {"a": body}
    with pytest.raises(ValueError, match="levels"):
        Changes.from_plain({"speakers": body})


def test_sections_and_names_are_told_apart():
    with pytest.raises(ValueError, match="say the name"):
        NO_CHANGES.with_keys("speakers", None, {"aim": "none"})
    with pytest.raises(ValueError, match="no things by name"):
        NO_CHANGES.with_keys("listening_plane", "plane", {"height": "1m"})
    with pytest.raises(ValueError, match="no section"):
        NO_CHANGES.with_keys("schemes", None, {"as built": {}})
    assert NO_CHANGES.with_keys("surfaces", None, {"ceiling": "plaster"}).to_plain() == {
        "surfaces": {"ceiling": "plaster"}
    }


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_scheme_of_every_scene_opens(path):
    draft = Draft.open(path)
    assert draft.schemes[0] is None
    assert path in draft.files
    for scheme in draft.schemes:
        scene = draft.scene(scheme)
        assert scene.scheme == scheme
        for speaker in scene.speakers:
            assert draft.has(scheme, speaker.name)


def test_an_overlay_opens_as_its_scene_with_its_changes(tmp_path):
    (tmp_path / "room.yaml").write_bytes(SCENES[0].read_bytes())
    base = Draft.open(tmp_path / "room.yaml")
    first = base.scene("proposed").speakers[0]
    overlay = tmp_path / "over.yaml"
    overlay.write_text(
        "format: 1\nbased_on: room.yaml\ntitle: Other\nscheme: proposed\n"
        f"speakers:\n  {first.name}: {{aim: {{seats: all}}}}\n"
    )
    draft = Draft.open(overlay)
    assert (draft.scheme, draft.based_on, draft.title, draft.is_overlay) == ("proposed", "room.yaml", "Other", True)
    assert {overlay, tmp_path / "room.yaml"} <= set(draft.files)
    assert (base.scene_path, draft.scene_path) == (tmp_path / "room.yaml",) * 2
    assert draft.first("proposed").to_plain() == {"speakers": {first.name: {"aim": {"seats": "all"}}}}
    assert draft.first("as found").is_empty
    assert draft.scene("proposed", draft.first("proposed")).title == "Other"
    assert changes_of(read_tree(overlay)) == draft.first("proposed")


def test_a_slip_names_the_thing_and_a_file_that_there_is():
    draft = Draft.open(SCENES[0])
    name = draft.scene(None).speakers[0].name
    with pytest.raises(SceneError) as caught:
        draft.scene(None, NO_CHANGES.with_keys("speakers", name, {"type": "nothing"}))
    assert name in caught.value.words
    assert "no speaker type called nothing" in caught.value.words
    assert caught.value.mark.file == str(SCENES[0])
    with pytest.raises(SceneError, match="nothing is called Fred"):
        draft.scene(None, NO_CHANGES.without("Fred"))
    with pytest.raises(SceneError, match="no scheme"):
        draft.scene("Fred")


def test_a_thing_that_the_changes_bring_is_simply_not_brought():
    draft = Draft.open(SCENES[0])
    seat = {"at": {"from_left": "1m", "from_front": "2m"}, "ear_height": "1m"}
    more = NO_CHANGES.with_keys("seats", "stool", seat)
    assert "stool" in [one.name for one in draft.scene(None, more).seats]
    assert draft.without(None, more, "stool") == NO_CHANGES
    name = draft.scene(None).speakers[0].name
    gone = draft.without(None, more, name)
    assert gone.removed == (name,)
    assert name not in [one.name for one in draft.scene(None, gone).speakers]


def test_a_draft_outlives_a_file_that_breaks(tmp_path):
    path = tmp_path / "room.yaml"
    path.write_bytes(SCENES[0].read_bytes())
    draft = Draft.open(path)
    path.write_text("format: 2\n")
    with pytest.raises(SceneError):
        draft.reopened()
    assert draft.scene(None).speakers
    path.write_bytes(SCENES[1].read_bytes())
    assert draft.reopened().scene(None).title == Draft.open(SCENES[1]).scene(None).title


def test_a_room_is_kept_while_nothing_of_it_changes():
    draft = Draft.open(next(path for path in SCENES if path.stem == "bonus-room"))
    room = draft.scene(None).room
    light = NO_CHANGES.with_keys("speakers", "front left", {"height": "3'"})
    light = light.with_keys("seats", "armchair", {"ear_height": "3'"})
    assert draft.scene(None, light).room is room
    wider = NO_CHANGES.with_keys("room", None, {"width": "16'"})
    for heavy, one in (
        (wider, "shell"), (NO_CHANGES.with_keys("fixtures", "low bookcase", {"height": "4'"}), "air"),
        (NO_CHANGES.without("low bookcase"), "air"),
        (NO_CHANGES.with_keys("risers", "step", {"from_left": "1m", "from_front": "5m", "width": "1m", "length": "1m",
                                                  "height": "8in"}), "air"),
    ):  # fmt: skip
        other = draft.scene(None, heavy).room
        assert other is not room
        assert getattr(other, one).volume != pytest.approx(getattr(room, one).volume, abs=1e-3)
    again = draft.scene(None).room
    assert again.volume == pytest.approx(room.volume)


def test_no_keys_are_no_change():
    assert NO_CHANGES.with_keys("speakers", "front left", {}) == NO_CHANGES
    assert NO_CHANGES.with_keys("room", None, {}) == NO_CHANGES
    assert NO_CHANGES.without("front left").with_keys("speakers", "front left", {}) == NO_CHANGES


def test_changing_a_table_is_as_the_scene_does_it():
    before = parse_tree("at: {from_left: 1m, from_front: 2m}\naim: none", "")
    change = parse_tree("aim: {seats: main}", "")
    assert isinstance(before, Table)
    assert plain(changed(before, change)) == {"at": {"from_left": "1m", "from_front": "2m"}, "aim": {"seats": "main"}}
