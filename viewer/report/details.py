"""The room and what is told of it at length: sizes, before and after, every speaker, directions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from earshed.model.checks.windows import misses
from earshed.model.compare.seats import Given, SeatSignal
from earshed.model.compare.signals import Signal
from earshed.model.directions import Directions, directions
from earshed.model.units import FOOT, format_angle, format_length
from earshed.viewer.check_rows import HeardRow, heard_row, system_words
from earshed.viewer.compare.words import areas_sentence, evenness_words
from earshed.viewer.pages.room_view import RoomView
from earshed.viewer.report.blocks import Block, Change, Part, Section, Shot, Table, Turning, Words
from earshed.viewer.report.facts import Facts
from earshed.viewer.report.questions import SHORT, in_pair
from earshed.viewer.report.shots import Shots
from earshed.viewer.report.summary import scheme_phrase
from earshed.viewer.wording import coverage_words, shortened

OFF = (
    "Outside does not mean unclear: what each seat hears clearly is told above. Sound that was mixed to come from one "
    "direction comes from another, by as many degrees as told; only other places for speakers bring it nearer."
)
"""What it is to be heard from elsewhere than asked."""
MARKS = ("covered", "fringe", "outside", "blocked")


def the_room(facts: Facts, shots: Shots) -> Section:
    """The room as a picture, its sizes, and to turn."""
    sizes = Table("", ("what", "size"), tuple(_sizes(facts)), (1.0, 2.0))
    blocks: list[Block | Part] = [Part("", (sizes,) if shots.rooms is None else (shots.rooms.room, sizes))]
    overhead = [one for one in facts.scene.judged if one.type.mount == "in-ceiling"]
    blocks.append(Turning(RoomView(facts.scene, overhead or list(facts.scene.judged))))
    return Section("room", "The room", tuple(blocks))


def _sizes(facts: Facts) -> Iterator[tuple[str, str]]:
    scene, units = facts.scene, facts.scene.print_units
    plan, room = scene.room.plan, scene.room
    yield "floor", f"{format_length(plan.width, units)} wide, {format_length(plan.length, units)} long, {_area(facts)}"
    heights = sorted({round(float(ring[:, 2].min()), 6) for face in room.surfaces if face.kind == "ceiling"
                      for ring in face.rings()})  # fmt: skip
    tops = [float(ring[:, 2].max()) for face in room.surfaces if face.kind == "ceiling" for ring in face.rings()]
    if heights and tops:
        low, high = format_length(heights[0], units), format_length(max(tops), units)
        yield "ceiling", f"{low} high" if low == high else f"{low} high at its lowest, {high} at its highest"
    yield (
        "seats",
        ", ".join(shortened(seat, SHORT) for seat in dict.fromkeys(one.chair for one in scene.seats)) or "none",
    )
    if scene.screen is not None:
        wide = format_length(scene.screen.end - scene.screen.start, units)
        yield "picture", f"{wide} wide, its lower edge {format_length(scene.screen.bottom, units)} up"


def _area(facts: Facts) -> str:
    area = facts.scene.room.floor_area
    return f"{area / FOOT**2:.0f} sq ft" if facts.scene.print_units == "ft-in" else f"{area:.1f} m²"


def before_and_after(facts: Facts, shots: Shots) -> Section | None:
    """Where speakers are heard, over the whole plan, and the ceiling."""
    blocks: list[Block | Part] = []
    if shots.set is not None and facts.maps is not None:
        words = areas_sentence(facts.mapped, facts.maps) if facts.mapped.before is not facts.mapped.after else ""
        inside = [in_pair(facts, shots.set)] if words else []
        if not inside and facts.before is not None:
            inside = [Words("The two rooms cannot be laid over each other; this is the map of the later one.", "note")]
        elif words:
            inside = [*inside, Words(words)]
        if shots.more is not None and words:
            inside.append(Change(shots.more))
        if inside:
            blocks.append(Part(shots.set.title, tuple(inside)))
    if shots.rooms is not None:
        blocks.append(Part("The ceiling from below", (in_pair(facts, shots.rooms.ceiling, photo=True),)))
    title = "Before and after" if facts.before is not None else "The ceiling"
    return Section("before-after", title, tuple(blocks)) if blocks else None


def speakers(facts: Facts, shots: Shots) -> Section | None:
    """Every signal by itself: where it is heard, and what each seat gets of it."""
    parts = [_signal(facts, shots, signal) for signal in facts.change.signals if signal.after]
    if not parts:
        return None
    told = Words("Each speaker by itself, at the height of the ears, in the words that are explained above.")
    return Section("speakers", "Speaker by speaker", (told, *parts))


def _signal(facts: Facts, shots: Shots, signal: Signal) -> Part:
    title = shortened(signal.called, SHORT)
    blocks: list[Block] = []
    given = [one for one in facts.change.given if one.signal is signal]
    if signal.key in shots.signals:
        view = shots.signals[signal.key]
        shot = Shot(view.after, _by_verdict(given), view.shows, view.key)
        blocks.append(shot if facts.before is None or signal.same else in_pair(facts, view))
    rows = [_seat_row(facts, one) for one in given]
    heads = ["seat (* main)", *(scheme_phrase(one) for one in (facts.before, facts.scene) if one is not None)]
    if len(heads) == 3 and all(row[1] == row[2] for row in rows):
        heads, rows = [heads[0], f"{heads[1]}, and {heads[2].lower()}"], [(name, now) for name, _, now in rows]
    types = dict.fromkeys(f"{one.type.name}: {coverage_words(one.coverage)}" for one in signal.after)
    note = f"{'; '.join(shortened(words, 200) for words in types)}. Degrees are off the way the speaker points."
    even = next((one for one in facts.change.evenness if one.signal is signal and one.after is not None), None)
    if even is not None and len(facts.change.main_seats) > 1:
        note += f" From the softest to the loudest main seat: {evenness_words(even)}."
    if rows:
        blocks.append(Table("", tuple(heads), tuple(rows), (1.2, *(1.4 for _ in heads[1:])), note))
    return Part(title[:1].upper() + title[1:], tuple(blocks))


def _by_verdict(given: Sequence[SeatSignal]) -> str:
    """What the seats get of one signal, in a sentence: "Covered: sofa left; fringe: armchair."."""
    told: dict[str, list[str]] = {}
    for one in given:
        if one.after is not None:
            told.setdefault(one.after.mark, []).append(shortened(one.seat, SHORT))
    words = "; ".join(f"{mark}: {', '.join(told[mark])}" for mark in MARKS if mark in told)
    return f"{words[:1].upper()}{words[1:]}." if words else ""


def _seat_row(facts: Facts, one: SeatSignal) -> tuple[str, ...]:
    sides = (one.after,) if facts.before is None else (one.before, one.after)
    name = shortened(one.seat, SHORT)
    return (f"{name} *" if one.main else name, *map(_given, sides))


def _given(given: Given | None) -> str:
    if given is None:
        return "not there"
    pair = given.pair
    behind = "" if pair.visible else f", behind {shortened(str(pair.obstacle), SHORT)}"
    return f"{pair.verdict}{behind} ({format_angle(pair.off_axis)})"


def layout(facts: Facts) -> Section | None:
    """From where each speaker is heard, against what its system asks."""
    heard = directions(facts.scene)
    if not heard:
        return None
    rows = tuple(
        (row.name, f"{row.aside}, {row.up}", f"{row.asked_aside}, {row.asked_up}", _verdict(one, row), row.seats)
        for one, row in ((one, heard_row(one)) for one in heard)
    )
    told = Words(
        "From where each speaker is heard in the middle of the main seats, against the directions for which such "
        "sound is mixed."
    )
    heads = ("speaker", "heard", "asked for", "", "main seats inside")
    table = Table("", heads, rows, (1.2, 1.4, 1.9, 1.7, 0.8), system_words(facts.scene, heard))
    off = [one for one in heard if not one.heard.inside]
    answer = Words(_off_words(len(off), len(heard)), "first")
    why = [Words(OFF, "note")] if off else []
    return Section("directions", "Directions", (answer, told, table, *why))


def _off_words(off: int, total: int) -> str:
    """How many of the speakers are heard from elsewhere than asked, as a client is told first."""
    if off == 0:
        every = "The one speaker is" if total == 1 else f"All {total} speakers are"
        return f"{every} heard from where such sound is mixed."
    those = (
        "No speaker is" if off == total else f"{total - off} of {total} speakers {'is' if total - off == 1 else 'are'}"
    )
    return f"{those} heard from where such sound is mixed."


def _verdict(one: Directions, row: HeardRow) -> str:
    """Whether a speaker is heard from where it should be, and by how much not."""
    return ", ".join((row.verdict, *misses(one.window, one.heard.azimuth, one.heard.elevation)))
