"""earshed place: what it says of slips in its options and of scenes that it cannot place for."""

from __future__ import annotations

import pytest

from tests.test_place_command import SMALL, place, put, told

SLIPS = [
    ([], "say what to place"),
    (["--all", "--speaker", "side"], "say what to place"),
    (["--speaker", "nobody"], "has no speaker nobody to place; it has up: left's, upper right"),
    (["--speaker", "low"], "has no speaker low to place"),
    (["--speaker", "stand"], "stand is a stand type: it needs no hole"),
    (["--pair", "side"], "--pair side: needs two speakers"),
    (["--pair", "side,side"], "needs two speakers"),
    (["--pair", "side,upper right"], "side is in-wall and upper right in-ceiling"),
    (["--pair", "side,nobody"], "has no speaker nobody"),
    (["--speaker", "side", "--type", "huge"], "has no speaker type huge; it has flush, angled"),
    (["--speaker", "side", "--type", "flush"], "has no in-wall type with a coverage to offer for side"),
    (["--speaker", "side", "--face", "roof"], "--face roof: side can be cut into left wall"),
    (["--speaker", "side", "--align", "lamp"], "has no fixture or datum lamp to align with; it has can, corner:"),
    (["--speaker", "side", "--seats", "bench"], "has no seat bench to aim at"),
    (["--speaker", "side", "--azimuth", "30"], "--azimuth 30 is not two azimuths in degrees, the right end first"),
    (["--speaker", "side", "--azimuth", "60..30"], "60..30 is wider than half a circle, from its first angle leftward"),
    (
        ["--speaker", "side", "--elevation", "10..95"],
        "10..95 is not two elevations in degrees, the lower first, such as 30..55, neither past",
    ),
    (["--speaker", "side", "--elevation", "nan..nan"], "--elevation nan..nan is not two elevations"),
    (["--speaker", "side", "--elevation", "20..10"], "20..10 begins with the higher one"),
    (["--speaker", "side", "--azimuth", "1..2", "--anywhere"], "--anywhere goes without --azimuth"),
    (["--all", "--choice", "2"], "--choice goes with one --speaker or --pair"),
    (["--speaker", "side", "--speaker", "side too", "--azimuth", "60..70"], "--azimuth goes with one"),
    (["--pair", "side,side too", "--slack", "6"], "--slack"),
    (["--pair", "side,side too", "--slack=-6in"], "--slack"),
    (["--speaker", "side", "--within", "some"], "--within"),
    (["--speaker", "side", "--keep-holes"], "has no holes to keep; list them under existing_holes:"),
    (["--speaker", "side", "--choice", "1"], "it goes with --write FILE"),
]


@pytest.mark.parametrize(("options", "words"), SLIPS, ids=[" ".join(options) or "nothing" for options, _ in SLIPS])
def test_slips_end_with_2_and_say_what_is_allowed(options, words, tmp_path, capsys):
    scene = put(tmp_path)
    code, out, err = told(scene, *options, capsys=capsys)
    assert (code, out) == (2, "")
    assert words in err
    code, document = place(scene, *options, capsys=capsys)
    assert code == 2
    assert words in document["error"]["message"]


def test_more_than_can_be_placed_together_are_refused_by_their_number(tmp_path, capsys):
    many = "".join(f"  - {{name: n{n}, type: flush, at: {{from_left: 1, from_front: 1}}}}\n" for n in range(900))
    scene = put(tmp_path, SMALL + many)
    code, out, err = told(scene, "--all", capsys=capsys)
    assert (code, out) == (2, "")
    assert "901 pairs and single speakers are too many to place together; name at most 60" in err


def test_a_scene_without_seats_or_types_or_ceiling_speakers_says_so(tmp_path, capsys):
    start = SMALL.index("seats:")
    no_seats = SMALL[:start] + SMALL[SMALL.index("speaker_types:") :]
    assert "has no seats to aim at" in told(put(tmp_path, no_seats), "--all", capsys=capsys)[2]
    bare = SMALL[: SMALL.index("speakers:")] + "speakers: []\n"
    assert "has no ceiling speakers to place" in told(put(tmp_path, bare), "--all", capsys=capsys)[2]
