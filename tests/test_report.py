"""The report as it is put together: what it says of shipped scenes, and of rooms whose verdicts are known."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from earshed.model.seating import main_seats, upright_seats
from earshed.viewer.documents import check_document
from earshed.viewer.report.blocks import Cards, Part, Table, plain
from earshed.viewer.report.paper import UNDER
from earshed.viewer.report.summary import summary
from earshed.viewer.sheets.sheet import MARGIN
from tests.compared_rooms import DEN, IDS, SCENES
from tests.pdf_pages import Page, pages_of
from tests.reports import facts, page, pdf, report, squeezed, text_of, told, words_of
from tests.scene_files import put

SHIPPED = pytest.mark.parametrize("path", SCENES, ids=IDS)


# --- shipped scenes


@SHIPPED
def test_every_shipped_scene(path, tmp_path):
    """One test for each, since its report is put together once in each process."""
    seats_have_the_verdicts_of_check(path)
    pages = page_and_paper_say_the_same(path, tmp_path / "report.pdf")
    pages_are_full(pages)
    the_first_sentence_is_words(path)
    assert len(page(path)) < 8_000_000


def seats_have_the_verdicts_of_check(path: Path) -> None:
    found = facts(path)
    document = check_document(found.scene, found.pairs, found.findings)
    wanted = {(pair["speaker"], pair["seat"]): pair["verdict"] for pair in document["pairs"]}
    sections = {section.name: section for section in report(path).sections}
    names = {(one.channel.words if one.channel else one.name).lower(): one.name for one in found.scene.judged}
    seen = 0
    for part in sections["speakers"].blocks:
        if isinstance(part, Part):
            (table,) = (block for block in part.blocks if isinstance(block, Table))
            for row in table.rows:
                assert row[-1].split()[0].rstrip(",") == wanted[names[part.title.lower()], row[0].removesuffix(" *")]
                seen += 1
    assert seen == len(wanted)
    cards = [card for block in sections["seats"].blocks if isinstance(block, Cards) for card in block.cards]
    main = {seat.name for seat in upright_seats(main_seats(found.scene.seats))}
    assert {card.name for card in cards if card.main} == main
    assert all(name in text_of(page(path)) for name in main)


def page_and_paper_say_the_same(path: Path, file: Path) -> list[Page]:
    file.write_bytes(pdf(path))
    pages = pages_of(file, dpi=20)
    paper, screen = squeezed(" ".join(one.text for one in pages)), squeezed(text_of(page(path)))
    for words in words_of(report(path)):
        assert squeezed(words) in screen, words
        assert squeezed(words) in paper, words
    for number, one in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in one.text
    return pages


def pages_are_full(pages: list[Page]) -> None:
    """Of the room over the foot of a page, the last left out, little stays white at the lower end."""
    white = []
    for one in pages[:-1]:
        top, low = MARGIN * one.per_mm, len(one.dark) - (MARGIN + UNDER + 1.0) * one.per_mm
        marked = np.flatnonzero((one.dark[: int(low)] > 40).any(axis=1))
        white.append((low - marked.max()) / (low - top))
    assert max(white) < 0.33
    assert np.mean(white) < 0.14


def the_first_sentence_is_words(path: Path) -> None:
    first, *more = summary(facts(path))
    assert first.startswith("Today, ")
    assert re.search(r"As proposed, every main seat is covered by (all|both|the) ", first)
    assert not re.search(r"[0-9\u00b0]", first)
    assert "\u00b0" not in "".join(more)


def test_written_again_it_is_the_same(tmp_path):
    """From wherever the scene is read: no path, no time and no address gets into a file."""
    files = []
    for name in ("here", "there"):
        (tmp_path / name).mkdir()
        path = den(tmp_path / name, "as found: {}", "proposed: {speakers: {top: {type: wide}}}")
        files.append((page(path), pdf(path)))
    assert files[0] == files[1]


# --- rooms whose verdicts are known: see tests/compared_rooms.py


def den(folder: Path, *schemes: str, text: str = DEN) -> Path:
    return put(folder, den=text + ("schemes:\n" if schemes else "") + "".join(f"  {one}\n" for one in schemes))


AT = "top: {at: {from_left: PLACE, from_front: 2}}"


def moved(folder: Path, before: float, after: float) -> Path:
    """The den with its ceiling speaker elsewhere before and after, metres from the left."""
    schemes = [f"{name}: {{speakers: {{{AT.replace('PLACE', repr(place))}}}}}"
               for name, place in (("as found", before), ("proposed", after))]  # fmt: skip
    return den(folder, *schemes)


@pytest.mark.parametrize(
    ("before", "after", "first"),
    [
        (3.0, 1.5, "Today, the main seat misses the overhead speaker. "
                   "As proposed, the main seat is covered by the overhead speaker."),
        (2.2, 1.5, "Today, the main seat sits at the edge of the overhead speaker. "
                   "As proposed, the main seat is covered by the overhead speaker."),
        (1.5, 3.0, "Today, the main seat is covered by the overhead speaker. "
                   "As proposed, the main seat misses the overhead speaker."),
    ],
)  # fmt: skip
def test_the_sentence_follows_the_verdict(tmp_path, before, after, first):
    assert summary(facts(moved(tmp_path, before, after)))[0] == first


def test_a_seat_that_something_else_leaves_out_is_not_passed_over(tmp_path):
    """The wall's speaker, 2 m aside of the stool and 1 m from it, is the same before and after."""
    places = {"as found": "3", "proposed": "1.5"}
    schemes = [f"{name}: {{speakers: {{{AT.replace('PLACE', place)}}}}}" for name, place in places.items()]
    words = "Stool is left out by 1 other speaker."
    for place, is_told in (("2", False), ("4", True)):
        folder = tmp_path / place
        folder.mkdir()
        text = DEN.replace("wall: left, from_front: 3", f"wall: left, from_front: {place}")
        assert (words in summary(facts(den(folder, *schemes, text=text)))) is is_told


