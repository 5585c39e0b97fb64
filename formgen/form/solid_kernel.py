"""Stage `form`: loading CadQuery, which takes longer than making a form does."""

from __future__ import annotations

import sys
from types import ModuleType


def load_cadquery() -> None:
    """Import CadQuery without all of VTK, a third of the time: as it loads it asks for every module of that library.

    Those that it calls it imports by themselves; `vtk`, which names them all, is wanted for a display that is never
    opened here. An empty module stands in for it as long as CadQuery is loading.
    """
    if "cadquery" in sys.modules or "vtk" in sys.modules:
        return
    sys.modules["vtk"] = ModuleType("vtk")
    try:
        import cadquery  # noqa: F401
    finally:
        del sys.modules["vtk"]
