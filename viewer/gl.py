"""Whether this machine can draw in three dimensions, found out without risking the process.

Where no OpenGL library can be used, VTK does not raise: it ends the process. So a child draws first.
"""

from __future__ import annotations

import os
import subprocess
import sys

from earshed.viewer.output import OutputError

_PROBE = """
import vtkmodules.vtkRenderingOpenGL2
from vtkmodules.vtkRenderingCore import vtkRenderWindow
window = vtkRenderWindow()
window.SetOffScreenRendering(1)
window.SetSize(16, 16)
window.Render()
"""
"""What the child draws: as little of VTK as makes it look for OpenGL."""
HELP = (
    "this machine has no OpenGL library to draw with; on Debian or Ubuntu: sudo apt-get install libosmesa6 libegl1 "
    "libgl1 libxrender1; on Fedora: sudo dnf install mesa-libEGL mesa-libGL libXrender. Numbers and flat maps "
    "(earshed check, earshed map) come out without it"
)


def prepare_offscreen() -> None:
    """Chooses VTK's windowless drawing on Linux; to be called before the first picture."""
    if sys.platform == "linux":
        os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")


def require_gl() -> None:
    """Raises OutputError, saying what to install, where a picture cannot be drawn here."""
    prepare_offscreen()
    try:
        done = subprocess.run([sys.executable, "-c", _PROBE], capture_output=True, timeout=120, check=False)
    except (OSError, subprocess.TimeoutExpired):
        raise OutputError(HELP) from None
    if done.returncode != 0:
        raise OutputError(HELP)
