"""What is saved is what was seen: overlays and schemes read back as the scene that was edited."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earshed.model.editing.aiming import aimed_at, aimed_at_main, aimed_at_point, turned
from earshed.model.editing.changes import NO_CHANGES, Changes
from earshed.model.editing.draft import Draft
from earshed.model.editing.mirroring import mirrored
from earshed.model.editing.moving import along_ray, moved, nudged
from earshed.model.editing.overlay import overlay_of
from earshed.model.editing.retyping import retyped, types_for
from earshed.model.editing.scheme_file import with_scheme
from earshed.model.editing.tape_fields import plane_height, tape_fields, typed
from earshed.model.editing.taping import remeasured, ways
from earshed.model.editing.things import section_of, the_speaker
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene
from earshed.model.scene_file.schemes import scheme_names
from earshed.model.scene_file.tree import parse_tree, plain
from tests.editing_rooms import FOLDER, SCENES, every_way, things
from tests.scene_files import told


def an_edit(scene: Scene, rng: np.random.Generator) -> tuple[str, str, dict]:
    """A section, a name and keys of one edit as a hand makes it. Raises ValueError for what cannot be."""
    name = str(rng.choice(list(things(scene))))
    section = section_of(scene, name)
    if section == "speakers" and rng.random() < 0.5:
        speaker = the_speaker(scene, name)
        match rng.integers(6):
            case 0:
                return section, name, aimed_at_main(scene, name)
            case 1:
                return section, name, aimed_at(scene, name, scene.seats[-1].name)
            case 2:
                return section, name, aimed_at_point(scene, name, speaker.position + rng.normal(size=3))
            case 3:
                return section, name, turned(scene, name, rng.uniform(0, 0.5), rng.uniform(-3, 3))
            case 4:
                return section, name, retyped(scene, name, rng.choice([one.name for one in types_for(scene, name)]))
            case _:
                return section, *mirrored(scene, name)
    match rng.integers(4):
        case 0:
            spot = along_ray(scene, name, rng.uniform(-1, 5, 3), rng.normal(size=3))
            return section, name, moved(scene, name, spot)
        case 1:
            return section, name, nudged(scene, name, right=rng.uniform(-0.1, 0.1), back=0.01, up=0.02)
        case 2:
            return section, name, remeasured(scene, name, ways(scene, name)[rng.integers(len(ways(scene, name)))])
    fields = tape_fields(scene, name)
    return section, name, typed(scene, name, fields[rng.integers(len(fields))], f"{rng.uniform(0.3, 1.9):.3f} m")


def edited(draft: Draft, scheme: str | None, rng: np.random.Generator, count: int) -> tuple[Changes, Scene]:
    """Some edits one after another, each of what the last one led to, and the scene that they lead to."""
    changes, scene = NO_CHANGES, draft.scene(scheme)
    if rng.random() < 0.5:
        changes = changes.with_keys("listening_plane", None, plane_height(scene, rng.uniform(0.8, 1.4)))
    for _ in range(count):
        try:
            more = changes.with_keys(*an_edit(scene, rng))
            changes, scene = more, draft.scene(scheme, more)
        except (ValueError, SceneError) as error:
            print(error)  # an aim that cannot be, two things in one place: refused, and not done
    if rng.random() < 0.5:
        taken = draft.without(scheme, changes, scene.speakers[0].name)
        try:
            changes, scene = taken, draft.scene(scheme, taken)
        except SceneError as error:
            print(error)
    return changes, draft.scene(scheme, changes)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The shipped scenes in a folder in which one may write."""
    place = tmp_path_factory.mktemp("scenes") / "scenes"
    shutil.copytree(FOLDER, place, ignore=shutil.ignore_patterns("__pycache__", "*.py"))
    every_way(place)
    return place


FILES = [*(path.name for path in SCENES), "ways-ft-in.yaml"]


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("which", [0, -1])
def test_saved_it_is_the_scene_that_was_seen(folder, name, which):
    rng = np.random.default_rng(len(name) + which)
    draft = Draft.open(folder / name)
    scheme = draft.schemes[which]
    for _ in range(2):
        changes, live = edited(draft, scheme, rng, 12)
        overlay = folder / "saved.yaml"
        overlay.write_text(overlay_of(draft, scheme, changes, head="Of a test"), encoding="utf-8")
        assert told(read_scene(overlay)) == told(live)
        again = Draft.open(overlay)
        assert again.first(again.scheme) == changes
        assert told(again.scene(again.scheme, again.first(again.scheme))) == told(live)
        whole = folder / "whole.yaml"
        text = (folder / name).read_bytes().decode("utf-8")
        whole.write_bytes(with_scheme(text, "as tried", scheme, changes).encode("utf-8"))
        assert told(read_scene(whole, "as tried")) == {**told(live), "builds_on": scheme}
        assert told(read_scene(whole, scheme)) == told(draft.scene(scheme))


