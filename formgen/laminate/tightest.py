"""Stage `laminate`: where on the pressed curve the radius is smallest, so that somebody can look there first."""

from __future__ import annotations

from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline

#: Curvatures this near each other, as a share of the greatest, are one radius.
ALIKE_SHARE = 1e-6


@fixed
class Tightest:
    """The stretch of the pressed centre line with the smallest radius; the first one where there are several.

    Args:
        radius_mm: its radius.
        from_mm, to_mm: stations where it begins and ends, along the finished part from its right end.
        x_mm, height_mm: its middle, in the form's axes (height above the springing line, or above the ends).
        alike: how many stretches, apart from each other, have that radius.
        varies: whether other curved stretches have another radius.
    """

    radius_mm: float
    from_mm: float
    to_mm: float
    x_mm: float
    height_mm: float
    alike: int
    varies: bool


def tightest_stretch(curve: ArcSpline) -> Tightest:
    """The tightest stretch of a curve that bends somewhere; pieces of one radius that follow each other are one."""
    curvatures = [abs(k) for _, k in curve.pieces]
    most = max(curvatures)
    alike = [abs(k - most) <= ALIKE_SHARE * most for k in curvatures]
    first = alike.index(True)
    last = first
    while last + 1 < len(alike) and alike[last + 1]:
        last += 1
    begin, end = float(curve.stations_mm[first]), float(curve.stations_mm[last + 1])
    middle = curve.pose((begin + end) / 2.0)
    return Tightest(
        radius_mm=1.0 / most,
        from_mm=begin,
        to_mm=end,
        x_mm=middle.x_mm,
        height_mm=middle.y_mm,
        alike=sum(same and not before for same, before in zip(alike, [False, *alike], strict=False)),
        varies=any(not same and k > ALIKE_SHARE * most for same, k in zip(alike, curvatures, strict=True)),
    )
