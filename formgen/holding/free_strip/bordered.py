"""Stage `holding`: linear equations of a chain: three diagonals, and a border for what acts on every link.

In: diagonals and border of a symmetric matrix. Out: the solution. Plain loops over numbers: a chain of 150 links takes
well under a millisecond, and no threads are started for it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from formgen.errors import PressError

Array = NDArray[np.float64]


def solve_chain(diagonal: Array, beside: Array, columns: Sequence[Array]) -> list[Array]:
    """Solutions x of T x = b for each column b, T symmetric with `diagonal` (n,) and `beside` (n − 1,) next to it.

    Raises:
        PressError: T cannot be divided by one of its pivots.
    """
    d, e = diagonal.tolist(), beside.tolist()
    pivots, factors = [d[0]], []
    for i, off in enumerate(e):
        if abs(pivots[-1]) < 1e-12 * abs(d[i]):
            raise PressError(
                "the strip is just on the point of buckling where it was cut into elements, expected "
                "a shape that is settled: move the bar a little"
            )
        factors.append(off / pivots[-1])
        pivots.append(d[i + 1] - factors[-1] * off)
    out = []
    for column in columns:
        x = column.tolist()
        for i, f in enumerate(factors):
            x[i + 1] -= f * x[i]
        x[-1] /= pivots[-1]
        for i in range(len(e) - 1, -1, -1):
            x[i] = x[i] / pivots[i] - factors[i] * x[i + 1]
        out.append(np.array(x))
    return out


def solve_pinned(diagonal: Array, beside: Array, pull: Array, turning: Array, gap: Array) -> tuple[Array, Array]:
    """Turns (n,) and loads (2,) of a chain whose ends are held: T·turns − pullᵀ·loads = turning, pull·turns = gap.

    The first link joins the loads in the border: without it the chain is fast at one end, so that T can be divided even
    where no load keeps the whole chain from turning.

    Args:
        diagonal: of T, (n,).
        beside: next to it, (n − 1,).
        pull: (2, n) how the far end moves as each link turns.
        turning: (n,) right-hand side of the links.
        gap: (2,) right-hand side of the ends.
    """
    first = np.zeros(len(diagonal) - 1)
    first[0] = beside[0]
    rest = pull[:, 1:]
    y, *z = solve_chain(diagonal[1:], beside[1:], [turning[1:], first, -rest[0], -rest[1]])
    Z = np.column_stack(z)
    rows = np.vstack([first, rest])
    corner = np.array(
        [
            [diagonal[0], -pull[0, 0], -pull[1, 0]],
            [pull[0, 0], 0.0, 0.0],
            [pull[1, 0], 0.0, 0.0],
        ]
    )
    border = np.linalg.solve(corner - rows @ Z, np.concatenate([turning[:1], gap]) - rows @ y)
    turns = np.asarray(np.concatenate([border[:1], y - Z @ border]), dtype=float)
    return turns, np.asarray(border[1:], dtype=float)
