"""The words beside a feasibility map: what each choice is by tape, what it clears, and the key of the areas."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from earshed.model.scene import Scene
from earshed.model.search.answer import Answer, Choice
from earshed.model.search.ask import Ask
from earshed.model.search.asking import nominal_side
from earshed.model.search.place import Place
from earshed.model.speaker_type import Fixed
from earshed.model.units import format_angle, format_length
from earshed.viewer.aim_words import turning_words
from earshed.viewer.area_styles import STYLES
from earshed.viewer.hole_words import hole_words
from earshed.viewer.legend import Column, SeatRow, row_name
from earshed.viewer.place_words import (
    complaints,
    heard_words,
    relaxed_words,
    slide_words,
    where_words,
    wood_words,
)
from earshed.viewer.plan_drawing import mark_of
from earshed.viewer.served_words import decibels, served_words, shadow_words

SIDES = ("left", "right")
FIRST = 3
"""Choices that are told before what more there is to say of the best."""
MOST_IN_FULL = 6
"""Speakers for which there is room to tell second choices too; the plan shows them all."""


def write_answer(column: Column, scene: Scene, answer: Answer) -> None:
    """What the choices for one speaker or pair are; the best in full."""
    if not answer.choices:
        column.entry("nothing fits", "of all that is offered, on any face that it may be cut into")
        for relaxed in answer.helpful[:3]:
            column.entry("give up", relaxed_words(relaxed, answer))
        return
    best = answer.choices[0]
    heads = ("seat", "off axis", "distance") if len(best) == 1 else ("seat", "left · right", "worse of both")
    column.seats(list(_seat_rows(scene, best)), heads, rest="")
    numbered = list(enumerate(answer.choices, start=1))
    _list_choices(column, scene, numbered[:FIRST], best)
    sides = [""] if len(best) == 1 else [f", {side}" for side in _sides(best)]
    details = [dict(_details(scene, ask, place)) for ask, place in zip(answer.asks, best, strict=True)]
    for head in dict.fromkeys(head for one in details for head in one):
        for side, one in zip(sides, details, strict=True):
            if head in one:
                column.entry(f"{head}{side}", one[head])
    _list_choices(column, scene, numbered[FIRST:], best)


def _list_choices(column: Column, scene: Scene, numbered: Sequence[tuple[int, Choice]], best: Choice) -> None:
    """Where each choice is, how even it is, and of those after the best what the seat served worst gets."""
    for number, choice in numbered:
        for label, place in labeled(str(number), choice):
            worst = "" if choice is best else f"; {_worst_words(place)}"
            spread = f"; {_spread_words(place)}" if len(place.served.seats) > 1 else ""
            column.entry(label, f"{_kind(place, best[0])}{where_words(scene, place)}{worst}{spread}")


def labeled(number: str, choice: Choice) -> list[tuple[str, Place]]:
    """The places of a choice with what each is called on the plan: "1", or of a pair "1 left" and "1 right"."""
    if len(choice) == 1:
        return [(number, choice[0])]
    return [(f"{number} {side}", place) for side, place in zip(_sides(choice), choice, strict=True)]


def _sides(choice: Choice) -> list[str]:
    """What tells two partners apart: left and right where their channels say so, else their names."""
    tells = all(nominal_side(place.speaker) for place in choice)
    return list(SIDES) if tells else [place.speaker.name for place in choice]


def _details(scene: Scene, ask: Ask, place: Place) -> Iterator[tuple[str, str]]:
    """What more there is to say of a best place, what matters most first."""
    wrong = "; ".join(complaints(ask, place))
    if wrong:
        yield "but", wrong
    yield "clear", wood_words(place, scene.print_units)
    if not isinstance(place.offer.type.aiming, Fixed):
        yield "turn", turning_words(place.speaker)
    yield "level", served_words(place.served)
    if place.shadow:
        yield "shadow", shadow_words(place.shadow)
    if place.slides:
        yield "slide", slide_words(place, scene.print_units)
    yield "heard", heard_words(ask, place)


def write_together(column: Column, scene: Scene, chosen: Sequence[Choice], second: Sequence[Choice | None]) -> None:
    """For several placed together: each with its type, its place and the seat served worst; then its second choice,
    as long as there are few."""
    few = sum(map(len, chosen)) <= MOST_IN_FULL
    for choice, other in zip(chosen, second, strict=True):
        for index, place in enumerate(choice):
            column.title(mark_of(place.worst), place.speaker.name, _worst_words(place))
            column.entry("cut", f"{place.offer.type.name}, {hole_words(place.speaker, scene.print_units)}")
            column.entry("where", where_words(scene, place))
            if other is not None and few:
                column.entry("second", where_words(scene, other[index]))


def _seat_rows(scene: Scene, choice: Choice) -> Iterator[SeatRow]:
    for pairs in zip(*(place.pairs for place in choice), strict=True):
        worse = max(pairs, key=lambda pair: (not pair.visible, pair.off_axis))
        seat = worse.seat
        name = row_name(seat)
        verdict = worse.verdict if worse.visible else f"{worse.verdict}, blocked"
        angles = " · ".join(format_angle(pair.off_axis) for pair in pairs)
        if len(pairs) == 1:
            yield mark_of(worse), name, f"{angles} {verdict}", format_length(worse.distance, scene.print_units)
        else:
            yield mark_of(worse), name, angles, verdict


def _kind(place: Place, best: Place) -> str:
    """The type of a further choice, where it is not that of the best."""
    if place.offer.type.name == best.offer.type.name and place.offer.way == best.offer.way:
        return ""
    way = f", long side {place.offer.way}" if place.offer.way else ""
    return f"{place.offer.type.name}{way}: "


def _worst_words(place: Place) -> str:
    worst = place.worst
    blocked = ", blocked" if place.blocked else ", past what hangs" if place.chopped else ""
    return f"worst {worst.seat.name} {format_angle(worst.off_axis)} {worst.verdict}{blocked}"


def _spread_words(place: Place) -> str:
    """How far its level spreads from seat to seat, in words that keep to one line."""
    return f"spread {decibels(place.served.spread)}".replace(" ", "\N{NO-BREAK SPACE}")


def write_key(column: Column, names: Sequence[str]) -> None:
    """A swatch for each kind of area that occurs, in their own order."""
    column.areas([(style.fill, style.ink, style.hatch, style.words) for name, style in STYLES.items() if name in names])
