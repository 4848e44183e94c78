"""Holes that are there already: which types they take, worked by hand, what stays flush, and what is left to patch."""

from __future__ import annotations

import json

import pytest

from earshed.model.search.answer import found_one
from earshed.model.search.kept_holes import kept_holes
from earshed.model.search.old_holes import fit, fits_of
from earshed.model.search.search import Search
from earshed.viewer.cli import run
from tests.search_rooms import WIDTH, asked, read
from tests.test_found_places import complaints

WELL = "existing_holes: [{{name: old, at: {{from_center: 0, from_front: 2.54}}, cutout: {cut}}}]"


def the_fit(cut: str, kind: str = "flush", more: str = "", **changes):
    """How one type goes into one hole over the seat, a round one, or a rectangle with its long side left to right."""
    hole = WELL.format(cut=cut)
    if "x" in cut:
        hole = hole.replace("}]", ", long_axis: side-to-side}]")
    ask = asked(read(f"{hole}\n{more}"), types=(kind,), **changes)
    fits = [fit(ask, ask.scene.existing_holes[0], offer) for offer in ask.offers]
    return next((one for one in fits if one.fits), fits[0])


# --- which types a hole takes: the round ones cut 8 in and show 9 in, the slot 5 x 12 and 6 x 13


def test_a_hole_of_the_same_size_takes_it_as_it_is():
    found = the_fit("8in")
    assert found.fits
    assert found.larger == 0.0


@pytest.mark.parametrize("cut", ["7-1/2in", "4in"])
def test_a_smaller_hole_is_cut_wider_and_says_by_how_much(cut):
    found = the_fit(cut)
    assert found.fits
    across = {"7-1/2in": 7.5, "4in": 4.0}[cut]
    assert found.larger == pytest.approx((8 - across) * 0.0254, abs=1e-6)


@pytest.mark.parametrize(("cut", "why"), [("8-1/4in", "smaller than the hole"), ("12in", "smaller than the hole")])
def test_a_larger_hole_does_not_take_it(cut, why):
    assert why in the_fit(cut).why_not


def test_a_bezel_that_laps_less_than_an_eighth_all_round_is_refused():
    kinds = "speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: BEZEL}}"
    for bezel, fits in (("8-1/4in", True), ("8-1/8in", False)):
        ask = asked(read(WELL.format(cut="8in"), types=kinds.replace("BEZEL", bezel)))
        found = fit(ask, ask.scene.existing_holes[0], ask.offers[0])
        assert found.fits == fits
        assert fits or "does not lap the board" in found.why_not


def test_a_rectangle_goes_in_the_one_way_that_it_lies():
    ask = asked(
        read(WELL.format(cut="4-3/4in x 11-3/4in").replace("}]", ", long_axis: side-to-side}]")), types=("slot",)
    )
    by_way = {one.offer.way: one for one in fits_of(ask)}
    assert by_way["level"].fits
    assert "smaller than the hole" in by_way["up-slope"].why_not


@pytest.mark.parametrize(("kind", "fits"), [("flush", True), ("slot", False)])
def test_a_square_hole_goes_into_a_round_one_by_its_corners(kind, fits):
    """5 x 5 in is 7.07 in corner to corner: within 8 in, not within 5 x 12."""
    found = the_fit("5in x 5in", kind)
    assert found.fits == (kind == "flush" or found.why_not is None)
    assert the_fit("6in x 6in", "flush").fits is False  # 8.49 in corner to corner


def test_a_cavity_too_shallow_and_foam_in_it_are_refused():
    kinds = "speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in, "
    kinds += "mounting_depth: 5in}}"
    for depth, fits in (("4-1/2in", True), ("4in", False)):
        ask = asked(
            read(f"{WELL.format(cut='8in')}\ncavities: {{ceiling: {{depth: {depth}, board: 1/2in}}}}", types=kinds)
        )
        found = fit(ask, ask.scene.existing_holes[0], ask.offers[0])
        assert found.fits == fits


@pytest.mark.parametrize(("edge", "why"), [(2.0, None), (1.0, "no board for its clamps"), (0.5, "come too near to")])
def test_clamps_need_board_beside_the_hole(edge, why):
    """A joist whose near edge is so many inches from the 8 in cut: clamps want 1-1/4 in, the saw 3/4 in."""
    center = WIDTH / 2 / 0.0254 + 4 + edge + 0.75
    joist = "framing: [{name: joist, surface: ceiling, member: 2x8, direction: front-to-back, members: [{center: "
    joist += f"{center}in}}]}}]"
    found = the_fit("7in", more=joist)
    assert found.fits == (why is None)
    assert why is None or why in found.why_not


