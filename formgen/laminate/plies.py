"""Stage `laminate`: the result, the plies of the part and the curve they must be pressed to."""

from __future__ import annotations

from formgen.curve.arch import Arch
from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.bend import CurvedStrength
from formgen.laminate.boards import Materials
from formgen.laminate.moisture import Moisture
from formgen.laminate.ply import Ply
from formgen.laminate.tails import EndTail
from formgen.recipe.model import Recipe

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


__all__ = ["Laminate", "Ply"]


@fixed
class Laminate:
    """The stack of plies.

    Args:
        arch: the stage before.
        plies: from the inside face outward.
        thickness_mm: all of them together.
        spring_back: the part s of the curvature that release takes back, 0 to below 1, factors included.
        spring_back_elastic: the same from the plies alone, before the two factors below.
        pressed_factor: every curvature in the press over that of the finished part, 1/(1 − s), and with
            `laminate.allow_for_moisture` the middle of what drying pulls in.
        glue_line_stiffness: measured factor γ, 1 for glue lines that do not slip.
        relaxation: measured factor ρ, 1 for stress that does not ease in the press.
        moisture: what the water in the glue does to the curve; None where no adhesive is named or a wood's swelling
            is not known.
        strength: what published rules leave of a curved member's strength; None for panels.
        tails: how far the plies stand off the form at the right and the left end; None unless the form is in the bag.
        ply_step_mm: how much longer a ply is than its neighbour inside it: sweep × distance of their middles, the most.
        tightest: the stretch of the pressed centre line with the smallest radius.
        materials: plies to cut and the boards for them.
        pressed: centre line in the press, in the form's axes (origin midway between the pressed springing
            points of a two-legged part, or midway between the ends, which then lie level).
        springing_mm: stations of the springing points on `pressed` (those on the target: lengths are kept).
        findings: bend limits and the like.
    """

    arch: Arch
    plies: tuple[Ply, ...]
    thickness_mm: float
    spring_back: float
    spring_back_elastic: float
    pressed_factor: float
    glue_line_stiffness: float
    relaxation: float
    moisture: Moisture | None
    strength: CurvedStrength | None
    tails: tuple[EndTail, EndTail] | None
    ply_step_mm: float
    tightest: Tightest
    materials: Materials
    pressed: ArcSpline
    springing_mm: tuple[float, float]
    findings: tuple[Finding, ...] = ()

    @property
    def recipe(self) -> Recipe:
        """The recipe that it was made from."""
        return self.arch.recipe
