"""Chains of blocks against the same equations written out in full for `numpy.linalg.solve`."""

from __future__ import annotations

import numpy as np
import pytest

from formgen.holding.free_strip.blocks import solve_blocks


@pytest.mark.parametrize("links", [1, 2, 3, 8, 9, 16, 17, 31, 64])
def test_a_chain_is_the_whole_matrix(links: int) -> None:
    rng, b = np.random.default_rng(links), 4
    diagonal = rng.normal(size=(links, b, b))
    diagonal = diagonal + diagonal.transpose(0, 2, 1) + 12.0 * np.eye(b)
    beside, columns = rng.normal(size=(links - 1, b, b)), rng.normal(size=(links, b, 3))
    whole = np.zeros((links * b, links * b))
    for i in range(links):
        whole[i * b : (i + 1) * b, i * b : (i + 1) * b] = diagonal[i]
        if i < links - 1:
            whole[i * b : (i + 1) * b, (i + 1) * b : (i + 2) * b] = beside[i]
            whole[(i + 1) * b : (i + 2) * b, i * b : (i + 1) * b] = beside[i].T
    exact = np.linalg.solve(whole, columns.reshape(links * b, 3)).reshape(links, b, 3)
    assert solve_blocks(diagonal, beside, columns) == pytest.approx(exact, abs=1e-11)
