"""What is said wherever a cut or a cable is planned. Common practice, no source; local codes decide."""

from __future__ import annotations

DO_NOT_CUT = "DO NOT CUT YET"
"""Said of a hole that cannot be cut where it is drawn, wherever it is marked out."""

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

BEFORE_BORING = (
    "The ways are a plan, not a survey: fire blocks, insulation and what nobody has found may still be in them.",
    "Isolate the power and prove it dead before a bit or a saw goes behind the board. Find live cables, gas and water "
    "first: drill a small hole and look.",
    "Keep these cables apart from mains cables, and never in one box with them. Side by side 2 in is often asked "
    "(value from memory); where they must cross, cross square.",
    "A cable in a wall or a ceiling must be of a rating that the local code allows there; in a space that moves air, "
    "of another.",
    "Fire-rated walls and ceilings, the garage's, and plates between floors: every hole has to be sealed as the rating "
    "asks. Ask the authority before you bore.",
    "Bore in the middle of a member's depth, never notch it, and put a nail plate where a cable comes near the board. "
    "The sizes here are the model code's usual limits: ask the local authority, also whether cables may lie over "
    "members in an open space; for I-joists, LVL and trusses, ask the maker.",
    "Insulation and vapor barriers have to be made good where a cable goes through. Where the code asks for a licensed "
    "trade, call one.",
)
"""Each by itself, where cables are planned."""
