"""Pages of the survey sheet on what is in the room, from its fixtures to its speakers and test holes."""

from __future__ import annotations

from earshed.viewer.blanks import INCHES, LENGTH, TAPED, WORD, blank, ruled

_PLACE = (("from_left:", TAPED), ("from_front:", TAPED))
_NAMED = (("name:", WORD), *_PLACE)
_SIZES = (("width:", TAPED), ("length:", TAPED), ("height:", TAPED))

_IN_THE_CEILING = [
    "Places are of the middle of each thing; on a wall, which wall, a distance along",
    "it, and the height.",
    "fixtures:",
    "",
    "  kind: can light",
    *ruled((*_NAMED, ("cutout:", INCHES), ("body:", '______" (behind the board)')), 8),
    "",
    "  kind: vent / detector / sprinkler    (size as 6in x 12in, or diameter)",
    *ruled((("name:", WORD), ("kind:", WORD), *_PLACE, ("size:", "________"), ("diameter:", INCHES)), 6),
    "",
    "  kind: fan      (blades across them all, drop from the ceiling down to them)",
    *ruled((*_NAMED, ("blades:", INCHES), ("drop:", INCHES)), 2),
    "",
    "  kind: pendant  (drop from the ceiling down to the bottom of the shade)",
    *ruled((*_NAMED, ("diameter:", INCHES), ("height:", INCHES), ("drop:", INCHES)), 3),
]

_STANDING = [
    "By the left, front corner of each; a box has the height of its bottom too.",
    "fixtures:",
    "",
    "  kind: box / counter / half wall / fireplace",
    *ruled(
        (
            ("name:", "_______"),
            ("kind:", "_____"),
            *_PLACE,
            ("bottom:", '_____"'),
            *[(k, "__'___\"") for k, _ in _SIZES],
        ),
        8,
    ),
    "",
    "  kind: column   (by its middle; diameter, or width and length)",
    *ruled((*_NAMED, ("diameter:", INCHES), ("width:", INCHES), ("length:", INCHES)), 4),
    "",
    "  kind: beam     (by its center line; bottom where it is level, else it follows",
    "                 the ceiling)",
    *ruled(
        (
            ("name:", WORD),
            ("runs:", "front-to-back / side"),
            ("center_from_left: (_front)", LENGTH),
        ),
        3,
    ),
    "",
    *ruled(
        (
            ("name:", WORD),
            ("width:", INCHES),
            ("depth:", INCHES),
            ("bottom:", TAPED),
            ("spacing:", INCHES),
            ("count:", "____"),
        ),
        3,
    ),
]

_OPENINGS_AND_SEATS = [
    "Doors and windows, by their left or front edge; sill is the lower edge.",
    "openings:",
    *ruled(
        (
            ("name:", WORD),
            ("wall:", "______"),
            ("from_left: or from_front:", TAPED),
            ("sill:", INCHES),
            ("width:", INCHES),
            ("height:", TAPED),
        ),
        6,
    ),
    "",
    "Hatches and skylights, with  wall: ceiling",
    *ruled((*_NAMED, ("width:", INCHES), ("length:", INCHES)), 2),
    "",
    "screen:    wall: ________   " + blank("diagonal", INCHES) + "   aspect: 16:9 / ______",
    "           " + blank("bottom", LENGTH) + "   center_from_left: " + LENGTH,
    "           transparent: yes / no   (whether sound passes through it)",
    "",
    "Seats: where the ears are, their height above what one stands on; main: yes for",
    "those that count; back_height of a back that comes up to the ears.",
    "seats:",
    *ruled((*_NAMED, ("ear_height:", INCHES), ("main:", "yes / no"), ("reclined:", "yes / no")), 8),
    "",
    "risers:",
    *ruled((*_NAMED, *_SIZES), 2),
]

_SPEAKERS = [
    "There already, or planned. In a wall, which wall, a distance along it, and the",
    "height of the middle; on a stand, the height of the baffle, and what it faces.",
    "speakers:",
    *ruled(
        (
            ("name:", WORD),
            ("type:", "________"),
            ("channel:", "________"),
            ("wall:", "_____"),
            *[(key, "__'___\"") for key, _ in _PLACE],
            ("height:", "__'___\""),
        ),
        12,
    ),
    "",
    "From the data sheets. mount: in-ceiling, in-wall, stand, on-surface; aiming:",
    "fixed, angled or pivoting with its angle; coverage: the full angle between the",
    "-6 dB directions, and the band at which it holds.",
    "speaker_types:",
    *ruled(
        (
            ("", "{row} ________________"),
            ("mount:", WORD),
            ("aiming:", "__________ ____ deg"),
            ("coverage:", "____ deg at ____ kHz"),
        ),
        4,
    ),
    "",
    *ruled((("", "{row} ________________"), ("cutout:", INCHES), ("bezel:", INCHES), ("mounting_depth:", INCHES)), 4),
]

_TEST_HOLES = [
    "What each test hole showed, as member, pipe, cable, duct, insulation, nothing.",
    "Then write it under members, cavities or keep_outs.",
    *ruled(
        (
            ("hole", "____"),
            ("from left", TAPED),
            ("from front", TAPED),
            ("board", '____"'),
            ("clear depth", INCHES),
            ("found", "_" * 20),
        ),
        10,
    ),
    "",
    "Wire. The rack is where cables end; beyond, how much further to the terminals.",
    "Access to what is behind: attic, knee wall, below or none. What is there now?",
    "wiring:",
    "",
    f"  rack: wall: ______ {' '.join(f'{key}: {TAPED}' for key in ('from_left', 'height', 'beyond'))}",
    "",
    "  access: ceiling __________ walls __________ floor __________ face ____________",
    *[line for _ in range(2) for line in ("", "  " + "_" * 76)],
    "",
    "BEFORE YOU CUT",
    "  Isolate the power. Find live cables, gas and water first.",
    "  Drill a test hole and look before the full cut.",
    "  Never cut a joist, rafter, stud or truss.",
    "  Insulation, vapor barriers and fire-rated ceilings need the right box behind",
    "  the speaker.",
    "  Cable ratings and all else follow your local code; where it asks for a",
    "  licensed trade, call one.",
    "  Levels worked out from this sheet are predictions, not a verdict on the safety",
    "  of anyone's hearing.",
]

THINGS_PAGES: tuple[tuple[str, list[str]], ...] = (
    ("FIXTURES: IN AND UNDER THE CEILING", _IN_THE_CEILING),
    ("FIXTURES: STANDING AND BOXED IN", _STANDING),
    ("OPENINGS, SCREEN, SEATS", _OPENINGS_AND_SEATS),
    ("SPEAKERS", _SPEAKERS),
    ("TEST HOLES", _TEST_HOLES),
)