def test_an_overlay_keeps_its_title_and_what_it_is_made_for(folder):
    over = folder / "over.yaml"
    over.write_text("format: 1\nbased_on: bonus-room.yaml\ntitle: As I want it\nlistening_plane: {height: 1m}\n")
    draft = Draft.open(over)
    assert parse_tree(overlay_of(draft, None, draft.first(None)), "").get("scheme") is None
    more = draft.first(None).with_keys("speakers", "upper front left", {"type": "angled round", "aim": "none"})
    with pytest.raises(SceneError, match="upper front left"):
        overlay_of(draft, None, more)  # an angled one needs a heading
    more = more.with_keys("speakers", "upper front left", {"aim": {"seats": "main"}})
    text = overlay_of(draft, "as found", more, notes={"upper front left": "tried\non a ladder"})
    assert plain(parse_tree(text, "")) == {
        "format": "1", "based_on": "bonus-room.yaml", "title": "As I want it", "scheme": "as found", **more.to_plain(),
    }  # fmt: skip
    assert "  # tried\n  # on a ladder\n  upper front left: {type: angled round" in text
    assert "title: New" in overlay_of(draft, None, more, title="New")


# --- one more scheme in the text of a scene

HEAD = "format: 1\ntitle: Den   # a den\nroom: {width: 4m, length: 5m, ceiling: {shape: flat, height: 2.4m}}\n"
TEXTS = [
    HEAD,
    HEAD + "schemes: {}\n",
    HEAD + "schemes: {as found: {}}   # one\n",
    HEAD + "schemes: {as found: {}, # one\n  other: {}  # two, with a } and a , in it\n  }\n# end\n",
    HEAD + "schemes: {as found: {}, other: {},}\n",
    HEAD + "schemes: {as found: {}, other: {} , # it ends, so\n}\n",
    HEAD + "schemes:\n  as found: {}\n",
    HEAD + "schemes:\n  as found: {}   # as it was\n  # of the last one\n\n# of the file\n",
    HEAD + "schemes:\n    as found:\n      listening_plane: {height: 1m}\n      # inner\n    # last\n# end\n",
    HEAD + "schemes:\n as found:\n  listening_plane:\n   height: 1m\n",
    HEAD + "schemes:\n  as found: {listening_plane: {height: 1m,\n     step: 2in}}\nseats: []\n",
    HEAD + "schemes:\n  as found: {}\nlistening_plane: {height: 1m}   # the last\n...\n",
    "---\n" + HEAD + "schemes:\n  as found:\n    listening_plane: {height: >-\n      1m}\n".replace(">-\n      ", ""),
    HEAD + "schemes:\n  as found:\n    listening_plane:\n      height: >-\n        1m\n\n\nseats: []\n",
    HEAD + "schemes:\n  as found:\n    listening_plane:\n      height: |\n        1m\n",
    HEAD + "schemes:\n  \"as: found\": {remove: []}\n  'it''s':\n    remove: []\n",
    HEAD + "schemes:\n  as found:\n    remove:\n      []\nseats: []\n",
    "".join(f"  {line}\n" for line in (HEAD + "schemes:\n  as found: {}\n").splitlines()),
    "{format: 1, title: Den, room: {width: 4m, length: 5m, ceiling: {shape: flat, height: 2.4m}}}",
    "{format: 1, title: Den, room: {width: 4m, length: 5m, ceiling: {shape: flat, height: 2.4m}}, schemes: {}, }\n",
    "? format\n: 1\n? title\n: Den\n? room\n: {width: 4m, length: 5m, ceiling: {shape: flat, height: 2.4m}}\n",
    HEAD + "seats:\n- {name: a, at: {from_left: 1m, from_front: 1m}, ear_height: 1m}\n",
    HEAD.replace("Den ", "Dén 🎬 "),
]  # fmt: skip
SOME = NO_CHANGES.with_keys("listening_plane", None, {"height": "3' 4\"", "step": "2in"})
SEAT = {"at": {"from_left": "1m", "from_front": "2m"}, "ear_height": "1m"}


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("ends", ["\n", "\r\n", "no last", "bom", "two"])
def test_a_scheme_is_added_and_all_else_stays_to_the_letter(tmp_path, text, ends):
    text = {"\r\n": text.replace("\n", "\r\n"), "no last": text.rstrip("\n"), "bom": "\ufeff" + text}.get(ends, text)
    names = scheme_names(parse_tree(text.removeprefix("\ufeff"), ""))
    changes = SOME.with_keys("seats", "new: #1 seat", SEAT) if ends != "two" else NO_CHANGES
    of = names[-1] if names else None
    after = with_scheme(text, "as tried", of, changes)
    if ends == "two":
        after = with_scheme(after, "after that", "as tried", SOME)
    added = len(after) - len(text)
    start = next(
        index
        for index in range(len(text) + 1)
        if after.startswith(text[:index]) and after[index + added :] == text[index:]
    )
    assert after[:start] + after[start + added :] == text
    if ends == "\r\n":
        assert "\n" not in after.replace("\r\n", "")
    path = tmp_path / "den.yaml"
    path.write_bytes(after.encode("utf-8"))
    draft = Draft.open(path)
    assert draft.schemes[: len(names) + 2] == (None, *names, "as tried")
    scene = draft.scene("after that" if ends == "two" else "as tried")
    assert scene.plane.height == pytest.approx(40 * 0.0254)
    assert scene.builds_on == ("as tried" if ends == "two" else of)


