"""The README's gallery is what `.ci/gallery` would write today, and its pictures are there. None is drawn here."""

from __future__ import annotations

import importlib.machinery
import importlib.util
import re
import shutil
import sys
from pathlib import Path
from types import ModuleType

import pytest
from PIL import Image

from earshed.model.geometry import angle_between
from earshed.model.seating import main_seats
from earshed.model.units import format_angle

ROOT = Path(__file__).resolve().parent.parent
LARGEST = 150_000
AGAIN = "the gallery is out of date: run .ci/gallery"


@pytest.fixture(scope="module")
def gallery() -> ModuleType:
    """The program as a module, without leaving a compiled one beside it."""
    loader = importlib.machinery.SourceFileLoader("gallery", str(ROOT / ".ci" / "gallery"))
    spec = importlib.util.spec_from_loader("gallery", loader)
    assert spec
    module = importlib.util.module_from_spec(spec)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "dont_write_bytecode", True)
        patch.setitem(sys.modules, "gallery", module)  # where dataclasses look for it
        loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def part(gallery: ModuleType) -> str:
    return gallery.gallery(gallery.rooms())


def test_the_readme_shows_the_rooms_as_they_are(gallery, part):
    readme = gallery.README.read_text(encoding="utf-8")
    assert gallery.readme_with(readme, part) == readme, AGAIN


def test_every_scene_is_shown_with_its_title_its_lesson_and_two_pictures(gallery, part):
    scenes = sorted((ROOT / "scenes").glob("*.yaml"))
    assert [room.path for room in gallery.rooms()] == scenes
    assert part.count("\n\n![") == 2 * len(scenes)
    for room in gallery.rooms():
        comment = " ".join(room.path.read_text(encoding="utf-8").split("format:")[0].replace("#", " ").split())
        assert f"**{room.title}** (`scenes/{room.path.name}`). {room.lesson}\n" in part
        assert comment.partition("What it teaches: ")[2].lower().startswith(room.lesson.lower())
        assert room.lesson.endswith(".")
        assert ". " not in room.lesson


def test_pictures_are_there_small_and_named_after_scenes(gallery):
    stems = {room.path.stem for room in gallery.rooms()}
    shown = set(re.findall(r"!\[[^\]]+\]\((.+?)\)", gallery.README.read_text(encoding="utf-8")))
    made = {path.relative_to(ROOT).as_posix() for path in gallery.PICTURES.glob("*.png")}
    assert shown == made, AGAIN
    for name in made:
        stem, _, kind = Path(name).stem.rpartition("-")
        assert stem in stems
        assert kind in ("corner", "pair", "set", "map", "compare", "light")
        assert (ROOT / name).stat().st_size < LARGEST
        with Image.open(ROOT / name) as opened:
            opened.load()
            assert opened.width >= gallery.SIZE[0]


def test_the_pair_is_of_the_speaker_that_gains_most(gallery):
    for room in gallery.rooms():
        found, proposed = ({one.name for one in room.schemes[scheme].judged} for scheme in gallery.SCHEMES)
        gains = {name: room.worst("as found", name).off_axis - room.worst("proposed", name).off_axis
                 for name in found & proposed}  # fmt: skip
        assert (room.helped is None) == (max(gains.values(), default=0.0) <= 0)
        for scheme in gallery.SCHEMES if room.helped else ():
            assert gains[room.helped] == pytest.approx(max(gains.values()), abs=1e-6)
            speaker, main = room.speaker(scheme, room.helped), main_seats(room.schemes[scheme].seats)
            worst = max(angle_between(speaker.axis, seat.ear - speaker.position) for seat in main)
            assert f" {format_angle(float(worst))} off axis, " in room.told(scheme, room.helped)


def test_where_no_speaker_gains_the_set_is_shown(gallery, tmp_path):
    text = (ROOT / "scenes" / "barn.yaml").read_text(encoding="utf-8")
    same = tmp_path / "barn.yaml"
    same.write_text(text.partition("schemes:")[0] + "schemes: {as found: {}, proposed: {}}\n", encoding="utf-8")
    room = gallery.Room(same)
    assert room.helped is None
    assert room.picture("set").name == "barn-set.png"
    assert "(.pictures/barn-set.png)" in gallery.gallery([room])
    assert "barn-pair" not in gallery.gallery([room])


@pytest.mark.parametrize(
    ("heading", "lesson"),
    [
        (
            "# Loft.\n#\n# What it teaches: one thing at 7.5 ft, over\n# two lines. And more.\n",
            "One thing at 7.5 ft, over two lines.",
        ),
        ("# What it teaches: Two: of them.\n", "Two: of them."),
        ("# Loft: what it is.\n", None),
        ("# What it teaches: no end\n", None),
    ],
)
def test_the_lesson_is_the_first_sentence(gallery, tmp_path, heading, lesson):
    path = tmp_path / "loft.yaml"
    path.write_text(heading + "format: 1\ntitle: What it teaches: nothing.\n", encoding="utf-8")
    if lesson:
        assert gallery.Room(path).lesson == lesson
    else:
        with pytest.raises(ValueError, match="does not say `What it teaches"):
            _ = gallery.Room(path).lesson


def test_only_what_stands_between_the_marks_is_replaced(gallery):
    first, last = gallery.MARKS
    text = f"before\n{first}old\n{last}after\n"
    once = gallery.readme_with(text, "new\n")
    assert once == f"before\n{first}\nnew\n{last}after\n"
    assert gallery.readme_with(once, "new\n") == once
    for broken in (
        "before\n",
        f"a\n{first}b\n",
        f"{last}{first}",
        f"{first}{first}{last}",
        f"{first}{last}{first}{last}",
        f"{first}{last}{last}",
        f"{last}{first}{last}",
    ):
        with pytest.raises(ValueError, match="once each and in that order"):
            gallery.readme_with(broken, "new\n")


def test_the_program_can_be_run_as_it_is():
    path = ROOT / ".ci" / "gallery"
    assert path.read_text(encoding="utf-8").startswith("#!/usr/bin/env python3\n")
    assert shutil.which(str(path))
