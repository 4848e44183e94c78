"""What a scene may say of its wiring, what is refused and where, and how schemes and overlays change it."""

from __future__ import annotations

from pathlib import Path

import pytest

from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene
from earshed.model.units import FOOT, INCH
from earshed.model.wiring.pulls import initials_of
from tests.scene_files import put
from tests.wire_rooms import FLAT, flat, read

RACK = "rack: {wall: left, from_front: 3, height: 0.4}"


def test_all_that_may_be_said_is_read() -> None:
    text = flat("\n".join([
        "rack: {at: {from_left: 1, from_front: 2}, height: 0.8, beyond: 3}",
        "loops: {speaker: 0.5, rack: 2}",
        "waste: 5%",
        "loss_limit: 3 %",
        "temperature: 30C",
        "cables:",
        "  thin: {kind: speaker, gauge: 16 AWG, copper: solid, conductors: 4, spool: 500ft, spools: 2, "
        "diameter: 3/8in}",
        "  thick: {kind: speaker, gauge: 2.5 mm2, spool: 100}",
        "access: {ceiling: attic, left wall: knee wall, floor: none}",
        "spares: {side: {kind: speaker, wall: right, from_front: 2, height: 1, impedance: 4ohm}}",
        "links: {feed: {kind: network, ends_at: top}, plate: {kind: coax, at: {from_left: 1, from_front: 1}, "
        "surface: floor, starts_at: {wall: rear, from_left: 2, height: 0.3}}}",
        "routes: {top: [{at: {from_left: 1, from_front: 1}}]}",
        "use: {side: thick}",
    ]))  # fmt: skip
    wiring = read(text).wiring
    assert wiring is not None
    assert wiring.rack is not None
    assert wiring.rack.position.tolist() == [1, -2, 0.8]
    assert (wiring.beyond, wiring.loop_at_speaker, wiring.loop_at_rack, wiring.celsius) == (3, 0.5, 2, 30)
    assert (wiring.waste, wiring.loss_limit) == pytest.approx((0.05, 0.03))
    thin, thick = wiring.cables
    assert thin.conductor is not None
    assert thick.conductor is not None
    assert (thin.conductor.gauge, thin.conductor.copper, thin.conductors, thin.spools) == (16, "solid", 4, 2)
    assert (thin.spool, thin.diameter) == pytest.approx((500 * FOOT, 3 / 8 * INCH))
    assert (thick.conductor.area_mm2, thick.conductor.copper) == (2.5, "stranded")
    feed, plate, side = wiring.wanted
    assert feed.end.position.tolist() == [2, -3.3, 2.5]
    assert plate.end.position.tolist() == [1, -1, 0]
    assert plate.start is not None
    assert plate.start.position.tolist() == [2, -6, 0.3]
    assert (side.is_spare, feed.is_spare, side.impedance) == (True, False, 4)


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ("rack: {at: {from_left: 7, from_front: 2}, height: 1}", "within its walls (5.000 m by 6.000 m)"),
        ("rack: {at: {from_left: 1, from_front: 2}, height: 3}", "no higher than 2.500 m there"),
        ("rack: {wall: left, from_front: 7, height: 1}", "which is 6.000 m long and at most 2.500 m high there"),
        ("rack: {wall: left, from_front: 5, height: 2.6}", "off the left wall"),
        ("rack: {wall: left, height: 1}", "needs one of from_front, from_rear"),
        ("rack: {wall: back, from_left: 1, height: 1}", "there is no wall back; the walls are front"),
        ("rack: {from_left: 1, height: 1}", "needs wall and one distance along it, or at"),
        (f"{RACK}\naccess: {{celing: attic}}", "there is no face called celing; did you mean ceiling?"),
        (f"{RACK}\naccess: {{ceiling: loft}}", "must be attic, knee wall, below or none, not loft"),
        (f"{RACK}\nuse: {{tpo: line}}", "no speaker, spare or link is called tpo; did you mean top?"),
        (f"{RACK}\nuse: {{top: lime}}", "there is no cable called lime; did you mean line?"),
        (f"{RACK}\nroutes: {{top: [{{at: {{from_left: 6, from_front: 2}}}}]}}", "is on no face"),
        (f"{RACK}\nroutes: {{top: [{{height: 2}}]}}", "needs at: {from_left: ..., from_front: ...}"),
        (f"{RACK}\ncables: {{thin: {{kind: speaker, spool: 100}}}}", "needs `gauge`, such as 14 AWG"),
        (f"{RACK}\ncables: {{thin: {{kind: coax, gauge: 14 AWG, spool: 100}}}}", "asked of speaker cable alone"),
        (f"{RACK}\ncables: {{thin: {{kind: speaker, gauge: 99, spool: 9}}}}", "99 must be from 8 to 24 AWG"),
        (f"{RACK}\ncables: {{thin: {{kind: speaker, gauge: thick, spool: 9}}}}", "write it like 14 AWG or 2.5 mm2"),
        (f"{RACK}\ncables: {{top: {{kind: coax, spool: 100}}}}", "already called top"),
        (f"{RACK}\nlinks: {{feed: {{kind: coax}}}}", "needs ends_at: NAME, or a place"),
        (f"{RACK}\nlinks: {{feed: {{kind: coax, ends_at: screen}}}}", "speaker or screen called screen"),
        (f"{RACK}\nlinks: {{feed: {{kind: hdmi, ends_at: top}}}}", "must be speaker, line, network or coax, not hdmi"),
        (f"{RACK}\nwaste: lots", "lots must be from 0 to 100, written like 5%"),
        (f"{RACK}\ntemperature: 70F", "70F must be from -40 to 90, written like 20C"),
    ],
)
def test_what_is_refused_is_told_with_its_line(tmp_path: Path, lines: str, words: str) -> None:
    path = put(tmp_path, room=flat(lines))
    with pytest.raises(SceneError) as caught:
        read_scene(path)
    assert words in str(caught.value)
    assert str(caught.value).startswith(f"{path}:")
    assert caught.value.mark.line > FLAT.count("\n")


