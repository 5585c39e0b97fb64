"""Stage `form`: loading CadQuery, which takes longer than making a form does.

In and out: nothing; afterwards `import cadquery` costs nothing. Called before each such import.
"""

from __future__ import annotations

import sys
from types import ModuleType

from formgen.libraries import load_ezdxf


def load_cadquery() -> None:
    """Import CadQuery without the whole of VTK, which is a third of the wait.

    The modules of VTK that CadQuery calls it imports one by one. `vtk`, which imports them all, is wanted for a
    display that is never opened here: an empty module stands in for it as long as CadQuery is loading.
    """
    if "cadquery" in sys.modules:
        return
    stands_in = "vtk" not in sys.modules
    if stands_in:
        sys.modules["vtk"] = ModuleType("vtk")
    load_ezdxf()  # CadQuery would import it otherwise
    try:
        import cadquery  # noqa: F401
    finally:
        if stands_in:
            del sys.modules["vtk"]