def test_a_hole_that_is_cut_already_needs_no_room_for_a_saw():
    """1/2 in from a joist, with clamps that reach nowhere near it: the search takes it and the checks do not mind; cut
    wider it would come too near."""
    center = WIDTH / 2 / 0.0254 + 4 + 0.5 + 0.75
    joist = "framing: [{name: joist, surface: ceiling, member: 2x8, direction: front-to-back, members: [{center: "
    joist += f"{center}in}}]}}]"
    kinds = "speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in, "
    kinds += "clamps: {count: 2, reach: 1in, first: 0deg}}}"
    for cut, fits in (("8in", True), ("7in", False)):
        scene = read(f"{WELL.format(cut=cut)}\n{joist}", types=kinds)
        ask = asked(scene, only_holes=True)
        found = fit(ask, scene.existing_holes[0], ask.offers[0])
        assert found.fits == fits
        search = Search(ask)
        search.finish()
        places = [choice[0] for choice in found_one(search, 1).choices]
        assert len(places) == fits
        assert not [words for place in places for words in complaints(scene, place)]


@pytest.mark.parametrize(("away", "fits", "kept"), [(7.0, True, True), (6.0, False, True), (4.0, False, False)])
def test_a_light_too_near_is_put_up_with_only_where_holes_are_to_be_kept(away, fits, kept):
    """From middle to middle: half of 9 in, half of 1 in, and 1-1/2 in with 1/4 in of tolerance are wanted; they meet
    under 5 in."""
    at = f"at: {{from_left: {WIDTH / 2 + away * 0.0254}, from_front: 2.54}}"
    light = f"fixtures: [{{name: can, kind: can light, {at}, cutout: 1in, body: 1in, keep_clear: 1-1/2in}}]"
    assert the_fit("8in", more=light).fits == fits
    found = the_fit("8in", more=light, only_holes=True)
    assert found.fits == kept
    assert kept or "can" in found.why_not


# --- the search and the command

DEN = """\
format: 1
title: Den
bare_lengths: m
print_units: ft-in
room: {width: 4, length: 5, ceiling: {shape: flat, height: 2.6}}
seats:
  - {name: sofa left, at: {from_center: -0.5, from_front: 3}, ear_height: 1.1, main: true}
  - {name: sofa right, at: {from_center: 0.5, from_front: 3}, ear_height: 1.1, main: true}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in}
  angled: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 9in, bezel: 10in}
existing_holes:
  - {name: near left, at: {from_center: -0.9, from_front: 2.4}, cutout: 8in}
  - {name: near right, at: {from_center: 0.9, from_front: 2.4}, cutout: 8in}
  - {name: far left, at: {from_center: -1.2, from_front: 0.6}, cutout: 8in}
  - {name: huge, at: {from_center: 1.2, from_front: 4.4}, cutout: 14in}
speakers:
  - {name: left, type: flush, channel: U+045, at: {from_left: 0.8, from_front: 1.6}}
  - {name: right, type: flush, channel: U-045, at: {from_left: 3.2, from_front: 1.6}}
"""


