"""What aims are checked against: random cases, dense sampling, and enumeration written in another way."""

import math
from itertools import combinations

import numpy as np

from earshed.model.aim import worst_off_axis
from earshed.model.geometry import FRONT, RIGHT, unit


def round_the(normal):
    """Two unit vectors square to a normal and to each other."""
    one = unit(np.cross(normal, RIGHT if abs(normal[0]) < 0.9 else FRONT))
    return one, np.cross(normal, one)


def random_case(rng, most_seats):
    """A normal up to 60 degrees off straight down, and directions to seats up to 4 m aside and 0.3 to 2.5 m below."""
    lean, turn = rng.uniform(0, math.radians(60)), rng.uniform(-math.pi, math.pi)
    normal = np.array([math.sin(lean) * math.cos(turn), math.sin(lean) * math.sin(turn), -math.cos(lean)])
    count = rng.integers(1, most_seats + 1)
    spread = rng.choice([0.3, 1.0, 4.0])
    middle = rng.uniform([-3, -3], [3, 3])
    ears = np.column_stack([middle + rng.uniform(-spread, spread, (count, 2)), rng.uniform(-2.5, -0.3, count)])
    return normal, unit(ears)


def cap_samples(limit, count):
    """Axes (3, N) about +z in rings within `limit`, and a radius within which every axis of the cap has one of them.

    Rings lie at most `step` apart and the axes of a ring too, so half a step along and half across reach one.
    """
    step = math.sqrt(2 * math.pi * (1 - math.cos(limit)) / count)
    tilts = np.linspace(0, limit, math.ceil(limit / step) + 1)
    each = np.ceil(2 * math.pi * np.sin(tilts) / step).astype(int) + 1
    tilt = np.repeat(tilts, each)
    turn = np.concatenate([np.arange(n) * (2 * math.pi / n) for n in each])
    return np.stack([np.sin(tilt) * np.cos(turn), np.sin(tilt) * np.sin(turn), np.cos(tilt)]), step


def best_sample(samples, normal, directions):
    """Smallest worst off-axis angle among axes (3, N) given about +z, put about the normal."""
    frame = np.stack([*round_the(normal), normal])
    lowest = (directions @ frame.T @ samples).min(axis=0)
    return worst_off_axis(samples[:, lowest.argmax()] @ frame, directions)


def enumerated_worst(normal, directions, limit, *, rim_only):
    """The least worst angle by trying each single, pair and triple of all the seats, within the cap and on its rim.

    Another way than the code under test: planes cut the sphere in place of sinusoids, and angles come from the
    chords, 2 atan2(|a - d|, |a + d|).
    """
    seats = range(len(directions))
    pairs, triples = (np.array(list(combinations(seats, n)), dtype=int).reshape(-1, n) for n in (2, 3))
    rim = [round_the(normal)[0][None], directions - (directions @ normal)[:, None] * normal]
    split = directions[pairs[:, 0]] - directions[pairs[:, 1]]  # a meeting lies square to it
    across = split - (split @ normal)[:, None] * normal
    size = np.linalg.norm(across, axis=1)
    split, across, size = split[size > 1e-15], across[size > 1e-15], size[size > 1e-15]
    along = -math.cos(limit) * (split @ normal) / size
    meets = np.abs(along) <= math.sin(limit)
    across, along = across[meets] / size[meets, None], along[meets, None]
    aside = np.sqrt(np.maximum(math.sin(limit) ** 2 - along**2, 0)) * np.cross(normal, across)
    rim += [along * across + aside, along * across - aside]
    leans = np.concatenate(rim)
    leans = leans[np.linalg.norm(leans, axis=1) > 1e-15]
    axes = [math.cos(limit) * normal + math.sin(limit) * unit(leans)]
    if not rim_only:
        a, b, c = directions[triples.T]
        around = np.cross(b - a, c - a)
        inner = np.concatenate([normal[None], directions, directions[pairs].sum(axis=1), around, -around])
        inner = unit(inner[np.linalg.norm(inner, axis=1) > 1e-15])
        axes.append(inner[inner @ normal >= math.cos(limit)])
    tried = np.concatenate(axes)[:, None]
    apart = 2 * np.arctan2(np.linalg.norm(tried - directions, axis=-1), np.linalg.norm(tried + directions, axis=-1))
    return apart.max(axis=1).min()
