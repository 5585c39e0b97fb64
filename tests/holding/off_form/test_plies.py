"""The part off the form against n separate plies with friction at every interface (`plies.py`), soft to locked."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from formgen.form.model import Form
from formgen.holding.off_form import friction as stacks
from formgen.holding.off_form.hanging import hang
from formgen.holding.spreader_bar import bar_setting, tie_setting
from tests.holding.off_form.compare import pair_of

Made = Callable[..., Form]
KPA = 81.0


def _holder(form: Form, by: str):  # type: ignore[no-untyped-def]
    if by == "bar":
        assert form.bar is not None
        return bar_setting(form.pressing, "outside", form.bar.touch.height_mm)
    return tie_setting(form.pressing) if by == "tie" else None


@pytest.mark.parametrize(
    ("name", "change", "by", "friction"),
    [
        ("porch-door-jamb", (), "bar", 0.1),  # male, legs: soft, between, nearly locked
        ("porch-door-jamb", (), "bar", 0.2),
        ("porch-door-jamb", (), "bar", 0.7),
        ("porch-door-jamb", (("plies: 8", "plies: 24"),), "bar", 0.5),  # veneers: locked, interfaces in classes
        ("gallery-casing", (), "bar", 0.2),  # female, legs, unequal plies of two woods
        ("gallery-casing", (), "bar", 0.7),
        ("reading-room-head", (), "tie", 0.2),  # male, no legs
        ("lending-desk-panel", (), "tie", 0.7),
        ("stair-corner", (), "tie", 0.2),  # female, one leg, two plies of bending plywood
        ("bench-back-rail", (), "nothing", 0.2),  # both ways
    ],
)
def test_program_and_separate_plies_agree(
    changed: Made, name: str, change: tuple[tuple[str, str], ...], by: str, friction: float
) -> None:
    """Within 10 % or 0.05 mm, whichever is more, in the bag and finished; and the pull."""
    form = changed(name, *change)
    holder, laminate = _holder(form, by), form.laminate
    pair = pair_of(laminate, hang(laminate, KPA, friction, holder), KPA, holder)
    assert pair.agree, pair


@pytest.mark.parametrize("friction", [0.1, 0.5])
def test_the_form_taken_away_little_by_little_leaves_the_same_part(made: Made, friction: float) -> None:
    """The premise that every slide goes one way: in four stages, each from where the last one slid."""
    form = made("porch-door-jamb")
    holder, laminate = _holder(form, "bar"), form.laminate
    found = hang(laminate, KPA, friction, holder)
    at_once, slowly = (pair_of(laminate, found, KPA, holder, stages, count=120) for stages in (1, 4))
    assert max(slowly.independent[:2]) == pytest.approx(max(at_once.independent[:2]), rel=0.05)


def test_tall_stacks_in_classes_are_the_same_as_with_every_interface_for_itself(
    changed: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    form = changed("porch-door-jamb", ("plies: 8", "plies: 24"))
    holder, laminate = _holder(form, "bar"), form.laminate
    for friction in (0.05, 0.2):
        few = hang(laminate, KPA, friction, holder)
        monkeypatch.setattr(stacks, "MOST_CLASSES", 23)
        every = hang(laminate, KPA, friction, holder)
        monkeypatch.undo()
        assert few.in_bag.departure_mm == pytest.approx(every.in_bag.departure_mm, rel=0.03)


@pytest.mark.parametrize(
    ("name", "by"),
    [("porch-door-jamb", "bar"), ("gallery-casing", "bar"), ("reading-room-head", "tie"), ("stair-corner", "tie"),
     ("bench-back-rail", "nothing")],
)  # fmt: skip
def test_more_friction_never_takes_a_shipped_part_further_away(made: Made, name: str, by: str) -> None:
    """Forty frictions from none on: each departure at most 1.02 times the one before, none over the loose one."""
    form = made(name)
    holder, laminate = _holder(form, by), form.laminate
    away = [abs(hang(laminate, KPA, mu, holder).in_bag.departure_mm) for mu in [0.0, *np.geomspace(0.01, 20.0, 39)]]
    assert all(after <= 1.02 * before for before, after in pairwise(away))
    assert away[0] == max(away)
    assert away[0] > 3.0 * away[-1]
