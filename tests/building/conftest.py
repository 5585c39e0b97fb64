"""Schedules and base recipes to try."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from formgen.building.schedule.opening import Schedule
from formgen.building.schedule.read import read_schedule

RECIPES = Path(__file__).parents[2] / "recipes"
BASE = """\
format: 1
name: base
units: mm
part:
  arch: {kind: segmental, span: 900, rise: 180}
  measured_on: centre
  depth: 60
  tolerance: 0.8
laminate: {wood: white ash, thickness: 18, plies: 6, adhesive: epoxy}
press: {side: male, between: [film]}
form: {body: band, backing: 90}
"""
#: A shop whose bags stay on the pump overnight: epoxy sets in up to 24 h.
SHOP = "format: 1\npress_days: {overnight: true}\n"


@pytest.fixture
def scheduled(tmp_path: Path) -> Callable[..., Schedule]:
    """A schedule from CSV text, with the base recipe above or another: `scheduled("opening,span\\nA,900")`."""

    def make(text: str, base: str = BASE, name: str = "openings.csv", shop: str = SHOP) -> Schedule:
        (tmp_path / "base.yaml").write_text(base, encoding="utf-8")
        (tmp_path / "shop.yaml").write_text(shop, encoding="utf-8")
        (tmp_path / name).write_text(text, encoding="utf-8")
        return read_schedule(tmp_path / name, tmp_path / "base.yaml")

    return make


@pytest.fixture
def library() -> Schedule:
    """The shipped schedule."""
    openings = RECIPES / "openings"
    return read_schedule(openings / "library.csv", openings / "base.yaml", RECIPES / "shop.yaml")
