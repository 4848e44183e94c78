"""Settings of the whole test session."""

from __future__ import annotations

import os

import numpy as np
from hypothesis import settings

from tests.browser import browser

__all__ = ["browser"]  # a fixture that any test may ask for

np.seterr(all="raise", under="ignore")

settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")
