"""Overlays: a file of changes gives the scene that the same changes would give as a scheme."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.read import place_of, read_scene
from earshed.viewer.cli import run
from tests.scene_files import facts, put, put_marked

ROOT = Path(__file__).resolve().parent.parent
SHIPPED = sorted((ROOT / "scenes").glob("*.yaml"))
STUDIO = """\
format: 1
title: Studio
bare_lengths: m
catalogs: [shop.yaml]
room: {width: 4, length: 6, ceiling: {shape: flat, height: 2.5}}
datums: {post: {from_left: 1, from_front: 2}}
framing:
  - {name: joists, surface: ceiling, member: deep, spacing: 16in, direction: front-to-back, first_center: 8in}
fixtures:
  - {name: lamp, type: can, at: {from_left: 1.2, from_front: 1}}
openings: [{name: door, wall: rear, from_left: 1, sill: 0, width: 0.8, height: 2}]
screen: {wall: front, diagonal: 80in, aspect: 16:9, bottom: 0.5}
seats:
  - {name: chair, at: {from_left: 2, from_front: 4}, ear_height: 1, main: true}
  - {name: bench, at: {from_left: 2, from_front: 5}, ear_height: 1}
speaker_types:
  pivot: {mount: in-ceiling, aiming: {pivoting: 18deg}, coverage: 90deg}
speakers:
  - {name: one, type: pivot, at: {from_left: 1, from_front: 1}, aim: {tilt: 10deg, toward: rear}}
  - {name: two, type: flush, at: {datum: post}}
listening_plane: {step: 0.1}
schemes:
  turned: {speakers: {one: {aim: {seats: main}}}}
  more:
    speakers: {three: {type: flush, at: {from_left: 3, from_front: 3}}}
    datums: {post: {from_left: 2, from_front: 2}}
"""
SHOP = """\
format: 1
catalog: Shop
members: {deep: 45mm x 240mm}
fixture_types: {can: {kind: can light, cutout: 15cm, body: 19cm}}
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 20cm, bezel: 23cm}}
"""
CHANGES = {
    "speakers": "speakers: {one: {type: flush, aim: none}, two: {at: {from_left: 2, from_rear: 1.5}}}",
    "new speaker": "speakers: {five: {type: pivot, at: {datum: post}, aim: {seats: all}}}",
    "room": "room: {length: 7, ceiling: {shape: shed, low: 2, high: 3, rises: rear}}",
    "seats": "seats: {chair: {main: false, ear_height: 1.1}, bench: {main: true}}",
    "fixtures": "fixtures: {lamp: {cutout: 0.1}, spot: {type: can, at: {from_left: 3, from_front: 1}}}",
    "types": "speaker_types: {flush: {coverage: 70deg}}\nfixture_types: {can: {body: 25cm}}\nmembers: {deep: 2x12}",
    "datums": "datums: {post: {from_right: 1, from_rear: 3}}",
    "screen": "screen: {width: 2}\nlistening_plane: {height: 1.2}",
    "removals": "remove: [door, bench]",
    "everything": "openings: {door: {from_left: 2}}\nframing: {joists: {member: 2x8}}\nremove: [two, lamp]\n"
    "risers: {step: {from_left: 0, from_front: 4.5, width: 4, length: 1.5, height: 0.2}}",
}


@pytest.fixture(autouse=True)
def no_config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


def overlay(changes: str, *head: str) -> str:
    return "\n".join(["format: 1", "based_on: studio.yaml", *head, changes, ""])


def as_scheme(changes: str) -> str:
    return "  laid: {" + ", ".join(changes.splitlines()) + "}\n"


@pytest.mark.parametrize("name", CHANGES)
def test_an_overlay_is_the_same_changes_as_a_scheme(tmp_path: Path, name: str) -> None:
    up = put(tmp_path, up=overlay(CHANGES[name]), studio=STUDIO, shop=SHOP)
    put(tmp_path, whole=STUDIO + as_scheme(CHANGES[name]))
    laid = read_scene(up)
    assert facts(laid) == facts(read_scene(tmp_path / "whole.yaml", "laid"))
    assert facts(laid) != facts(read_scene(tmp_path / "studio.yaml"))
    assert (laid.scheme, laid.schemes) == (None, ("turned", "more"))


TURNED = ("aim: {tilt: 10deg, toward: rear}", "aim: {seats: main}")


@pytest.mark.parametrize("name", CHANGES)
def test_the_scheme_is_laid_first_and_the_overlay_on_it(tmp_path: Path, name: str) -> None:
    """Against a scene into which the scheme's changes were written by hand."""
    up = put(tmp_path, up=overlay(CHANGES[name]), studio=STUDIO, shop=SHOP)
    put(tmp_path, whole=STUDIO.replace(*TURNED) + as_scheme(CHANGES[name]))
    assert facts(read_scene(up, "turned")) == facts(read_scene(tmp_path / "whole.yaml", "laid"))
    assert read_scene(up, "turned").scheme == "turned"


