"""Photos beside a scene as they are printed: upright, with what they show, and none where there is nothing to show."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from earshed.model.scene_file.read import read_scene
from earshed.viewer.cli import run
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.sheets.photo_page import ACROSS, DOWN, LONGEST_SIDE, NOT_SHOWN, photo_sheets
from earshed.viewer.sheets.sheet import Sheet
from earshed.viewer.sheets.title_block import stamp
from tests.measured_rooms import hall
from tests.page_words import assert_apart, boxes_on
from tests.pdf_pages import pages_of
from tests.scene_files import put

ORIENTATION, MAKE = 0x0112, 0x010F
"""Tags of EXIF: how a picture was held, and by what (values from memory)."""
TURNED = {
    1: lambda upright: upright, 3: lambda upright: upright[::-1, ::-1],
    6: lambda upright: np.rot90(upright), 8: lambda upright: np.rot90(upright, -1),
}  # fmt: skip
"""By the orientation, the rows that a camera writes of an upright picture (EXIF; values from memory)."""


def black_above_white(wide: int = 80, tall: int = 60) -> np.ndarray:
    picture = np.full((tall, wide, 3), 255, dtype=np.uint8)
    picture[: tall // 2] = 0
    return picture


def jpeg(pixels: np.ndarray, orientation: int = 1) -> bytes:
    buffer, exif = io.BytesIO(), Image.Exif()
    exif[ORIENTATION], exif[MAKE] = orientation, "x"
    Image.fromarray(np.ascontiguousarray(pixels)).save(buffer, "JPEG", quality=95, exif=exif)
    return buffer.getvalue()


def sheets_of(folder: Path, *photos: bytes) -> list[Sheet]:
    """The pages for speakers of the hall, of each of which there is a photo."""
    names = ["near", "left", "right", "far"][: len(photos)]
    for name, content in zip(names, photos, strict=True):
        (folder / f"{name}.jpg").write_bytes(content)
    scene = read_scene(put(folder, hall=hall(**{name: f"photo: {name}.jpg" for name in names})))
    made = photo_sheets(scene, PAPERS["Letter"])
    stamp(made, scene, "2026-11-26")
    return made


def pictures(sheet: Sheet) -> list[np.ndarray]:
    return [np.asarray(image.get_array()) for axes in sheet.figure.axes for image in axes.images]


def words(sheet: Sheet) -> list[str]:
    return [text.get_text() for text in sheet.axes.texts]


@pytest.mark.parametrize("orientation", TURNED)
@pytest.mark.parametrize("size", [(80, 60), (60, 80), (3000, 200)])
def test_photos_stand_upright_in_their_shape(orientation: int, size: tuple[int, int], tmp_path: Path) -> None:
    (sheet,) = sheets_of(tmp_path, jpeg(TURNED[orientation](black_above_white(*size)), orientation))
    (picture,) = pictures(sheet)
    tall, wide, _ = picture.shape
    assert max(tall, wide) <= LONGEST_SIDE
    assert wide / tall == pytest.approx(size[0] / size[1], rel=0.02)
    assert picture[: tall // 3].mean() < 20
    assert picture[-(tall // 3) :].mean() > 235
    (axes,) = [axes for axes in sheet.figure.axes if axes.images]
    box = axes.get_window_extent()
    assert box.width / box.height == pytest.approx(wide / tall, rel=0.01)


def test_each_has_its_speaker_and_its_file_under_it(tmp_path: Path) -> None:
    (sheet,) = sheets_of(tmp_path, *[jpeg(black_above_white())] * 4)
    assert {"near", "near.jpg", "left", "left.jpg", "right", "right.jpg", "far", "far.jpg"} < set(words(sheet))
    assert len(pictures(sheet)) == 4
    sheet.figure.set_dpi(300)
    boxes = boxes_on(sheet.figure)
    assert_apart(list(boxes), boxes)


@pytest.mark.parametrize("damage", ["nothing", "words", "cut", "tables", "exif", "huge"])
def test_what_is_no_picture_is_told_where_it_would_be(damage: str, tmp_path: Path) -> None:
    whole = jpeg(black_above_white(), 6)
    huge = io.BytesIO()
    Image.new("1", (20_000, 20_000)).save(huge, "PNG")  # a picture of 400 million points in few bytes
    content = {
        "nothing": b"", "words": b"not a picture at all", "cut": whole[:300],
        "tables": whole.replace(b"\xff\xdb", b"\xff\xff", 1),
        "exif": whole.replace(b"\x01\x0f\x00\x02", b"\x01\x01\x00\x02", 1), "huge": huge.getvalue(),
    }[damage]  # fmt: skip
    (sheet,) = sheets_of(tmp_path, content)
    assert pictures(sheet) == []
    assert NOT_SHOWN in " ".join(words(sheet))
    assert {"near", "near.jpg"} < set(words(sheet))


def test_without_photos_there_is_no_page(tmp_path: Path) -> None:
    assert sheets_of(tmp_path) == []
    scene = read_scene(put(tmp_path, hall=hall(near="photo: gone.jpg", left="level: 70dB")))
    assert photo_sheets(scene, PAPERS["A4"]) == []


def test_as_many_pages_as_they_take(tmp_path: Path) -> None:
    (tmp_path / "same.jpg").write_bytes(jpeg(black_above_white()))
    count = ACROSS * DOWN + 1
    more = "".join(
        f"  - {{name: more {n}, type: box, at: {{from_left: 2m, from_front: {n}m}}, height: 1m, faces: rear, "
        "measured: {photo: same.jpg}}\n"
        for n in range(1, 8)
    )
    scene = read_scene(put(tmp_path, hall=hall() + more))
    assert [len(pictures(sheet)) for sheet in photo_sheets(scene, PAPERS["A4"])] == [count - 1, 1]


def test_the_sheet_and_the_pack_end_with_them(tmp_path: Path) -> None:
    (tmp_path / "near.jpg").write_bytes(jpeg(np.zeros((60, 80, 3), dtype=np.uint8)))
    scene, out = put(tmp_path, hall=hall(near="photo: near.jpg")), tmp_path / "sheet.pdf"
    assert run(["levels", str(scene), "--out", str(out)]) == 0
    first, last = pages_of(out, dpi=40)
    assert first.text.startswith("Commissioning")
    assert last.text.startswith("Photos near near.jpg")
    assert (last.dark > 200).mean() > 0.05
    assert run(["pack", str(scene), "--out", str(out), "--force"]) == 0
    assert pages_of(out, dpi=40)[-1].text.startswith("Photos near near.jpg")
