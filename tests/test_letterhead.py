"""The letterhead: names, colors and logos as they are read, and how slips are answered."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene
from tests.scene_files import put

ROOM = "format: 1\ntitle: Den\nroom: {width: 3m, length: 4m, ceiling: {shape: flat, height: 2.5m}}\n"


def picture(kind: str) -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (4, 3), "white").save(file, kind)
    return file.getvalue()


def read(tmp_path, said):
    return read_scene(put(tmp_path, den=f"{ROOM}letterhead: {said}\n")).letterhead


def test_without_one_there_is_nothing(tmp_path):
    letterhead = read_scene(put(tmp_path, den=ROOM)).letterhead
    assert (letterhead.client, letterhead.installer, letterhead.color, letterhead.logo) == (None, None, None, None)


@pytest.mark.parametrize(("kind", "media"), [("PNG", "image/png"), ("JPEG", "image/jpeg")])
def test_all_of_it_is_read(tmp_path, kind, media):
    (tmp_path / "our mark.img").write_bytes(picture(kind))
    words = 'client: "A & B", installer: Us, contact: 555 0100, color: 2A7F8E, logo: our mark.img'
    found = read(tmp_path, f"{{{words}}}")
    assert (found.client, found.installer, found.contact, found.color) == ("A & B", "Us", "555 0100", "#2a7f8e")
    assert found.logo is not None
    assert (found.logo.file, found.logo.media, found.logo.content) == ("our mark.img", media, picture(kind))
    assert found.client_logo is None


@pytest.mark.parametrize("color", ["'#2a7f8e'", "2a7f8e", "000000", '"FFFFFF"'])
def test_a_color_may_be_quoted_with_its_sign(tmp_path, color):
    assert read(tmp_path, f"{{color: {color}}}").color == "#" + color.strip("'\"#").lower()


def test_a_scheme_changes_part_of_it(tmp_path):
    text = f"{ROOM}letterhead: {{client: One, installer: Us}}\nschemes: {{other: {{letterhead: {{client: Two}}}}}}\n"
    found = read_scene(put(tmp_path, den=text), "other").letterhead
    assert (found.client, found.installer) == ("Two", "Us")


def test_a_logo_stands_beside_the_file_that_names_it(tmp_path):
    (tmp_path / "mark.png").write_bytes(picture("PNG"))
    overlay = "format: 1\nbased_on: den.yaml\nletterhead: {logo: mark.png}\n"
    found = read_scene(put(tmp_path, over=overlay, den=ROOM)).letterhead
    assert found.logo is not None


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("{color: teal}", "letterhead, color: teal is no color; write six hexadecimal digits"),
        ("{color: 2a7f}", "letterhead, color: 2a7f is no color"),
        ("{color: ''}", "letterhead, color"),
        ("{logo: none.png}", "letterhead, logo: there is no file none.png in "),
        ("{logo: ../none.png}", "letterhead, logo: ../none.png is not a plain file name"),
        ("{logo: large.png}", "letterhead, logo: large.png is larger than 1,000 kB"),
        ("{logo: text.png}", "letterhead, logo: text.png is no PNG and no JPEG"),
        ("{logo: folder}", "letterhead, logo: folder cannot be read"),
        ("{slogan: Loud}", "slogan"),
    ],
)
def test_slips_are_told_with_their_place(tmp_path, said, words):
    (tmp_path / "large.png").write_bytes(picture("PNG") + bytes(1_000_000))
    (tmp_path / "text.png").write_text("<svg/>")
    (tmp_path / "folder").mkdir()
    with pytest.raises(SceneError) as told:
        read(tmp_path, said)
    assert words in str(told.value)
    assert "den.yaml:4:" in str(told.value)
