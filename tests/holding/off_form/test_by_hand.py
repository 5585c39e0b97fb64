"""The loose stack under pressure on numbers small enough to be done by hand."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from formgen.holding.off_form.friction import Stack


def test_friction_of_unlike_plies() -> None:
    """Each interface holds μq over the distance of its two plies' middles: (2 + 4)/2 and (4 + 6)/2 mm."""
    plies = tuple(SimpleNamespace(modulus_mpa=10000.0, thickness_mm=t) for t in (2.0, 4.0, 6.0))
    stack = Stack.of(SimpleNamespace(plies=plies), 80.0, 0.25)  # type: ignore[arg-type]  # its plies are all it is asked for
    assert stack.shear_mpa == pytest.approx(0.02)
    assert float(np.sum(stack.friction_n)) == pytest.approx(0.02 * (3 + 5))
    loose = 10000 * (8 + 64 + 216) / 12
    middle = (2 * 1 + 4 * 4 + 6 * 9) / 12
    locked = loose + 10000 * (2 * (1 - middle) ** 2 + 4 * (4 - middle) ** 2 + 6 * (9 - middle) ** 2)
    assert (stack.loose_n_mm, stack.locked_n_mm) == pytest.approx((loose, locked))
    assert float(np.sum(stack.joined_n_mm)) == pytest.approx(locked - loose)
