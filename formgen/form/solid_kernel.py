"""Stage `form`: loading CadQuery, which takes longer than making a form does.

In and out: nothing; afterwards `import cadquery` costs nothing. Called before each such import.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from types import ModuleType

from formgen.libraries import load_ezdxf

#: VTK, whole and in parts.
_DISPLAY = ("vtk", "vtkmodules")


def load_cadquery() -> None:
    """Import CadQuery without VTK, which is two fifths of the wait.

    It is wanted for a display that is never opened here, and for files that are not written: modules without anything
    in them stand in for it as long as CadQuery is loading.
    """
    if "cadquery" in sys.modules:
        return
    load_ezdxf()  # CadQuery would import it otherwise
    stand_in = None if any(name in sys.modules for name in _DISPLAY) else _StandIn()
    if stand_in is not None:
        sys.meta_path.insert(0, stand_in)
    try:
        import cadquery  # noqa: F401
    finally:
        if stand_in is not None:
            sys.meta_path.remove(stand_in)
            for name in [name for name in sys.modules if name.partition(".")[0] in _DISPLAY]:
                del sys.modules[name]


class _StandIn(MetaPathFinder, Loader):
    """Finds modules of VTK that hold whatever class is asked of them, and nothing in it."""

    def find_spec(
        self, fullname: str, _path: Sequence[str] | None = None, _target: ModuleType | None = None
    ) -> ModuleSpec | None:
        return ModuleSpec(fullname, self, is_package=True) if fullname.partition(".")[0] in _DISPLAY else None

    def create_module(self, spec: ModuleSpec) -> ModuleType:
        return _Empty(spec.name)

    def exec_module(self, module: ModuleType) -> None:
        pass


class _Empty(ModuleType):
    def __getattr__(self, name: str) -> type:
        if name.startswith("__"):
            raise AttributeError(name)
        return type(name, (), {})