def test_the_later_word_is_the_overlays(tmp_path: Path) -> None:
    up = put(tmp_path, up=overlay("speakers: {one: {aim: none}}"), studio=STUDIO, shop=SHOP)
    assert read_scene(tmp_path / "studio.yaml", "turned").speakers[0].tilt > 0.1
    assert read_scene(up, "turned").speakers[0].tilt == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("scene", SHIPPED, ids=lambda path: path.stem)
def test_an_empty_overlay_is_the_scene(tmp_path: Path, scene: Path) -> None:
    shutil.copy(scene, tmp_path)
    up = put(tmp_path, up=f"format: 1\nbased_on: {scene.name}\n")
    for scheme in (None, "base", *read_scene(scene).schemes):
        laid, below = read_scene(up, scheme), read_scene(scene, scheme)
        assert facts(laid) == facts(below)
        assert (laid.scheme, laid.schemes) == (below.scheme, below.schemes)


def test_its_own_scheme_holds_where_none_is_asked_for(tmp_path: Path) -> None:
    moved = "speakers: {two: {at: {from_left: 3, from_front: 2}}}"
    put(tmp_path, studio=STUDIO, shop=SHOP, bare=overlay(moved), base=overlay(moved, "scheme: base"))
    own = put(tmp_path, own=overlay(moved, "scheme: turned"))
    for scheme in ("base", "turned", "more"):
        assert facts(read_scene(own, scheme)) == facts(read_scene(tmp_path / "bare.yaml", scheme))
    assert facts(read_scene(own)) == facts(read_scene(own, "turned")) != facts(read_scene(own, "base"))
    assert read_scene(own).scheme == "turned"
    assert facts(read_scene(tmp_path / "base.yaml")) == facts(read_scene(own, "base"))
    assert read_scene(tmp_path / "base.yaml").scheme is None


ONLY_IN_MORE = "speakers: {three: {at: {from_left: 2, from_front: 3}}}"


def test_what_is_made_for_one_scheme_need_not_fit_the_others(tmp_path: Path) -> None:
    """It moves a speaker that only that scheme has: right there, and a speaker without a type anywhere else."""
    said = put(tmp_path, said=overlay(ONLY_IN_MORE, "scheme: more"), studio=STUDIO, shop=SHOP)
    assert read_scene(said).speakers[2].position[0] == pytest.approx(2)
    path, mark = put_marked(tmp_path, unsaid=overlay(ONLY_IN_MORE.replace("three", "¦three")))
    for scheme in (None, "more", "turned"):
        error = refused(path, scheme)
        assert error.mark == mark
        assert "nothing under speakers is called three, and a new one" in error.message
        assert "it needs `type`; it fits more" in error.message
        assert "`scheme: more`" in error.message
    clash = "seats: {three: {at: {datum: post}, ear_height: 1}}"  # its own scheme is tried also where another is asked
    both = put(tmp_path, both=overlay(clash, "scheme: more"))
    assert "already called three" in refused(both, "turned").message
    error = refused(said, "turned")
    assert 'over scheme "turned", overlay: nothing under speakers is called three' in error.message
    assert "it fits" not in error.message


def test_what_is_made_for_all_is_tried_on_all(tmp_path: Path) -> None:
    path, mark = put_marked(tmp_path, up=overlay("remove: [¦three]"), studio=STUDIO, shop=SHOP)
    assert refused(path).mark == mark
    put(
        tmp_path, studio=STUDIO.replace("speakers:\n", "speakers:\n  - {name: three, type: flush, at: {datum: post}}\n")
    )
    put(tmp_path, studio=(tmp_path / "studio.yaml").read_text().replace("  turned: {", "  turned: {remove: [three], "))
    error = refused(path)
    assert error.mark == mark
    assert 'over scheme "turned", overlay, remove: nothing is called three; it fits base, more' in error.message


def test_its_title_stands_before_the_scenes(tmp_path: Path) -> None:
    up = put(tmp_path, up=overlay("", "title: Studio as built"), studio=STUDIO, shop=SHOP)
    assert read_scene(up).title == "Studio as built"


def refused(path: Path, scheme: str | None = None) -> SceneError:
    with pytest.raises(SceneError) as error:
        read_scene(path, scheme)
    return error.value


