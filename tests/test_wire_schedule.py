"""Schedules: lengths, the cable that is chosen, holes that are shared, spools, and what is found wrong."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.checks.run import find_all
from earshed.model.checks.wiring import schedule_findings
from earshed.model.pairs import seat_pairs
from earshed.model.units import FOOT
from earshed.model.wiring.schedule import Schedule, wire
from tests.wire_rooms import FLAT, SCENES, flat, read, schedule_of, with_wiring

RACK = "rack: {wall: left, from_front: 3.3, height: 0.4}"
SPEAKER = "{kind: speaker, at: {from_left: %s, from_front: %s}}"


def rules(schedule: Schedule) -> dict[str, str]:
    """Rules that are broken, each with what it says; notes left out."""
    return {one.rule: one.message for one in schedule_findings(schedule) if one.severity != "note"}


@settings(max_examples=20)
@given(
    st.tuples(*[st.integers(0, 500).map(lambda cm: cm / 100) for _ in range(3)]),
    st.integers(0, 40),
    st.sampled_from(["m", "ft-in"]),
)
def test_what_is_cut_is_the_way_and_all_slack_rounded_up(slack: tuple[float, ...], waste: int, units: str) -> None:
    beyond, speaker, rack = slack
    lines = f"rack: {{wall: left, from_front: 3.3, height: 0.4, beyond: {beyond}}}\n"
    lines += f"loops: {{speaker: {speaker}, rack: {rack}}}\nwaste: {waste}%"
    run = schedule_of(flat(lines).replace("print_units: m", f"print_units: {units}")).runs[0]
    length = 2 + 2.1 + beyond + speaker + rack
    assert run.length == pytest.approx(length, abs=1e-5)
    assert run.cut is not None
    step = FOOT if units == "ft-in" else 0.1
    assert run.cut == pytest.approx(math.ceil(length * (1 + waste / 100) / step - 1e-4) * step)


def test_the_thinnest_cable_that_loses_little_enough_is_taken() -> None:
    """To 4 ohm at 5 %: 16 AWG does for 7.3 m, 14 AWG for 11.6 m, 12 AWG for 18.5 m of strands."""
    for beyond, wanted in ((0, "16/2"), (4, "14/2"), (9, "12/2"), (15, "12/2")):
        lines = f"rack: {{wall: left, from_front: 3.3, height: 0.4, beyond: {beyond}}}\nloops: {{speaker: 0, rack: 0}}"
        schedule = schedule_of(flat(lines).replace("top, type: flush", "top, type: known"))
        run = schedule.runs[0]
        assert run.cable.name == f"speaker {wanted}"
        assert run.loss is not None
        assert run.loss.load == 4
        assert run.loss.is_within == (beyond < 15)
        assert ("loss-past-limit" in rules(schedule)) == (beyond == 15)


def test_a_loss_past_the_limit_says_what_would_do() -> None:
    thin = "cables: {thin: {kind: speaker, gauge: 18 AWG, conductors: 4, spool: 100}}"
    lines = f"rack: {{wall: left, from_front: 3.3, height: 0.4, beyond: 8}}\n{thin}"
    words = rules(schedule_of(flat(lines)))["loss-past-limit"]
    assert "14.540 m of 18 AWG lose 7.9% of 8 ohm" in words
    assert "16 AWG would do" in words
    assert "its four conductors in pairs come to 4.0%" in words
    far = lines.replace("beyond: 8", "beyond: 58")
    assert "nothing up to 10 AWG would do" in rules(schedule_of(flat(far)))["loss-past-limit"]


def test_a_metric_cable_is_told_a_metric_size() -> None:
    """14.54 m to 8 ohm: 2 x 14.54 x 11.49 x 1.157 mohm of 1.5 mm2 are 4.8 %, and 9.7 % of half of that."""
    thin = "cables: {thin: {kind: speaker, gauge: 0.75 mm2, spool: 100}}"
    lines = f"rack: {{wall: left, from_front: 3.3, height: 0.4, beyond: 8}}\n{thin}"
    words = rules(schedule_of(flat(lines)))["loss-past-limit"]
    assert "14.540 m of 0.75 mm² lose 9.7% of 8 ohm" in words
    assert "1.5 mm² would do" in words
    far = rules(schedule_of(flat(lines.replace("beyond: 8", "beyond: 58"))))["loss-past-limit"]
    assert "nothing up to 6 mm² would do" in far


def test_partners_take_one_cable_and_what_is_chosen_is_kept() -> None:
    other = "  - {name: far, type: flush, channel: U-045, at: {from_left: 4.8, from_front: 5.7}}"
    lines = "rack: {wall: left, from_front: 3.3, height: 0.4, beyond: 4}"
    text = flat(lines).replace("wiring:", f"{other}\nwiring:")
    names = [run.cable.name for run in schedule_of(text).runs]
    assert names == ["speaker 14/2", "speaker 14/2"]
    alone = schedule_of(text.replace("U-045", "U+135")).runs
    assert [run.cable.name for run in alone] == ["speaker 16/2", "speaker 14/2"]
    used = schedule_of(text + "  use: {top: speaker 12/2}\n").runs
    assert [run.cable.name for run in used] == ["speaker 12/2", "speaker 14/2"]


def test_use_may_change_the_kind_of_a_run() -> None:
    cube = "  - {name: sub, type: cube, at: {from_left: 0.5, from_front: 3}, height: 0.2, faces: right}"
    text = flat(RACK).replace("wiring:", f"{cube}\nwiring:")
    assert [run.pull.kind for run in schedule_of(text).runs] == ["speaker", "line"]
    sub = schedule_of(text + "  use: {sub: speaker 14/2}\n").runs[1]
    assert (sub.pull.kind, sub.cable.name) == ("speaker", "speaker 14/2")
    assert sub.loss is not None


def test_runs_that_cross_a_joist_together_share_a_hole() -> None:
    """Three speakers 10 cm apart and one a metre off cross the two joists at 2.7 and 3.1 m on their way to the rack."""
    spares = ", ".join(f"s{n}: {SPEAKER}" % (x, 3.3) for n, x in enumerate((2.05, 2.1, 3.5)))
    lines = f"rack: {{wall: front, from_left: 2, height: 1}}\naccess: {{ceiling: attic}}\nspares: {{{spares}}}"
    schedule = schedule_of(flat(lines))
    holes = sum(one.count for one in schedule.holes)
    crossings = sum(leg.crossings or 0 for leg in schedule.legs)
    assert holes < crossings
    assert max(one.most for one in schedule.holes) >= 3


@pytest.mark.parametrize(("apart", "holes"), [(0.075, 8), (0.078, 16)])
def test_cables_nearer_than_two_holes_may_stand_share_one(apart: float, holes: int) -> None:
    """2 in between two holes of an inch (IRC R502.8.1), so 3 in from one to the next: 7.62 cm."""
    xs = (1.0, 1.0 + apart)
    spares = ", ".join(f"s{n}: {SPEAKER}" % (x, 3.3) for n, x in enumerate(xs))
    points = ", ".join(f"s{n}: [{{at: {{from_left: {x}, from_front: 0.2}}}}]" for n, x in enumerate(xs))
    lines = f"rack: {{wall: front, from_left: 2, height: 1}}\nspares: {{{spares}}}\nroutes: {{{points}}}"
    text = flat(lines)
    schedule = schedule_of(text[: text.index("speakers:")] + text[text.index("wiring:") :])
    assert sum(one.count for one in schedule.holes) == holes


def test_a_bundle_too_thick_for_its_joist_is_told() -> None:
    """2x8: 2-3/8 in at the most (IRC R502.8.1). Forty of 3/8 in need sqrt(40 x 0.375^2 / 0.4) = 3.75 in, 96 mm."""
    spares = ", ".join(f"s{n}: {SPEAKER}" % (2, 3.3) for n in range(39))
    cable = "cables: {fat: {kind: speaker, gauge: 12 AWG, spool: 1000, diameter: 3/8in}}"
    lines = f"rack: {{wall: front, from_left: 2, height: 1}}\naccess: {{ceiling: attic}}\n{cable}\nspares: {{{spares}}}"
    found = rules(schedule_of(flat(lines)))
    assert "40 cables need a hole of 0.096 m" in found["bundle-too-thick"]
    assert "part them over 3 holes in each or more" in found["bundle-too-thick"]  # (96 / 61.4)^2 = 2.4
    few = schedule_of(flat(lines[: lines.index("\nspares")]))
    assert "bundle-too-thick" not in rules(few)


def test_no_hole_may_be_bored_in_a_two_by_four_joist() -> None:
    lines = "rack: {wall: front, from_left: 2, height: 1}\naccess: {ceiling: attic}"
    found = rules(schedule_of(flat(lines).replace("2x8", "2x4")))
    assert "no hole may be bored" in found["no-hole-allowed"]
    assert "ask the local authority" in found["no-hole-allowed"]
    assert "no-hole-allowed" not in rules(schedule_of(flat(lines)))


def test_a_run_past_every_spool_is_an_error() -> None:
    short = "cables: {short: {kind: speaker, gauge: 12 AWG, spool: 5}}"
    schedule = schedule_of(flat(f"{RACK}\n{short}"))
    (found,) = [one for one in schedule_findings(schedule) if one.severity == "error"]
    assert found.rule == "past-spool"
    assert "is cut 7.2" in found.message
    assert schedule.totals[0].drums == ()


def test_a_longer_spool_is_taken_where_one_is_too_short() -> None:
    two = "cables: {short: {kind: speaker, gauge: 16 AWG, spool: 5}, long: {kind: speaker, gauge: 12 AWG, spool: 50}}"
    assert schedule_of(flat(f"{RACK}\n{two}")).runs[0].cable.name == "long"


def test_spools_that_are_missing_are_counted() -> None:
    spares = ", ".join(f"s{n}: {SPEAKER}" % (2, 3.3) for n in range(3))
    stock = "cables: {reel: {kind: speaker, gauge: 12 AWG, spool: 8, spools: 1}}"
    schedule = schedule_of(flat(f"{RACK}\n{stock}\nspares: {{{spares}}}"))
    assert rules(schedule)["spools-short"] == "4 spools are needed and 1 in stock: get 3 more"


def test_each_total_is_the_sum_of_its_runs() -> None:
    scene = Path(__file__).resolve().parent.parent / "scenes" / "bonus-room.yaml"
    schedule = schedule_of(scene.read_text(encoding="utf-8"))
    assert sum(len(total.runs) for total in schedule.totals) == len(schedule.runs)
    for total in schedule.totals:
        assert total.cut == pytest.approx(sum(drum.used for drum in total.drums))
        assert all(drum.left >= -1e-6 for drum in total.drums)
    labels = [run.pull.label for run in schedule.runs]
    assert len(set(labels)) == len(labels)
    assert {"FL-1", "UFL-1", "LFE-1"} <= set(labels)


def test_what_is_assumed_is_noted() -> None:
    notes = {one.rule: one.message for one in schedule_findings(schedule_of(flat(RACK)))}
    assert "8 ohm is taken where no impedance is said: flush" in notes["load-assumed"]
    assert "behind ceiling, left wall" in notes["access-assumed"]
    assert "common practice, no source" in notes["cable-assumed"]
    said = f"{RACK}\naccess: {{ceiling: none, walls: none}}\ncables: {{c: {{kind: speaker, gauge: 12 AWG, spool: 90}}}}"
    quiet = schedule_of(flat(said).replace("top, type: flush", "top, type: known"))
    assert [*schedule_findings(quiet)] == []


def test_check_tells_of_the_wiring_that_is_stated_and_of_no_other() -> None:
    def found(text: str) -> set[str]:
        scene = read(text)
        return {one.rule for one in find_all(scene, seat_pairs(scene))}

    short = f"{RACK}\ncables: {{short: {{kind: speaker, gauge: 12 AWG, spool: 5}}}}"
    assert "past-spool" in found(flat(short))
    assert "no-rack" in found(flat("waste: 5%"))
    assert not {"no-rack", "load-assumed", "access-assumed"} & found(FLAT)
    assert wire(read(FLAT)) is None


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_shipped_room_can_be_wired(path: Path) -> None:
    text = with_wiring(path)
    for scheme in (None, *read(text).schemes):
        schedule = schedule_of(text, scheme)
        assert schedule.runs
        assert all(run.route is not None for run in schedule.runs)
        assert not [one for one in schedule_findings(schedule) if one.severity == "error"]
