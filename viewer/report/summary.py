"""A report in a few sentences: what the seats get today, what they will get, and what that takes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from earshed.model.compare.holes import count_of
from earshed.model.compare.seats import Gets
from earshed.model.compare.signals import Signal
from earshed.model.scene import Scene
from earshed.viewer.compare.asked import USUAL
from earshed.viewer.compare.words import gets_words, signal_noun
from earshed.viewer.report.facts import Facts
from earshed.viewer.wording import counted, shortened

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
OVERHEAD = ("U", "T")
"""With what labels of layers over the ears begin: Rec. ITU-R BS.2051-3, section 3."""


def summary(facts: Facts) -> list[str]:
    """The sentences, the main ones first."""
    main = [seat for seat in facts.seats if seat.main and seat.after is not None]
    if not main:
        return ["There is no seat with a speaker to judge yet.", *_doubts(facts)]
    noun = noun_of(facts)
    told = ""
    if facts.before is not None and not facts.change.same:
        then = [seat.before for seat in main if seat.before is not None]
        what = _sentence(then, noun) if any(one.signals for one in then) else f"there are no {noun}s"
        told = f"{_today(facts.before)}, {what}. "
    now = _sentence([seat.after for seat in main if seat.after is not None], noun)
    first = f"{told}{scheme_phrase(facts.scene)}, {now}."
    same = ["Nothing changes: both schemes are the same."] if facts.before is not None and facts.change.same else []
    return [first, *same, *_others(facts, noun), *_left_out(facts), *_takes(facts), *_doubts(facts)]


def noun_of(facts: Facts) -> str:
    """What the shown signals are called: overhead speakers, where all of them are."""
    noun = signal_noun(facts.change)
    return f"overhead {noun}" if all(map(_is_overhead, facts.shown)) else noun


def scheme_phrase(scene: Scene) -> str:
    """Under which scheme something is, at the head of a sentence: "As proposed"."""
    if scene.scheme is None:
        return "As it stands"
    name = shortened(scene.scheme, 60)
    if name in (USUAL[1], "as built", *(USUAL[:1])):
        return f"As {name.removeprefix('as ')}"
    return f'With "{name}"'


def number_words(number: int) -> str:
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def _today(scene: Scene) -> str:
    return "Today" if scene.scheme in (None, USUAL[0]) else scheme_phrase(scene)


def _is_overhead(signal: Signal) -> bool:
    speakers = (*signal.before, *signal.after)
    if signal.channel is not None:
        return signal.channel.label.startswith(OVERHEAD)
    return all(one.type.mount == "in-ceiling" for one in speakers)


def _sentence(gets: Sequence[Gets], noun: str) -> str:
    """What some main seats get of the shown signals, without a full stop."""
    left_out = [one for one in gets if one.outside]
    edge = [one for one in gets if not one.outside and one.fringe]
    covered = len(gets) - len(left_out) - len(edge)
    most = max(one.signals for one in gets)
    of_all = _all_words(most, noun)
    if covered == len(gets):
        return f"{_seats(covered, len(gets))} {_verb(covered, 'is', 'are', len(gets))} covered by {of_all}"
    told = []
    if left_out:
        verb = _verb(len(left_out), "misses", "miss", len(gets))
        told.append(
            f"{_seats(len(left_out), len(gets))} {verb} {_missed([one.outside for one in left_out], most, noun)}"
        )
    if edge:
        who = _seats(len(edge), len(gets)) if not told else _the_rest(len(edge), covered == 0)
        some = max(one.fringe for one in edge)
        what = of_all if some == min(one.fringe for one in edge) == most else f"some of the {noun}s"
        what = "them" if told and most > 1 else what
        told.append(f"{who} {_verb(len(edge), 'sits', 'sit', len(gets) if not told else 0)} at the edge of {what}")
    if covered:
        told.append(f"{_the_rest(covered, True)} {_verb(covered, 'is', 'are', 0)} covered by {of_all}")
    return ", ".join(told[:-1]) + (", and " if len(told) > 1 else "") + told[-1]


def _all_words(number: int, noun: str) -> str:
    if number < 3:
        return f"the {noun}" if number == 1 else f"both {noun}s"
    return f"all {number_words(number)} {noun}s"


def _missed(counts: Sequence[int], of: int, noun: str) -> str:
    if of == 1:
        return f"the {noun}"
    if min(counts) == of:
        return _all_words(of, noun)
    few = number_words(max(counts)) if min(counts) == max(counts) else f"{number_words(min(counts))} or more"
    return f"{few} of the {number_words(of)} {noun}s"


def _seats(some: int, of: int) -> str:
    if of == 1:
        return "the main seat"
    return "every main seat" if some == of else f"{number_words(some)} of the {number_words(of)} main seats"


def _the_rest(some: int, rest: bool) -> str:
    if rest:
        return "the other" if some == 1 else f"the other {number_words(some)}"
    return "one" if some == 1 else number_words(some)


def _verb(some: int, one: str, more: str, of: int) -> str:
    """The verb after `_seats`, of which "every main seat" is one."""
    return one if some == 1 or some == of else more


def _others(facts: Facts, noun: str) -> Iterator[str]:
    """What seats get that are not main, where it is not all."""
    for seat in facts.seats:
        if not seat.main and seat.after is not None and seat.after.verdict != "covered":
            name = shortened(seat.seat, 80)
            yield f"{name[:1].upper()}{name[1:]}, not a main seat, is {gets_words(seat.after, noun)}."


def _left_out(facts: Facts) -> Iterator[str]:
    """Main seats that others than the shown signals leave out, of which the first sentence says nothing."""
    shown = {seat.seat: seat.after.outside for seat in facts.seats if seat.after is not None}
    noun = signal_noun(facts.change)
    for seat in facts.change.main_seats:
        others = seat.after.outside - shown.get(seat.seat, 0) if seat.after is not None else 0
        if others > 0:
            name = shortened(seat.seat, 80)
            yield f"{name[:1].upper()}{name[1:]} is left out by {counted(others, f'other {noun}')}."


def _takes(facts: Facts) -> Iterator[str]:
    """What it takes, in a sentence or two."""
    if facts.before is None or facts.change.same:
        return
    buy = sum(part.to_buy for part in facts.change.parts)
    holes = facts.change.holes
    new, wider = count_of(holes, "cut", "shrink", "recut"), count_of(holes, "widen")
    patched = count_of(holes, "patch", "open", "shrink", "recut")
    work = [counted(new, "new hole") if new else "no new hole", f"{counted(wider, 'hole')} cut wider" if wider else "",
            f"{counted(patched, 'old hole')} to patch" if patched else ""]  # fmt: skip
    told = ", ".join(filter(None, work)) if new or wider or patched else "no new hole and nothing to patch"
    new_speakers = f"{counted(buy, 'new speaker')}, " if buy else "no new speaker, "
    yield f"It takes {new_speakers}{told}."


def _doubts(facts: Facts) -> Iterator[str]:
    errors = sum(one.severity == "error" for one in facts.findings)
    if errors:
        yield (f"Not ready to build: {counted(errors, 'thing')} cannot be built as drawn; see what was checked, below.")