def den(tmp_path, text=DEN):
    path = tmp_path / "den.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def kept(path, *options, capsys):
    code = run(["place", str(path), "--keep-holes", *options, "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_a_search_that_keeps_holes_finds_only_them():
    scene = read(
        "existing_holes:\n  - {name: a, at: {from_left: 0.8, from_front: 2.4}, cutout: 8in}\n"
        "  - {name: b, at: {from_left: 0.9, from_front: 2.75}, cutout: 8in}\n"
    )
    search = Search(asked(scene, only_holes=True))
    spots = search.finish()
    assert {tuple(point) for point in spots.points} == {tuple(hole.position) for hole in scene.existing_holes}
    choices = found_one(search, 5).choices
    assert {choice[0].fit.hole.name for choice in choices} == {"a", "b"}


def test_without_keep_holes_an_old_hole_is_a_place_among_others_or_kept_clear_of():
    scene = read(WELL.format(cut="8in"))
    search = Search(asked(scene, types=("flush",)))
    search.finish()
    first, second = (choice[0] for choice in found_one(search, 2).choices)
    assert first.fit is not None
    assert second.fit is None
    old, there = scene.existing_holes[0].position, second.speaker.position
    assert float(((old - there) ** 2).sum() ** 0.5) >= (8 + 2.25) * 0.0254 - 2e-3  # 2 in of board between, and 1/4 in


@pytest.mark.parametrize("option", ["--pair=left,right", "--all", "--pair=right,left"])
def test_partners_keep_the_two_holes_that_match(option, tmp_path, capsys):
    code, found = kept(den(tmp_path), option, capsys=capsys)
    assert code == 0
    places = found["together"]["choices"][0] if "together" in found else found["answers"][0]["choices"][0]
    assert [place["hole"] for place in places] == ["near left", "near right"]
    assert found["holes"]["patches"] == ["far left", "huge"]
    by_hole = {(one["hole"], one["type"]): one["why_not"] for one in found["holes"]["takes"]}
    assert by_hole["near left", "flush"] is None
    assert "smaller than the hole" in by_hole["huge", "angled"]
    for one in found["holes"]["kept"]:
        assert one["stays_flush"] == (one["flush_worst_off_axis_deg"] <= 45)


def test_two_single_speakers_never_share_a_hole(tmp_path, capsys):
    text = DEN.replace(", channel: U+045", "").replace(", channel: U-045", "")
    code, found = kept(den(tmp_path, text), "--all", capsys=capsys)
    assert code == 0
    used = [place["hole"] for choice in found["together"]["choices"] for place in choice]
    assert len(set(used)) == 2
    one_hole = text[: text.index("  - {name: near right")] + text[text.index("speakers:\n") :]
    code, found = kept(den(tmp_path, one_hole), "--all", capsys=capsys)
    assert code == 1
    assert sorted(map(len, found["together"]["choices"])) == [0, 1]


def test_a_hole_too_far_for_flush_says_that_it_has_to_be_aimed(tmp_path, capsys):
    start, end = DEN.index("  - {name: near left"), DEN.index("  - {name: far left")
    path = den(tmp_path, DEN[:start] + DEN[end:])
    code, found = kept(path, "--speaker", "left", capsys=capsys)
    (one,) = found["holes"]["kept"]
    assert code == 0
    assert (one["hole"], one["stays_flush"]) == ("far left", False)
    assert found["answers"][0]["choices"][0][0]["type"] == "angled"
    run(["place", str(path), "--keep-holes", "--speaker", "left"])
    out = " ".join(capsys.readouterr().out.split())
    assert "far left, for left: flush does not reach every seat" in out
    assert 'keeps far left, cut 1" wider' in out
    assert "1 hole to patch: huge" in out


def test_where_no_hole_suits_it_says_why_and_what_a_new_one_would_buy(tmp_path, capsys):
    start, end = DEN.index("  - {name: near left"), DEN.index("  - {name: huge")
    path = den(tmp_path, DEN[:start] + DEN[end:])
    code, found = kept(path, "--speaker", "left", capsys=capsys)
    assert code == 1
    assert [one["condition"] for one in found["answers"][0]["relax"]] == ["new hole"]
    run(["place", str(path), "--keep-holes", "--speaker", "left"])
    out = " ".join(capsys.readouterr().out.split())
    assert "flush, angled: its cut-out is smaller than the hole" in out
    assert "the old holes: to cut a new one" in out
    assert "1 hole to patch: huge" in out


def test_holes_that_speakers_stay_in_are_not_patched():
    more = "existing_holes:\n  - {name: a, at: {from_left: 0.8, from_front: 2}, cutout: 8in}\n"
    more += "  - {name: b, at: {from_left: 2.2, from_front: 2}, cutout: 8in}\n"
    two = "{name: top, type: flush, at: {from_left: 0.8, from_front: 2}}, "
    two += "{name: stays, type: flush, at: {from_left: 2.2, from_front: 2}}"
    ask = asked(read(more, speakers=two), only_holes=True)
    search = Search(ask)
    search.finish()
    (place,) = found_one(search, 1).choices[0]
    assert place.fit.hole.name == "a"
    assert kept_holes([[ask]], [place]).patches == ()
    assert [hole.name for hole in kept_holes([[ask]], []).patches] == ["a"]  # that it was in is no place that it found
