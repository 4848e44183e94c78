"""Whether this machine can draw in three dimensions, found out without risking the process.

Where no OpenGL library can be used, VTK does not raise: it ends the process. So a child draws first.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

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


PATIENCE = 120
"""Seconds that the child may take."""


def require_gl() -> None:
    """Raises OutputError, saying what to install, where a picture cannot be drawn here."""
    with trying_gl() as found:
        found()


@contextmanager
def trying_gl() -> Iterator[Callable[[], None]]:
    """The child draws while one does something else; what is given raises OutputError as `require_gl` does.

    A child that nobody waited for is ended.
    """
    prepare_offscreen()
    quiet = subprocess.DEVNULL
    try:
        child = subprocess.Popen([sys.executable, "-c", _PROBE], stdin=quiet, stdout=quiet, stderr=quiet)
    except OSError:
        raise OutputError(HELP) from None

    def found() -> None:
        try:
            code = child.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            raise OutputError(HELP) from None
        if code != 0:
            raise OutputError(HELP)

    try:
        yield found
    finally:
        child.kill()
        child.wait()