@pytest.mark.parametrize(
    ("text", "name", "of", "words"),
    [
        (TEXTS[2], "as found", None, 'has a scheme "as found" already; it has as found'),
        (TEXTS[2], " as  found ", None, "already"),
        (TEXTS[2], "base", None, "not base"),
        (TEXTS[2], "  ", None, "needs a name"),
        (TEXTS[2], "x" * 300, None, "longer than"),
        (TEXTS[2], "a\x00b", None, "code 0"),
        (TEXTS[2], "new", "as fund", "did you mean as found"),
        ("format: 1\nbased_on: den.yaml\n", "new", None, "this is an overlay"),
        ("format: 1\ncatalog: Mine\n", "new", None, "it has no room"),
        ("format: 1\nroom: {\n", "new", None, "not closed|does not fit|expected"),
        (HEAD + "schemes: []\n", "new", None, "maps names to changes"),
        (HEAD + "schemes:\n", "new", None, "maps names to changes"),
        ("", "new", None, "empty"),
    ],
)  # fmt: skip
def test_a_scheme_that_cannot_be_added_is_refused_in_words(text, name, of, words):
    with pytest.raises(ValueError, match=words):
        with_scheme(text, name, of, SOME)


SIGNS = st.characters(exclude_categories=("Cs", "Cc")) | st.sampled_from(":#'\"{}[],&*!|>%@`-? \u2028\u200d🎬🏽")
NAMES = st.text(SIGNS, min_size=1, max_size=15).map(lambda text: " ".join(text.split()))
NAMES = NAMES.filter(lambda name: name not in ("", "base"))


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(NAMES, min_size=4, max_size=4, unique=True), st.sampled_from([0, 1, 6, 18]))
def test_any_name_is_saved_and_read_again(tmp_path, names, number):
    """Names of things, of schemes and of files, and values that are nobody's business."""
    seat, scheme, other, value = names
    body = {"seats": {seat: SEAT}, "letterhead": {"prepared_by": {"name": value, other: [value, {other: value}]}}}
    changes = Changes.from_plain(body)
    for text in (
        with_scheme(TEXTS[number], scheme, None, changes),
        with_scheme(TEXTS[number] + "# end", scheme, None, changes),
    ):
        tree = parse_tree(text, "")
        assert plain(tree.get("schemes"))[scheme] == changes.to_plain()
        more = with_scheme(text, other, scheme, NO_CHANGES.without(seat))
        assert plain(parse_tree(more, "").get("schemes"))[other] == {"builds_on": scheme, "remove": [seat]}
    path = tmp_path / "den.yaml"
    path.write_text(TEXTS[number], encoding="utf-8")
    plainly = NO_CHANGES.with_keys("seats", seat, SEAT)
    overlay = tmp_path / "over.yaml"
    overlay.write_text(
        overlay_of(Draft.open(path), None, plainly, title=value, notes={seat: other}, head=value), encoding="utf-8"
    )
    scene = read_scene(overlay)
    assert (scene.title, [one.name for one in scene.seats]) == (value, [seat])


def test_sixty_speakers(tmp_path):
    lines = [
        f"  - {{name: s{n}, type: t, at: {{from_left: {1 + n % 10}ft, from_front: {1 + n // 10}ft}}}}"
        for n in range(60)
    ]
    path = tmp_path / "hall.yaml"
    path.write_text(
        HEAD + "speaker_types: {t: {mount: in-ceiling, aiming: {pivoting: 15deg}, coverage: 90deg}}\nspeakers:\n"
        + "\n".join(lines) + "\nseats: [{name: a, at: {from_left: 2m, from_front: 3m}, ear_height: 1m}]\n"
    )  # fmt: skip
    draft = Draft.open(path)
    changes, live = edited(draft, None, np.random.default_rng(2), 40)
    for speaker in live.speakers:
        changes = changes.with_keys("speakers", speaker.name, aimed_at_main(live, speaker))
    overlay = tmp_path / "over.yaml"
    overlay.write_text(overlay_of(draft, None, changes))
    assert told(read_scene(overlay)) == told(draft.scene(None, changes))
    assert changes.count >= 59


def test_a_file_beside_is_found_from_changes_too(folder):
    """What a change names stands in the scene's folder."""
    draft = Draft.open(folder / "bonus-room.yaml")
    changes = NO_CHANGES.with_keys("speaker_types", "flush round", {"directivity": {"measured": "none-such.csv"}})
    with pytest.raises(SceneError, match="none-such") as caught:
        draft.scene(None, changes)
    assert Path(caught.value.mark.file).name == "bonus-room.yaml"
