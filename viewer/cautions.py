"""What is said wherever a cut or a cable is planned. Common practice, no source; local codes decide."""

from __future__ import annotations

BEFORE_CUTTING = (
    "Before you cut: isolate power; a test hole first, to look for cables, pipes, ducts and wood; never cut framing. "
    "Insulation, a vapor barrier and a fire-rated ceiling need the right box; local codes and licensed trades decide."
)

CAUTIONS = (
    "Isolate the power of the room, and prove it dead, before you drill or cut.",
    "Find live cables, gas and water first: look in the attic and from below, scan, and ask who built it.",
    "Drill a test hole at the center and look, and sweep a bent wire round, before the full cut.",
    "Never cut a joist, rafter, stud or truss. Bore one only as far as the local code allows; an engineered member not "
    "at all, unless its maker allows it.",
    "Insulation, vapor barriers and roofs that have to breathe need the right box behind the speaker.",
    "A fire-rated ceiling or wall, as to a garage or another dwelling, may need a listed speaker or box: ask the "
    "authority.",
    "Cable ratings, the distance from mains cables and all else follow the local code.",
    "Where the code asks for a licensed trade, as for mains wiring, gas, plumbing and structure, call one.",
    "Keep three points of contact on the ladder and do not overreach. Wear eye and breathing protection when you cut.",
    "Old paint, texture and insulation may hold lead or asbestos: have them tested before you cut.",
    "Angles and levels are predictions from the figures given; what they say of hearing is no safety verdict.",
)
"""Each by itself, for the front of a pack."""
