"""What a client asks, each with its answer and a picture."""

from __future__ import annotations

from collections.abc import Iterator

from earshed.model.compare.seats import Gets as SeatGets
from earshed.model.compare.seats import SeatChange
from earshed.model.mark_out.strings import Twin
from earshed.model.speaker_type import Fixed
from earshed.viewer.compare.views import ViewPair
from earshed.viewer.compare.words import SEAT_CHANGES, VERDICT_MEANS, among_words, gets_words, signal_noun
from earshed.viewer.markout_rows import second_words
from earshed.viewer.report.blocks import Beside, Block, Card, Cards, Gets, Lines, Part, Section, Shot, Terms, Words
from earshed.viewer.report.facts import Facts
from earshed.viewer.report.hole_plan import holes_named
from earshed.viewer.report.shots import Shots
from earshed.viewer.report.summary import noun_of, scheme_phrase
from earshed.viewer.wording import counted, shortened

SHORT = 80
"""Characters of a name in a sentence."""
TWINS = 0.025
"""Metres by which partners may be off and still look alike. Common practice, no source."""
VERDICTS = tuple((verdict, VERDICT_MEANS[verdict]) for verdict in ("covered", "fringe", "outside"))


def questions(facts: Facts, shots: Shots) -> Iterator[Section]:
    """Each question that the scene gives cause to ask."""
    if facts.seats:
        yield Section("seats", _worth(facts), tuple(_why(facts, shots)))
    if facts.scene.speakers:
        yield Section("look", "Will it look crooked?", tuple(_look(facts, shots)))
    if facts.change.holes:
        yield Section("holes", "How many holes and patches?", tuple(_holes(facts, shots)))
    if facts.change.seats:
        yield Section("my-seat", "Will my seat be worse than theirs?", tuple(_my_seat(facts, shots)))
    if facts.to_cut:
        yield Section("hit", "What if you hit something up there?", tuple(_hit(facts, shots)))


def in_pair(facts: Facts, view: ViewPair, *, photo: bool = False) -> Block:
    """A view before and after; the later alone where there is nothing before, or nothing to see of it."""
    if facts.before is None or view.before.tobytes() == view.after.tobytes():
        return Shot(view.after, view.caption, view.shows, view.key, photo)
    before, after = (shortened(scene.scheme or "as it stands", 60) for scene in (facts.before, facts.scene))
    return Beside(view, before, after, photo)


def _is_plain(facts: Facts) -> bool:
    """Whether fixed speakers give way to those that can be turned."""
    pairs = [one for signal in facts.shown for one in signal.speakers if one.before and one.after]
    return bool(pairs) and all(
        isinstance(one.before.type.aiming, Fixed) and not isinstance(one.after.type.aiming, Fixed)
        for one in pairs
        if one.before and one.after
    )


def _worth(facts: Facts) -> str:
    if facts.before is None:
        return "What does each seat get?"
    return "Why not the cheaper ones?" if _is_plain(facts) else "What does it change for each seat?"


def _why(facts: Facts, shots: Shots) -> Iterator[Block]:
    if facts.before is not None and _is_plain(facts):
        yield Words(
            "A plain flush speaker points straight out of the face that it is set in, wherever the seats are. One that "
            "leans inside its frame can be turned to the seats. This is what each seat gets of the "
            f"{noun_of(facts)}s, with the plain ones and with those proposed:"
        )
    else:
        yield Words(f"This is what each seat gets of the {noun_of(facts)}s:")
    yield Cards(tuple(_card(facts, seat) for seat in facts.seats))
    marks = {given.mark for one in facts.change.given for given in (one.before, one.after) if given}
    blocked = (("blocked", VERDICT_MEANS["blocked"]),) if "blocked" in marks else ()
    yield Terms((*VERDICTS, *blocked), marked=True)
    if shots.rooms is not None:
        yield in_pair(facts, shots.rooms.corner, photo=True)


def _card(facts: Facts, seat: SeatChange) -> Card:
    noun = noun_of(facts)
    gets = [_gets(facts, seat.after, noun, now=True)]
    if facts.before is not None:
        gets.insert(0, _gets(facts, seat.before, noun, now=False))
    return Card(shortened(seat.seat, SHORT), seat.main, tuple(gets), SEAT_CHANGES[seat.change] if facts.before else "")


def _gets(facts: Facts, gets: SeatGets | None, noun: str, *, now: bool) -> Gets:
    scene = facts.scene if now or facts.before is None else facts.before
    return Gets(scheme_phrase(scene), gets.verdict if gets else None, gets_words(gets, noun))


def _look(facts: Facts, shots: Shots) -> Iterator[Block]:
    twins = [] if facts.made is None else list(facts.made.twins)
    even = all(_is_alike(twin) for twin in twins)
    in_ceiling = [one for one in facts.scene.speakers if one.type.mount == "in-ceiling"]
    if twins:
        first = "No: left and right look alike." if even else "A little: left and right are not quite alike."
        yield Words(first, "first")
    if any(not isinstance(one.type.aiming, Fixed) for one in in_ceiling):
        yield Words(
            "What leans is behind the grille: each grille lies flat in the ceiling, as that of a plain speaker does. "
            "This is the view, with all grilles and lights at their true size and place."
        )
    elif in_ceiling:
        yield Words(
            "Each grille lies flat in the ceiling. This is the view, with all grilles and lights as they will be."
        )
    else:
        yield Words("Nothing is set into the ceiling. This is the view of what stands and hangs in the room.")
    if twins:
        yield Lines("Partners, left and right", tuple(_twin_line(facts, twin) for twin in twins))
    if shots.rooms is None:
        yield Words(shots.no_rooms, "note")
    elif shots.rooms.up is not None:
        shown = in_pair(facts, shots.rooms.up, photo=True)
        if facts.before is not None and isinstance(shown, Shot):
            yield Words("From here it looks just as it does today.")
        yield shown