def test_a_rack_in_a_doorway_is_refused() -> None:
    door = "openings: [{name: door, wall: left, from_front: 2.5, sill: 0, width: 0.9, height: 2}]"
    with pytest.raises(SceneError, match="is in the opening door; put it beside or over it"):
        read(flat(RACK, door))


def test_a_rack_where_a_bay_opens_in_the_wall_is_refused() -> None:
    bay = "zones: [{name: bay, from_left: 1, from_front: 6, width: 2, length: 1, projects: true, "
    bay += "ceiling: {shape: flat, height: 2.5}}]"
    text = flat("rack: {wall: rear, from_left: 2, height: 1}").replace("height: 2.5}}", f"height: 2.5}}, {bay}}}")
    with pytest.raises(SceneError, match="m long and open there"):
        read(text)


def test_a_speaker_type_may_state_its_impedance() -> None:
    scene = read(FLAT)
    assert [kind.impedance for kind in scene.speaker_types.values()] == [None, 4, None]
    with pytest.raises(SceneError, match="impedance: 0 must be from 1 to 100, written like 8ohm"):
        read(FLAT.replace("4ohm", "0"))


WHOLE = """\
rack: {wall: left, from_front: 3, height: 0.4}
access: {ceiling: attic, left wall: knee wall}
spares:
  side: {kind: speaker, wall: right, from_front: 2, height: 1}
  rear: {kind: speaker, wall: rear, from_left: 2, height: 1}
use: {side: speaker 12/2}
"""


def test_a_scheme_changes_what_it_names_and_leaves_the_rest() -> None:
    schemes = """\
schemes:
  other:
    wiring:
      rack: {wall: right, from_front: 1, height: 1}
      access: {ceiling: none}
      spares: {rear: {from_right: 2}, new: {kind: network, at: {from_left: 1, from_front: 1}}}
"""
    text = flat(WHOLE) + schemes
    wiring = read(text, "other").wiring
    assert wiring is not None
    assert wiring.rack is not None
    assert wiring.rack.position[0] == 5
    assert wiring.access == {"ceiling": "none", "left wall": "knee wall"}
    assert [one.name for one in wiring.wanted] == ["side", "rear", "new"]
    assert wiring.wanted[1].end.position[0] == 3
    assert read(text).wiring is not None


def test_a_scheme_takes_out_a_run_with_all_that_is_said_of_it() -> None:
    text = flat(WHOLE) + "schemes: {less: {remove: [side]}, none: {remove: [top, rear]}}\n"
    less, none = read(text, "less").wiring, read(text, "none").wiring
    assert less is not None
    assert none is not None
    assert [one.name for one in less.wanted] == ["rear"]
    assert less.use == {}
    assert [one.name for one in none.wanted] == ["side"]


def test_an_overlay_moves_the_rack_and_adds_a_spare(tmp_path: Path) -> None:
    over = "format: 1\nbased_on: room.yaml\nwiring:\n  rack: {wall: rear, from_left: 2m, height: 1m}\n"
    over += "  spares: {more: {kind: line, at: {from_left: 1m, from_front: 1m}}}\n"
    put(tmp_path, room=flat(WHOLE))
    wiring = read_scene(put(tmp_path, over=over)).wiring
    assert wiring is not None
    assert wiring.rack is not None
    assert wiring.rack.position[1] == -6
    assert [one.name for one in wiring.wanted] == ["side", "rear", "more"]


@pytest.mark.parametrize(
    ("words", "initials"),
    [("upper front left", "UFL"), ("low-frequency effects", "LFE"), ("sub", "SUB"), ("side 2", "S2"), ("!", "RUN")],
)
def test_labels_are_initials(words: str, initials: str) -> None:
    assert initials_of(words) == initials
