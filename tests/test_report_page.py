"""The page of a report, as a client opens it: whole in itself, safe, to be read on a phone and in gray."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from earshed.viewer.pages.report_page import report_page
from earshed.viewer.report.blocks import Part
from earshed.viewer.report.facts import Facts, facts_of
from earshed.viewer.report.paper import report_pdf
from earshed.viewer.report.report import head_of, report_of
from earshed.viewer.sheets.paper_size import PAPERS
from tests.browser import opened
from tests.compared_rooms import DEN, SCENES
from tests.page_checks import barriers, faults
from tests.page_tags import Tags
from tests.pdf_pages import pages_of
from tests.reports import DATE, blank_shots, facts, nothing, page, report
from tests.scene_files import put

HOSTILE = "</title><script>alert(1)</script>\"'<img src=x onerror=alert(2)>\u202e\u2067drow\u200f" + "W" * 10_000
PHONE = {"width": 360, "height": 780}
BONUS = next(path for path in SCENES if path.stem == "bonus-room")
LETTER = f"""\
letterhead:
  client: "{"<b>Ann & Bo</b> " + "W" * 3000}"
  installer: "שלום <script>alert(3)</script>"
  contact: "+1 555 0100, a@example.org"
  color: 7a2f8e
"""


@pytest.fixture(scope="module")
def friendly(tmp_path_factory) -> Path:
    file = tmp_path_factory.mktemp("page") / "report.html"
    file.write_text(page(BONUS), "utf-8")
    return file


@pytest.fixture(scope="module")
def bad(tmp_path_factory) -> Facts:
    """Of a room in which everything that has a name has a bad one."""
    folder = tmp_path_factory.mktemp("bad")
    text = DEN.replace("format: 1\n", f"format: 1\n{LETTER}")
    path = put(folder, den=text)
    found = facts(path)
    seats = tuple(replace(seat, name=f"{HOSTILE}{number}") for number, seat in enumerate(found.scene.seats))
    kind = replace(found.scene.speakers[0].type, name=HOSTILE)
    speakers = [replace(one, name=f"{HOSTILE}{number}", type=kind, channel=None)
                for number, one in enumerate(found.scene.speakers[:1])]  # fmt: skip
    scene = replace(
        found.scene,
        title=HOSTILE,
        seats=seats,
        speakers=(*speakers, *found.scene.speakers[1:]),
        speaker_types={HOSTILE: kind, **found.scene.speaker_types},
        scheme=HOSTILE,
    )
    return facts_of(path, scene, None, DATE, nothing)


@pytest.fixture(scope="module")
def hostile(bad, tmp_path_factory) -> Path:
    file = tmp_path_factory.mktemp("hostile") / "report.html"
    file.write_bytes(report_page(report_of(bad, blank_shots(), head_of(bad))))
    return file


# --- what it is made of


def test_nothing_leads_out_of_the_file(friendly, hostile):
    for file in (friendly, hostile):
        text = file.read_text("utf-8")
        for tag, said in Tags(text).found:
            assert tag not in ("base", "iframe", "object", "embed", "form", "link") or said.get("href") == "data:,"
            for key in ("src", "href"):
                assert (said.get(key) or "#").startswith(("data:", "#")), (tag, key)
            assert not any(key.startswith("on") for key in said)
        bare = re.sub(r"data:image/webp;base64,[\w+/=]*|<script.*?</script>", "", text, flags=re.DOTALL)
        assert not re.search(r"url\(|@import|https?://", bare)


def test_headings_go_down_step_by_step_and_pictures_have_words(friendly):
    tags = Tags(friendly.read_text("utf-8")).found
    levels = [int(tag[1]) for tag, _ in tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    pictures = [said for tag, said in tags if tag == "img"]
    assert len(pictures) > 8
    assert all(said["alt"] and said["width"] and said["height"] for said in pictures)
    assert dict(tags)["html"] == {"lang": "en"}


def test_every_link_of_the_contents_leads_somewhere(friendly):
    tags = Tags(friendly.read_text("utf-8")).found
    ids = [said["id"] for _, said in tags if said.get("id")]
    assert len(ids) == len(set(ids))
    links = [said["href"] for tag, said in tags if tag == "a"]
    assert len(links) > 8
    assert {link.removeprefix("#") for link in links} <= set(ids)


def test_what_a_client_reads_first_has_no_degrees(friendly):
    first = friendly.read_text("utf-8").split('id="room"')[0]
    words = re.sub(r"<(style|script)\b.*?</\1>|<[^>]*>", " ", first, flags=re.DOTALL)
    assert "\u00b0" not in words


# --- in a browser


def test_it_opens_with_no_network_and_asks_for_nothing(browser, friendly):
    with opened(browser, friendly) as found:
        assert found.fetched == found.complaints == []
        assert found.page.title() == "Bonus room under the gable"
        lazy = "document.querySelectorAll('img').forEach(one => { one.loading = 'eager' })"
        found.page.evaluate(lazy)
        loaded = "Array.from(document.images).every(image => image.complete && image.naturalWidth > 0)"
        found.page.wait_for_function(loaded)
        found.page.wait_for_selector(".room-view.ready, .room-view.flat")


@pytest.mark.parametrize("width", [320, 360, 768, 1280])
def test_nothing_is_wider_than_the_window(browser, friendly, hostile, width):
    for file in (friendly, hostile):
        with opened(browser, file, viewport={"width": width, "height": 800}) as found:
            assert found.page.evaluate("document.documentElement.scrollWidth") <= width


def test_hostile_names_are_words_alone(browser, hostile):
    with opened(browser, hostile, viewport=PHONE) as found:
        assert found.fetched == found.complaints == []
        assert found.page.locator("h1").inner_text().startswith("</title><script>alert(1)</script>")
        assert found.page.locator("h1 script, h1 img, .people b").count() == 0
        assert found.page.evaluate("document.documentElement.scrollHeight") < 60_000


def test_hostile_names_on_paper_are_cut_and_stay_on_it(bad, tmp_path):
    file = tmp_path / "report.pdf"
    file.write_bytes(report_pdf(report_of(bad, blank_shots(), head_of(bad)), bad.scene, (), PAPERS["A4"]))
    pages = pages_of(file, dpi=40)
    assert len(pages) < 12
    assert pages[0].text.startswith("</title><script>alert(1)</script>")
    assert "\u202e" not in "".join(page.text for page in pages)
    for one in pages:
        assert not (one.dark[:, : int(8 * one.per_mm)] > 60).any()
        assert not (one.dark[:, -int(8 * one.per_mm) :] > 60).any()


def test_on_paper_pairs_stand_side_by_side_and_nothing_turns(browser, friendly):
    with opened(browser, friendly, viewport={"width": 800, "height": 1000}) as found:
        found.page.emulate_media(media="print")
        before, after = (found.page.locator(f".shot.{side} img").first.bounding_box() for side in ("before", "after"))
        assert before["x"] + before["width"] <= after["x"]
        assert not found.page.locator(".room-view").first.is_visible()


def test_printed_by_a_browser_no_heading_is_left_behind(browser, friendly, tmp_path):
    """The last words of a sheet are no heading of what begins on the next."""
    titles = {section.title for section in report(BONUS).sections}
    titles |= {one.title for section in report(BONUS).sections for one in section.blocks if isinstance(one, Part)}
    file = tmp_path / "printed.pdf"
    with opened(browser, friendly) as found:
        file.write_bytes(found.page.pdf(format="Letter"))
    pages = pages_of(file, dpi=20)
    assert len(pages) > 5
    for one in pages:
        assert not any(one.text.endswith(title) for title in titles if title)


# --- to whom colors look alike

STEP = 4.0
"""CIE L* by which two colors side by side are told apart without hue. Common practice, no source."""


@pytest.mark.parametrize("vision", ["protanopia", "deuteranopia", "tritanopia", "achromatopsia"])
def test_no_key_is_told_by_hue_alone(browser, friendly, vision):
    """As Chromium shows the page to those with a deficiency (its matrices are of Machado et al., 2009): swatches of a
    key differ in lightness, in strokes, or in a number that stands in the picture too."""
    with opened(browser, friendly, viewport={"width": 700, "height": 900}) as found:
        session = found.page.context.new_cdp_session(found.page)
        session.send("Emulation.setEmulatedVisionDeficiency", {"type": vision})
        seen = 0
        for key in found.page.locator("main .key:not(.room-view .key)").all():
            with Image.open(io.BytesIO(key.screenshot())) as picture:
                pixels = np.asarray(picture.convert("RGB"), dtype=np.float64) / 255
            inside = key.bounding_box()
            swatches = []
            for row in key.locator("li").all():
                box = row.locator(".swatch").bounding_box()
                x, y = (round(box[side] - inside[side]) + 3 for side in ("x", "y"))
                patch = pixels[y : y + 14, x : x + 14].reshape(-1, 3)
                struck = "struck" in (row.locator(".swatch").get_attribute("class") or "")
                number = re.match(r"\d+ (?!of|or|more|fewer)", row.inner_text())
                swatches.append(
                    (struck, number and number[0], lightness(patch.max(axis=0) if struck else patch.mean(axis=0)))
                )
            for one, other in combinations(swatches, 2):
                if one[:2] == other[:2]:
                    assert abs(one[2] - other[2]) > STEP
                    seen += 1
        assert seen > 20


def lightness(color: np.ndarray) -> float:
    """CIE L* of an sRGB color (IEC 61966-2-1)."""
    linear = np.where(color > 0.04045, ((color + 0.055) / 1.055) ** 2.4, color / 12.92)
    light = float(linear @ [0.2126, 0.7152, 0.0722])
    return 116 * light ** (1 / 3) - 16 if light > (6 / 29) ** 3 else light * (29 / 3) ** 3


def test_verdicts_bear_a_word_and_a_shape(friendly):
    """On cards and in keys of seats: the sign of each verdict is another drawing, and its word stands beside it."""
    text = friendly.read_text("utf-8")
    shapes = {}
    for verdict, drawn, after in re.findall(r'<svg class="mark (\w+)"[^>]*>(.*?)</svg>([^<]*)', text, re.DOTALL):
        shapes.setdefault(verdict, set()).add(" ".join(drawn.split()))
        assert verdict in after
    assert set(shapes) == {"covered", "fringe", "outside"}
    assert all(len(drawn) == 1 for drawn in shapes.values())
    assert len(set.union(*shapes.values())) == 3


# --- before those who check pages for a living


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_axe_finds_nothing(browser, friendly, scheme, width):
    assert not barriers(browser, friendly, viewport={"width": width, "height": 900}, color_scheme=scheme)


def test_the_validator_finds_nothing(friendly, hostile):
    assert faults(friendly, hostile) == []


def test_the_room_to_turn_is_in_it():
    assert any(type(one).__name__ == "Turning" for section in report(BONUS).sections for one in section.blocks)