SLIPS = [
    # an overlay, in which ¦ stands where the message must point, and the words that must be said
    ("¦based_on: studio.yaml\n", "needs `format`"),
    ("format: ¦2\nbased_on: studio.yaml\n", "format", "must be 1, not 2"),
    ("format: 1\nbased_on: ¦gone.yaml\n", "based_on", "there is no gone.yaml beside", "there are: studio.yaml"),
    (f"format: 1\nbased_on: ¦{'€' * 200}\n", "based_on", "there is no €€€"),
    ("format: 1\nbased_on: ¦up.yaml\n", "based_on", "cannot be based on itself"),
    ("format: 1\nbased_on: ¦other.yaml\n", "other.yaml is an overlay itself", "laid over a scene"),
    ("format: 1\nbased_on: ¦shop.yaml\n", "shop.yaml is a catalog"),
    ("format: 1\nbased_on: ¦sub/studio.yaml\n", "based_on", "sub/studio.yaml is not a plain file name"),
    ("format: 1\nbased_on: ¦../studio.yaml\n", "based_on", "not a plain file name"),
    ("format: 1\nbased_on: ¦/studio.yaml\n", "based_on", "not a plain file name"),
    ("format: 1\nbased_on: ¦sub\\studio.yaml\n", "based_on", "not a plain file name"),
    ("format: 1\nbased_on: ¦..\n", "based_on", "not a plain file name"),
    ("format: 1\nbased_on: ¦''\n", "based_on", "empty"),
    ("format: 1\nbased_on: ¦[studio.yaml]\n", "based_on", "a name, not a list"),
    (overlay("¦schemes: {a: {}}"), "schemes stand in the scene"),
    (overlay("¦catalogs: [generic]"), "catalogs", "in the scene"),
    (overlay("¦print_units: mm"), "`print_units` is not a key here", "based_on", "remove"),
    (overlay("¦speaker: {}"), "`speaker`", "did you mean `speakers`?"),
    (overlay("title: ¦[a]"), "title", "text"),
    (overlay("", "scheme: ¦turnd"), 'no scheme "turnd"', "turned, more"),
    (overlay("", "scheme: ¦''"), "scheme", "empty"),
    (overlay("room: ¦big"), "overlay, room", "needs the keys that change"),
    (overlay("speakers: ¦[{name: one, type: flush}]"), "overlay, speakers", "maps names to changes", "{NAME: {...}}"),
    (overlay("speakers: {one: ¦flush}"), "overlay, one", "needs the keys that change"),
    (overlay("speakers: {one: {¦tpye: flush}}"), 'speaker "one"', "did you mean `type`?"),
    (overlay("speakers: {¦six: {at: {datum: post}}}"), "nothing under speakers is called six", "needs `type`"),
    (overlay("speakers: {one: {type: ¦flsh}}"), 'speaker "one", type', "did you mean flush?"),
    (overlay("fixtures: {lamp: {type: ¦cann}}"), 'fixture "lamp", type', "did you mean can?"),
    (overlay("seats: {chair: {ear_height: ¦tall}}"), 'seat "chair", ear_height', "tall is not a length"),
    (overlay("remove: [one, ¦seven]"), "overlay, remove", "nothing is called seven"),
    (overlay("remove: ¦{one: yes}"), "overlay, remove", "list of names"),
    (overlay("", "¦format: 1"), "a second time"),
]


@pytest.mark.parametrize(("text", "words"), [(text, words) for text, *words in SLIPS])
def test_slips_in_an_overlay_are_found_in_its_lines(tmp_path: Path, text: str, words: list[str]) -> None:
    put(tmp_path, studio=STUDIO, shop=SHOP, other=overlay(""))
    path, mark = put_marked(tmp_path, up=text)
    error = refused(path)
    assert error.mark == mark, error
    assert "brought in" not in error.message
    assert "it fits" not in error.message
    for word in words:
        assert word in error.message


IN_THE_SCENE = [
    ("format: 1", "format: ¦2", "must be 1"),
    ("title: Studio", "title: Studio\n¦colour: red", "`colour`"),
    ("type: flush, at: {datum: post}", "type: ¦flsh, at: {datum: post}", 'speaker "two", type'),
    ("  turned: {", "  turned: {¦seat: {}, ", 'scheme "turned"', "did you mean `seats`?"),
    (
        "post}}\nlistening_plane: {step: 0.1}\nschemes:\n  turned: {",
        "¦post}}\nlistening_plane: {step: 0.1}\nschemes:\n  turned: {remove: [post], ",
        'under scheme "turned"',
        "no datum",
    ),
    ("schemes:\n", "schemes: ¦[]\nrisers:\n", "schemes"),
    ("title: Studio", "title: ¦@home", "cannot begin a value"),
]