def _is_alike(twin: Twin) -> bool:
    return max(abs(twin.from_center[0] - twin.from_center[1]), abs(twin.ahead), abs(twin.higher)) <= TWINS


def _twin_line(facts: Facts, twin: Twin) -> str:
    """Whether two partners look alike from the middle of the picture, and where not, by how much."""
    assert facts.made is not None
    text = facts.made.ruler.text
    names = " and ".join(shortened(name, SHORT) for name in twin.names)
    sides = [text(side) for side in twin.from_center]
    if twin.is_mirror:
        return f"{names} mirror each other, each {sides[0]} from the middle of the picture."
    told = [f"{sides[0]} and {sides[1]} from the middle of the picture"] if sides[0] != sides[1] else []
    for off, words in ((twin.ahead, "nearer to the screen"), (twin.higher, "higher up")):
        if text(abs(off)) != text(0.0):
            which = twin.names[1] if off > 0 else twin.names[0]
            told.append(f"{shortened(which, SHORT)} is {text(abs(off))} {words}")
    return f"{names} {'look alike; to the tape' if _is_alike(twin) else 'are not quite alike'}: {', '.join(told)}."


def _holes(facts: Facts, shots: Shots) -> Iterator[Block | Part]:
    holes = facts.change.holes
    if facts.before is None:
        count = len(facts.to_cut)
        yield Words(
            f"There {'is' if count == 1 else 'are'} {counted(count, 'hole')} for speakers in this plan.", "first"
        )
        yield shots.holes
        return
    kinds = (
        ("New", "new hole", list(holes_named(holes, "cut", "shrink", "recut"))),
        ("Cut wider", "cut wider", list(holes_named(holes, "widen"))),
        ("Patched", "to patch", list(holes_named(holes, "patch", "open", "shrink", "recut"))),
        ("Kept", "kept", list(holes_named(holes, "stays"))),
    )
    new, *others = (len(names) for _, _, names in kinds)
    counts = [counted(new, "new hole") if new else "No new hole"]
    counts += [f"{count or 'none'} {words}" for count, (_, words, _) in zip(others, kinds[1:], strict=True)]
    yield Words(f"{', '.join(counts)}.", "first")
    told = [f"{what}: {', '.join(shortened(name, SHORT) for name in names)}." for what, _, names in kinds if names]
    yield Part("", (shots.holes, Lines("Which ones", tuple(told))))


def _my_seat(facts: Facts, shots: Shots) -> Iterator[Block | Part]:
    seats = [seat for seat in facts.change.seats if seat.after is not None]
    noun = signal_noun(facts.change)
    behind = [seat for seat in seats if among_words(seat, facts.change) != "as good as the best"]
    if not behind:
        yield Words("No: every seat gets as good a verdict as the best main seat.", "first")
    else:
        names = ", ".join(shortened(seat.seat, SHORT) for seat in behind)
        some = "One seat does" if len(behind) == 1 else f"{len(behind)} seats do"
        yield Words(f"{some} not get all that the best main seat gets: {names}.", "first")
    yield Words(f"One verdict for each seat, over all {noun}s of the room, not the overhead ones alone:")
    cards = Cards(tuple(
        Card(
            shortened(seat.seat, SHORT),
            seat.main,
            (Gets(scheme_phrase(facts.scene), seat.after.verdict, gets_words(seat.after, noun)),),
            among_words(seat, facts.change),
        )
        for seat in seats
        if seat.after is not None
    ))  # fmt: skip
    if shots.set is None:
        yield cards
        return
    yield Part("", (Shot(shots.set.after, shots.set.caption, shots.set.shows, shots.set.key), cards))


def _hit(facts: Facts, shots: Shots) -> Iterator[Block | Part]:
    yield Words(
        "A small hole is drilled first, and a bent wire is swept round in it, before the saw comes out. If there is a "
        "pipe, a cable or a timber, the speaker goes to its second place; nothing but a small hole is to be patched."
    )
    found = [_second_line(facts, name) for name in (one.name for one in facts.to_cut) if name in facts.seconds]
    if found and shots.second is not None:
        yield Part("", (shots.second, Lines("Second places, found beforehand", tuple(found))))
    missing = [shortened(one.name, SHORT) for one in facts.to_cut if one.name not in facts.seconds]
    if missing:
        yield Words(
            f"No second place a foot away was found for {', '.join(missing)}: there the plan is drawn up anew.",
            "note",
        )


def _second_line(facts: Facts, name: str) -> str:
    assert facts.made is not None
    mark = next(one for one in facts.made.holes if one.speaker.name == name)
    return f"{shortened(name, SHORT)}: {second_words(facts.made, mark, facts.seconds[name])}."