def test_a_scene_without_schemes_is_reported_as_it_stands(tmp_path):
    path = den(tmp_path)
    assert facts(path).before is None
    assert summary(facts(path))[0] == "As it stands, the main seat is covered by the overhead speaker."
    text = text_of(page(path))
    assert "Today" not in text
    assert "Drag the line" not in text
    assert "What is to be done" in text


def test_an_error_is_told_at_the_head(tmp_path):
    text = DEN.replace("{from_left: 4, from_front: 4}", "{from_left: 1.9, from_front: 2.05}")
    found = facts(den(tmp_path, text=text))
    assert summary(found)[-1].startswith("Not ready to build: ")
    assert any(finding.severity == "error" for finding in found.findings)


def test_a_new_hole_has_its_second_place_and_an_old_one_its_patch(tmp_path):
    path = moved(tmp_path, 3.0, 1.5)
    assert [one.name for one in facts(path).to_cut] == ["top"]
    assert list(facts(path).seconds) == ["top"]
    text = told(path)
    assert "1 new hole, none cut wider, 1 to patch, 1 kept." in text
    assert "Second places, found beforehand" in text


def test_what_was_assumed_is_said(tmp_path):
    text = told(den(tmp_path, text=DEN.replace("{angle: 90deg, band: 4kHz}, cutout: 0.2}", "90deg, cutout: 0.2}")))
    assert "flush: its coverage angle has no pitch to it, and is taken to hold at 4 kHz;" in text
    assert "; no sensitivity is stated, and 88 dB at 2.83 V and 1 m is taken; no impedance" in text


def test_types_of_a_catalog_are_called_that(tmp_path):
    text = DEN.replace("print_units: mm\n", "print_units: mm\ncatalogs: [generic]\n").replace(
        "{name: top, type: flush,", "{name: top, type: flush 8 in,"
    )
    assert "flush 8 in: its figures come from a catalog of types" in told(den(tmp_path, text=text))


def test_as_built_is_held_against_its_design():
    barn = next(path for path in SCENES if path.stem == "barn")
    assert 'upper right: moved 4" towards the right, aimed otherwise: tilted 30.0\u00b0, leans ' in told(barn)


def test_signs_that_turn_words_round_are_left_out():
    assert plain("a\u202eb\u2067c\nd") == "abc d"
    assert plain("\u05d0\u05d1") == "\u05d0\u05d1"
    assert len(plain("W" * 10_000)) < 1000


def test_a_bare_room_has_a_report_too(tmp_path):
    """Without a speaker there is no question of holes and looks."""
    path = put(
        tmp_path, bare="format: 1\ntitle: Bare\nroom: {width: 3m, length: 4m, ceiling: {shape: flat, height: 2m}}\n"
    )
    text = told(path)
    assert "There is no seat with a speaker to judge yet." in text
    assert "crooked" not in text
    assert "9' 10-1/8\" wide, 13' 1-1/2\" long" in text


def test_where_there_was_nothing_before_it_says_so(tmp_path):
    path = den(tmp_path, "as found: {remove: [top, wall]}", "proposed: {}")
    assert summary(facts(path))[0].startswith("Today, there are no speakers. As proposed, the main seat ")
