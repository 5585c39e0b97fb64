"""The shipped schedule, shared at half the tolerance."""

from __future__ import annotations

import pytest

from formgen.building.model import Building, SharedForm
from formgen.building.schedule.read import read_schedule
from formgen.building.sharing.forms import plan_building
from tests.building.conftest import scheduled
from tests.conftest import RECIPES

__all__ = ["library", "scheduled", "shared"]


@pytest.fixture(scope="session")
def library() -> Building:
    """The shipped schedule's forms."""
    openings = RECIPES / "openings"
    schedule = read_schedule(openings / "library.csv", openings / "base.yaml", RECIPES / "shop.yaml")
    return plan_building(schedule.openings, 0.5)


@pytest.fixture(scope="session")
def shared(library: Building) -> list[SharedForm]:
    """Those of its forms that several openings share."""
    found = [form for form in library.forms if len(form.members) > 1]
    assert len(found) >= 3
    return found
