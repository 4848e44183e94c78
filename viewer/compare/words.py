"""Before and after in plain words: the headline, and what each seat gets."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from earshed.model.compare.compare import BeforeAfter, Evenness
from earshed.model.compare.maps import MapChange
from earshed.model.compare.seats import Gets, SeatChange, SeatSignal, lags
from earshed.model.units import format_angle
from earshed.viewer.wording import counted, shortened

VERDICT_MEANS = {
    "covered": "the seat gets the clear, full sound of the speaker",
    "fringe": "the seat is at the edge: high notes begin to fade",
    "outside": "the seat is past the edge: high notes fall off, and with them clear speech",
    "blocked": "something stands between the seat and the speaker, which counts as outside",
}
"""What a verdict means to who sits there."""
LONGEST_NAME = 60
SEAT_CHANGES = {"better": "better", "worse": "worse", "same": "as before", "new": "new", "gone": "gone"}


def headline(change: BeforeAfter) -> list[str]:
    """The sentences that say whether it is worth it, the main one first."""
    main = [seat for seat in change.main_seats if seat.after is not None]
    if not main:
        return ["There is no seat with a speaker to judge."]
    if change.same:
        return ["Nothing changes: every speaker and every seat is as before."]
    return [_main_sentence(change, main), *_seat_sentences(change)]


def _main_sentence(change: BeforeAfter, main: Sequence[SeatChange]) -> str:
    """What the main seats get now, and what they got before."""
    noun = signal_noun(change)
    then = [seat.before for seat in change.main_seats if seat.before is not None]
    now = [seat.after for seat in main if seat.after is not None]
    covered, was_covered = (sum(one.verdict == "covered" for one in side) for side in (now, then))
    left_out, was_left_out = (sum(one.verdict == "outside" for one in side) for side in (now, then))
    counts = [max((one.signals for one in side), default=0) for side in (now, then)]
    others = counts[0] != counts[1] and bool(then)
    every = _all_of(counts[0], noun) if others else f"every {noun}"
    before = f"before, with {counts[1]}," if others else "before,"
    if covered == len(now):
        told = f"{'The main seat' if len(now) == 1 else 'Every main seat'} is covered by {every}"
        if then and was_covered == len(then) and not others:
            return f"{told}, as before."
        return f"{told}. {before.capitalize()} {_of(was_covered, len(then))}." if then else f"{told}."
    if left_out == 0 and was_left_out:
        told = f"No main seat is outside any {noun}'s coverage any more"
        return f"{told}. {before.capitalize()} {_of(was_left_out, len(then))}."
    verdict, some, were = f"covered by {every}", covered, was_covered
    if left_out:
        verdict, some, were = f"outside the coverage of some {noun}", left_out, was_left_out
    told = f"{_subject(some, len(now))} {verdict}"
    return f"{told}; {before} {_of(were, len(then))}." if then else f"{told}."


def _all_of(count: int, noun: str) -> str:
    return f"the {noun}" if count == 1 else f"{'both' if count == 2 else f'all {count}'} {noun}s"


def _subject(some: int, all_: int) -> str:
    """How many of the main seats there are, with the verb after them: "2 of the 3 main seats are"."""
    if all_ == 1:
        return "The main seat is" if some else "The main seat is not"
    if some == all_:
        return "Both main seats are" if all_ == 2 else f"All {all_} main seats are"
    return f"{some or 'None'} of the {all_} main seats {'is' if some == 1 else 'are'}"


def _of(some: int, all_: int) -> str:
    """How many of the main seats there were, with the verb after them: "none of the 3 were"."""
    if all_ == 1:
        return "it was" if some else "it was not"
    if all_ == 2 and some != 1:
        return "both were" if some else "neither was"
    if some == all_:
        return f"all {all_} were"
    return f"{some or 'none'} of the {all_} {'was' if some == 1 else 'were'}"


def _seat_sentences(change: BeforeAfter) -> Iterator[str]:
    """Which speakers are new or gone, which seats are better and which are worse off, and which of them lag behind."""
    for told, signals in (
        ("New", [one for one in change.signals if not one.before]),
        ("Taken out", [one for one in change.signals if not one.after]),
    ):
        if signals:
            yield f"{told}: {listed(one.called for one in signals)}."
    for kind, told in (("better", "Better than before"), ("worse", "Worse than before")):
        names = [seat.seat for seat in change.seats if seat.change == kind]
        if names:
            yield f"{told}: {listed(names)}."
    behind = [seat.seat for seat in change.main_seats if seat.after and lags(seat.after, _mains(change))]
    if behind:
        yield f"Less than the best main seat: {listed(behind)}."
    elif len(_mains(change)) > 1:
        yield "No main seat is worse off than the others."


def listed(names: Iterable[str]) -> str:
    """Names one after the other, long ones cut."""
    return ", ".join(shortened(name, LONGEST_NAME) for name in names)


def _mains(change: BeforeAfter) -> list[Gets]:
    return [seat.after for seat in change.main_seats if seat.after is not None]


def areas_sentence(change: BeforeAfter, maps: MapChange) -> str:
    """How much of the seating area every speaker covers, before and after; nothing without seats."""
    then, now = (each["covered"] for each in maps.shares_of_verdicts)
    if not (maps.before.seating.any() and maps.after.seating.any() and maps.signals):
        return ""
    noun = signal_noun(change)
    whom = f"every {noun}" if len(maps.signals) == len(change.signals) else f"the {noun}s that both have"
    told = f"{now:.0%} of the seating area is covered by {whom}"
    return f"{told}, as before." if f"{then:.0%}" == f"{now:.0%}" else f"{told}; before it was {then:.0%}."


def signal_noun(change: BeforeAfter) -> str:
    """What is counted: speakers, or channels where one has several speakers."""
    alone = all(len(signal.before) < 2 and len(signal.after) < 2 for signal in change.signals)
    return "speaker" if alone else "channel"


def gets_words(gets: Gets | None, noun: str) -> str:
    """What a seat gets of all: "covered by all 7 speakers", "outside 2 of 7 speakers, on the fringe of 1"."""
    if gets is None:
        return "nothing"
    if gets.verdict == "covered":
        return f"covered by {_all_of(gets.signals, noun)}"
    told = [f"{verdict} {count} of {counted(gets.signals, noun)}"
            for verdict, count in (("outside", gets.outside), ("on the fringe of", gets.fringe)) if count]  # fmt: skip
    return ", ".join([told[0], *(words.split(" of " + str(gets.signals))[0] for words in told[1:])])


def among_words(seat: SeatChange, change: BeforeAfter) -> str:
    """How a seat does beside the main ones, once it is done."""
    if seat.after is None:
        return ""
    return "gets less than the best" if lags(seat.after, _mains(change)) else "as good as the best"


def evenness_words(one: Evenness) -> str:
    """How far a signal spreads from the softest to the loudest main seat, before and after: "3.2 dB → 2.9 dB"."""
    told = ["not there" if each is None else f"{each:.1f} dB" for each in (one.before, one.after)]
    return " → ".join(dict.fromkeys(told))


def angle_change(one: SeatSignal) -> str:
    """By how much an angle is other, signed; nothing where there are not two."""
    if one.turned is None:
        return ""
    words = format_angle(abs(one.turned))
    return words if words == format_angle(0.0) else f"{'-' if one.turned < 0 else '+'}{words}"
