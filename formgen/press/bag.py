"""Stage `press`: the bag round the part, or round form and part, and the cloths in it.

In: a section to go round, a length, what lies on the part. Out: girth, length, areas, air inside; mm, m², litres.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from formgen.fixed import fixed
from formgen.recipe.figures import figure
from formgen.recipe.shop import Shop


@fixed
class Cloth:
    """Something cut to the part's face: breather, mesh, release, caul."""

    name: str
    area_m2: float


@fixed
class Bag:
    """The bag, a tube laid flat and sealed at both ends.

    Args:
        holds: `part` or `form and part`.
        girth_mm: round the section, slack included.
        flat_width_mm: half of it: the width to cut two sheets to, seals at the sides not counted.
        length_mm: with slack and a seal at each end.
        film_m2: both sides.
        cloths: what is cut to the part's face, on either side of the part.
        air_l: air before pumping, litres.
    """

    holds: Literal["part", "form and part"]
    girth_mm: float
    flat_width_mm: float
    length_mm: float
    film_m2: float
    cloths: tuple[Cloth, ...]
    air_l: float


def plan_bag(
    section_mm: tuple[float, float],
    length_mm: float,
    face_mm: tuple[float, float],
    lies: Sequence[tuple[str, float, bool]],
    shop: Shop,
    *,
    holds: Literal["part", "form and part"],
) -> Bag:
    """The bag that goes round a section with slack.

    Args:
        section_mm: width and height of the section that it goes round.
        length_mm: of what it holds, laid flat (the part) or as it stands (a form).
        face_mm: length and width of the part's face.
        lies: (name, thickness mm, is the bag itself) of all that lies on the part.
        shop: for the figures.
        holds: what is inside.

    Assumptions:
        The film goes straight round the section; hollows that it must reach into need pleats beyond the slack.
    """
    slack = 1.0 + figure("bag_slack_share", shop).value
    girth = 2.0 * (section_mm[0] + section_mm[1]) * slack
    length = length_mm * slack + section_mm[1] + 2.0 * figure("bag_seal_mm", shop).value
    face_m2 = face_mm[0] * face_mm[1] * 1e-6
    cloth_share = figure("cloth_air_share", shop).value
    airy = sum(mm for name, mm, _ in lies if name in ("breather", "mesh"))
    film_m2 = girth * length * 1e-6
    return Bag(
        holds=holds,
        girth_mm=girth,
        flat_width_mm=girth / 2.0,
        length_mm=length,
        film_m2=film_m2,
        cloths=tuple(Cloth(name=name, area_m2=face_m2) for name, _, is_film in lies if not is_film),
        air_l=film_m2 / 2.0 * figure("loose_bag_air_mm", shop).value + face_m2 * airy * cloth_share,
    )
