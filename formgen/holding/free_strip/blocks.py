"""Stage `holding`: linear equations of a chain whose links have several unknowns each: blocks on three diagonals.

In: blocks of a symmetric matrix. Out: the solution. Links of odd number are eliminated all at once, again and again
(cyclic reduction), so that 120 links take seven rounds of array arithmetic and no loop over links.
"""

from __future__ import annotations

import numpy as np

from formgen.geometry.distance import Array

#: So few links are solved as one matrix.
FEW = 8


def solve_blocks(diagonal: Array, beside: Array, columns: Array) -> Array:
    """The solution x, (n, b, c), of A x = columns.

    Args:
        diagonal: (n, b, b) blocks of A on the diagonal, each symmetric.
        beside: (n − 1, b, b) blocks of A to the right of them; those to the left are their transposes.
        columns: (n, b, c) right-hand sides.

    Raises:
        numpy.linalg.LinAlgError: a block to be divided by is singular.

    Assumptions:
        No pivoting between blocks: A is positive definite but for a few directions, which a load may take.

    Reference:
        Block cyclic reduction (Golub and Van Loan, Matrix Computations, 4.5; from memory).
    """
    n, b = len(diagonal), diagonal.shape[1]
    if n <= FEW:
        return _solve_whole(diagonal, beside, columns)
    odd = slice(1, n, 2)
    before, after = beside[0::2], beside[1::2]  # between an even link and the odd one after it; an odd one and the next
    wide = np.zeros((n // 2, b, 2 * b + columns.shape[2]))
    wide[:, :, :b] = before.transpose(0, 2, 1)
    wide[: len(after), :, b : 2 * b] = after
    wide[:, :, 2 * b :] = columns[odd]
    solved = np.linalg.solve(diagonal[odd], wide)
    kept, right = diagonal[0::2].copy(), columns[0::2].copy()
    kept[: n // 2] -= before @ solved[:, :, :b]
    right[: n // 2] -= before @ solved[:, :, 2 * b :]
    m = len(after)
    kept[1 : m + 1] -= after.transpose(0, 2, 1) @ solved[:m, :, b : 2 * b]
    right[1 : m + 1] -= after.transpose(0, 2, 1) @ solved[:m, :, 2 * b :]
    joined = -before[:m] @ solved[:m, :, b : 2 * b]
    even = solve_blocks(kept, joined, right)
    x = np.empty_like(columns)
    x[0::2] = even
    x[odd] = solved[:, :, 2 * b :] - solved[:, :, :b] @ even[: n // 2]
    x[1 : 2 * m : 2] -= solved[:m, :, b : 2 * b] @ even[1 : m + 1]
    return x


def _solve_whole(diagonal: Array, beside: Array, columns: Array) -> Array:
    """The same with the matrix written out."""
    n, b = len(diagonal), diagonal.shape[1]
    whole, links = np.zeros((n, b, n, b)), np.arange(n)
    whole[links, :, links] = diagonal
    whole[links[:-1], :, links[1:]] = beside
    whole[links[1:], :, links[:-1]] = beside.transpose(0, 2, 1)
    x = np.linalg.solve(whole.reshape(n * b, n * b), columns.reshape(n * b, -1))
    return np.asarray(x.reshape(columns.shape))
