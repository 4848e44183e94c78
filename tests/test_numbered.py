"""Numbers beside the speakers of a picture: each where its speaker is, so that no key hangs on hue."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
from PIL import Image

from earshed.viewer import palette
from earshed.viewer.camera import find_view
from earshed.viewer.compare import room_views
from earshed.viewer.compare.numbered import ACROSS, AWAY, with_numbers
from tests.compared_rooms import DEN, held, read

SIZE = (880, 740)
WHITE = Image.new("RGB", SIZE, "white")


def middle_of(picture: Image.Image) -> np.ndarray:
    """The middle (2,) of all that is drawn on white."""
    rows, columns = np.nonzero((np.asarray(picture) != 255).any(axis=-1))
    return np.array([columns.min() + columns.max(), rows.min() + rows.max()]) / 2


def test_a_number_stands_a_little_beside_its_speaker_away_from_where_it_points():
    scene = read(DEN)
    view = find_view(scene, "corner", SIZE[0] / SIZE[1])
    for speaker in scene.speakers:
        at, ahead = view.pixels(np.stack([speaker.position, speaker.position + 0.3 * speaker.axis]), SIZE)
        found = middle_of(with_numbers(WHITE, view, [(1, "#2a7f8e", speaker)]))
        assert np.linalg.norm(found - at) < (AWAY + 0.1) * SIZE[0] / ACROSS
        assert (found - at) @ (ahead - at) < 0.0


def test_numbers_stay_on_the_picture_and_leave_out_what_is_behind():
    scene = read(DEN)
    view = find_view(scene, "corner", SIZE[0] / SIZE[1])
    one = scene.speakers[0]
    aside = replace(one, position=one.position + np.array([6.0, 0.0, 0.0]))
    behind = replace(one, position=2 * view.place - view.target)
    for far in (aside, behind):
        drawn = with_numbers(WHITE, view, [(12, "#2a7f8e", far)])
        marked = (np.asarray(drawn) != 255).any(axis=-1)
        assert not marked[[0, -1]].any()
        assert not marked[:, [0, -1]].any()
        assert bool(marked.any()) is (far is aside)


def test_the_picture_itself_stays_as_it_was():
    scene = read(DEN)
    plain = WHITE.copy()
    with_numbers(plain, find_view(scene, "corner", 1.2), [(1, "#2a7f8e", scene.speakers[0])])
    assert plain.tobytes() == WHITE.tobytes()


def test_the_key_of_cones_counts_as_the_discs_do(monkeypatch):
    """In gray every hue of a cone may look the same: the number is what tells them apart."""
    told = []

    def note(picture, view, speakers):
        told.append([(number, color, one.name) for number, color, one in speakers])
        return picture

    monkeypatch.setattr(room_views, "rendered_pair", lambda *_: (WHITE, WHITE))
    monkeypatch.setattr(room_views, "with_numbers", note)
    before, after = read(DEN), read(DEN.replace("from_left: 1.9, from_front: 2", "from_left: 3, from_front: 2"))
    after = replace(after, speakers=(*after.speakers[:1], replace(after.speakers[1], channel=None)))
    view = room_views.corner_view(held(before, after), SimpleNamespace(aspect=SIZE[0] / SIZE[1]))
    words = [swatch.words for swatch in view.key.swatches]
    assert [word.split()[0] for word in words] == [str(number) for number in range(1, len(words) + 1)]
    colors = {str(number): color for side in told for number, color, _ in side}
    assert colors == {swatch.words.split()[0]: swatch.color for swatch in view.key.swatches}
    assert set(colors.values()) <= set(palette.SPEAKER_HUES)
