"""Stage `outputs`: two folders change places in one step, so that no moment is without either.

In: two paths on one disk, both there. Out: whether they changed places; where the system cannot, nothing happened.
"""

from __future__ import annotations

import ctypes
import os
import sys
from pathlib import Path

_HERE, _EXCHANGE, _SWAP = -100, 2, 2


def exchanged(one: Path, other: Path) -> bool:
    """Change two folders' places; False where this system or disk cannot do it in one step.

    Reference:
        Linux: renameat2(2) with RENAME_EXCHANGE. macOS: renamex_np(2) with RENAME_SWAP.
    """
    a, b = os.fsencode(one), os.fsencode(other)
    try:
        libc = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "darwin":
            return bool(libc.renamex_np(a, b, _SWAP) == 0)
        return bool(libc.renameat2(_HERE, a, _HERE, b, _EXCHANGE) == 0)
    except (AttributeError, OSError, TypeError):  # a library without it; on Windows none to be asked
        return False
