"""The room, what hangs in it, and what each seat gets: geometry and numbers, no drawing.

Axes, everywhere: metres, right-handed, origin on the floor in the front left corner as seen when facing the
screen wall; x to the right, y towards the front, z up. The room therefore lies at y <= 0. Radians inside.
"""
