"""Sizes of the bag by hand. Slack of a tenth and 75 mm of seal at each end are common practice, no source."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from formgen.form.model import Form


def test_bag_round_the_part_alone(made: Callable[[str], Form]) -> None:
    """Porch jamb: plies of 1 in together, bag 0.5, breather 1.5, bag 0.5 mm; 5 1/4 in deep with 3 mm on each edge."""
    bag = made("porch-door-jamb").pressing.bag
    width, height = 5.25 * 25.4 + 6, 25.4 + 0.5 + 1.5 + 0.5
    length = (18.5 * math.pi + 2 * 14) * 25.4 + 50
    assert bag.holds == "part"
    assert bag.girth_mm == pytest.approx(1.1 * 2 * (width + height))
    assert bag.length_mm == pytest.approx(1.1 * length + height + 150)
    assert bag.film_m2 == pytest.approx(bag.girth_mm * bag.length_mm * 1e-6)
    assert {c.name: c.area_m2 for c in bag.cloths} == {"breather": pytest.approx(width * length * 1e-6)}
    # 10 mm of air under half the sheeting, and the breather, 1.5 mm thick and four fifths air
    assert bag.air_l == pytest.approx(bag.film_m2 / 2 * 10 + width * length * 1e-6 * 1.5 * 0.8)


@pytest.mark.parametrize("name", ["clock-surround", "reference-alcove"])
def test_bag_goes_round_the_form_that_is_cut(made: Callable[[str], Form], name: str) -> None:
    """Not smaller than the stack with the part on it, and not more than a tenth and the seals larger."""
    form = made(name)
    bag, part = form.pressing.bag, form.laminate.thickness_mm
    x0, y0, x1, y1 = form.layers[0].outline.bounds
    least = min(x1 - x0, y1 - y0) + form.depth_mm
    assert bag.holds == "form and part"
    assert 1.0 < bag.girth_mm / (2 * least) < 1.1 * (least + 2 * part + 10) / least
    assert bag.length_mm > max(x1 - x0, y1 - y0)


def test_a_mesh_in_the_recipe_is_cut_to_the_face(changed: Callable[..., Form]) -> None:
    bag = changed("reading-room-head", ("side: male", "side: male\n  over: [mesh, film]")).pressing.bag
    assert [c.name for c in bag.cloths] == ["mesh"]


def test_the_shops_own_slack(changed: Callable[..., Form], made: Callable[[str], Form]) -> None:
    usual = made("porch-door-jamb").pressing.bag
    ample = changed(
        "porch-door-jamb", shop=(("altitude: 310 m", "altitude: 310 m\nfigures: {bag_slack_share: 0.32}"),)
    ).pressing.bag
    assert ample.girth_mm == pytest.approx(1.2 * usual.girth_mm)


@pytest.mark.parametrize("body", ["block", "band"])
@pytest.mark.parametrize("side", ["male", "female"])
def test_bag_round_a_block_is_as_large_as_the_block(changed: Callable[..., Form], body: str, side: str) -> None:
    """Sheeting round the stack that is cut and the part on it, a tenth more: girth and length by the outline's box."""
    edits = (("side: male", f"side: {side}\n  way: form-bagged"), ("body: block", f"body: {body}"))
    form = changed("reading-room-head", *edits)
    bag, part = form.pressing.bag, form.laminate.thickness_mm
    boxes = [layer.outline.bounds for layer in form.layers]
    over = part if side == "male" else 0.0  # a part on a male form stands out over it
    across = max(x1 - x0 for x0, _, x1, _ in boxes) + 2 * over
    upright = max(y1 - y0 for _, y0, _, y1 in boxes) + over
    least, most = sorted((across, upright))
    assert form.body == body
    assert bag.girth_mm == pytest.approx(1.1 * 2 * (least + form.depth_mm), rel=0.04)
    assert bag.length_mm == pytest.approx(1.1 * most + form.depth_mm + 150, rel=0.04)
