"""Changes to a scene, step by step: what a hand does to a speaker or a seat, as keys of the scene file."""