@pytest.mark.parametrize(("old", "new", "words"), [(old, new, words) for old, new, *words in IN_THE_SCENE])
@pytest.mark.parametrize("head", [[], ["scheme: more"]], ids=["", "of a scheme"])
def test_slips_in_the_scene_name_the_line_that_brought_it_in(
    tmp_path: Path, old: str, new: str, words: list[str], head: list[str]
) -> None:
    """Also in a scheme that the overlay has nothing to do with, as when the scene is read by itself."""
    assert STUDIO.count(old) == 1
    text = STUDIO.replace(old, new)
    text = text[: text.index("  turned:")] if "risers" in new else text
    studio, mark = put_marked(tmp_path, studio=text, shop=SHOP)
    up = put(tmp_path, up=overlay("speakers: {one: {aim: none}}", *head))
    alone, error = refused(studio), refused(up)
    assert error.mark == alone.mark == mark
    assert error.message == f"{alone.message} (brought in by {up}:2:11)"
    for word in words:
        assert word in error.message


def test_the_overlay_is_to_blame_where_the_scene_alone_is_right(tmp_path: Path) -> None:
    """The line at fault is the scene's, and was right before the overlay took away what it names."""
    studio, mark = put_marked(tmp_path, studio=STUDIO.replace("{datum: post}", "{datum: ¦post}"), shop=SHOP)
    assert read_scene(studio)
    up = put(tmp_path, up=overlay("remove: [post]", "scheme: turned"))
    error = refused(up)
    assert error.mark == mark
    assert error.message.startswith('with the changes of up.yaml, over scheme "turned", speaker "two"')
    assert error.message.endswith(f"(brought in by {up}:2:11)")


def test_a_scheme_that_is_not_there(tmp_path: Path) -> None:
    up = put(tmp_path, up=overlay("", "scheme: more"), studio=STUDIO, shop=SHOP)
    for name in ("mroe", "", "Base"):
        error = refused(up, name)
        assert error.mark == Mark(str(up), 1, 1)
        assert f'no scheme "{name}"; it has turned, more' in error.message


# --- as its user meets it


def test_places_of_an_overlay_are_where_they_stand(tmp_path: Path) -> None:
    studio, mark = put_marked(tmp_path, studio=STUDIO.replace("step: 0.1", "step: ¦0.1"), shop=SHOP)
    assert studio.is_file()
    up = put(tmp_path, up=overlay("seats: {chair: {main: true}}\nscreen: {bottom: 1}"))
    assert place_of(up, ("screen", "bottom")) == Mark(str(up), 4, 18)
    assert place_of(up, ("listening_plane", "step")) == mark
    assert place_of(up, ("listening_plane", "step")).brought_in == f" (brought in by {up}:2:11)"


def test_too_fine_a_plane_is_told_where_it_is_asked_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    fine = put(tmp_path, fine=overlay("listening_plane: {step: 0.1mm}"), studio=STUDIO, shop=SHOP)
    assert run(["map", str(fine), "--out", str(tmp_path / "out")]) == 2
    assert capsys.readouterr().err.startswith(f"{fine}:3:25: listening_plane, step:")


def told_by(capsys: pytest.CaptureFixture[str], *line: str) -> dict[str, Any]:
    assert run([*line, "--json"]) < 2
    document: dict[str, Any] = json.loads(capsys.readouterr().out)
    return document


def test_commands_take_an_overlay_as_they_take_a_scene(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    up = put(tmp_path, up=overlay(CHANGES["speakers"]), studio=STUDIO, shop=SHOP)
    put(tmp_path, whole=STUDIO + as_scheme(CHANGES["speakers"]))
    over, whole = (
        told_by(capsys, "check", str(up)),
        told_by(capsys, "check", str(tmp_path / "whole.yaml"), "--scheme", "laid"),
    )
    assert over == {**whole, "scheme": None}
    mapped = told_by(capsys, "map", str(up), "--scheme", "turned", "--out", str(tmp_path / "maps"), "--size", "400x300")
    assert mapped["scheme"] == "turned"
    assert all(Path(name).is_file() for name in mapped["files"])


def test_an_overlay_is_read_alike_from_wherever_it_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "job").mkdir()
    (tmp_path / "away").mkdir()
    up = put(tmp_path / "job", up=overlay(CHANGES["seats"]), studio=STUDIO, shop=SHOP)
    whole = facts(read_scene(up))
    monkeypatch.chdir(tmp_path / "away")
    assert facts(read_scene("../job/up.yaml")) == whole
    (tmp_path / "away" / "link.yaml").symlink_to(up)
    assert refused(Path("link.yaml")).mark == Mark("link.yaml", 2, 11)  # the folder of the link counts
    monkeypatch.chdir(tmp_path / "job")
    assert facts(read_scene("up.yaml")) == whole
