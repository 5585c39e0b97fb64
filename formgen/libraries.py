"""Libraries kept to what they are asked for: what somebody keeps at home for them changes no file and stops no run.

One looks at home for settings, another for a list of fonts; a home that is closed, a plain file or nowhere is no
failure of ours. Called once, before any of them is loaded; processes begun later find the same. `load_ezdxf` loads that
library past the settings that lie in the working folder.
"""

from __future__ import annotations

import logging
import os
import sys
from pathlib import Path
from types import ModuleType

#: Where ezdxf looks, and what that is when nobody says it: home first, below which the others lie.
_EZDXF = {"HOME": "~", "XDG_CONFIG_HOME": "~/.config", "XDG_CACHE_HOME": "~/.cache"}
#: Modules that reportlab runs from home if there are no such modules.
_REPORTLAB = ("reportlab_mods", "reportlab_settings")


def keep_to_themselves() -> None:
    """Give libraries no settings of anybody's; and no folder to look into that they cannot look into."""
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())  # what it would say of its own list
    for name in _REPORTLAB:
        sys.modules.setdefault(name, ModuleType(name))
    for name, usual in _EZDXF.items():
        if not _can_be_looked_into(os.environ.get(name) or usual):
            os.environ[name] = os.devnull


def load_ezdxf() -> None:
    """Import ezdxf with its own settings: an `ezdxf.ini`, at home or in the working folder, is not read."""
    if "ezdxf" in sys.modules:
        return
    from configparser import ConfigParser

    read = ConfigParser.read
    ConfigParser.read = lambda *_, **__: []  # type: ignore[method-assign]
    try:
        import ezdxf  # noqa: F401
    finally:
        ConfigParser.read = read  # type: ignore[method-assign]


def _can_be_looked_into(folder: str) -> bool:
    """Tell whether it can be asked what lies there; nothing at all is an answer too."""
    try:
        (Path(folder).expanduser() / "ezdxf" / "any").lstat()
    except (FileNotFoundError, NotADirectoryError):
        return True
    except (OSError, RuntimeError):  # closed; or nobody has a home
        return False
    return True
