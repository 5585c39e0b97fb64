"""Stage `laminate`: how much of its curvature a glued stack gives back when the form is taken away.

In: moduli and thicknesses of the plies (any one unit each). Out: a ratio without unit.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from formgen.errors import LaminateError


def spring_back_ratio(moduli: Sequence[float], thicknesses: Sequence[float]) -> float:
    """The part s of the pressed curvature that release takes back.

    s = Σ Eᵢtᵢ³ / Σ Eᵢ[tᵢ³ + 12 tᵢ(yᵢ − ȳ)²], with ȳ the E-weighted centroid: the bending stiffness of the
    loose plies over that of the glued stack. For n equal plies exactly 1/n².

    Args:
        moduli: E of each ply along the curve, one unit, in order through the thickness, all above 0.
        thicknesses: thickness of each ply, one unit, same order, all above 0.

    Returns:
        s, above 0 and at most 1; curvature after release = (1 − s) × curvature in the press.

    Raises:
        LaminateError: no plies, lists of different length, or a value not above 0.

    Assumptions:
        Thin elastic plies (plane sections in each ply), bent loose and free to slide until the glue sets,
        then locked by a glue line that neither creeps nor slips; no change of moisture; sizes after release
        differ little from those in the press, so that lengths are kept on the centre line.

    Reference:
        Composite-beam theory: the residual moment Σ EᵢIᵢ κ of the loose plies acts on the glued section
        Σ Eᵢ(Iᵢ + Aᵢ dᵢ²) (Timoshenko, Strength of Materials, Part I, on built-up beams; from memory).
    """
    E, t = _checked(moduli, thicknesses)
    y = np.cumsum(t) - t / 2.0
    centroid = float(np.sum(E * t * y) / np.sum(E * t))
    loose = float(np.sum(E * t**3))
    glued = float(np.sum(E * (t**3 + 12.0 * t * (y - centroid) ** 2)))
    return loose / glued


def adjusted_ratio(spring_back: float, glue_line_stiffness: float, relaxation: float) -> float:
    """Spring-back with the two measured factors: s = ρ / [1 + γ(1/s₀ − 1)].

    Args:
        spring_back: s₀ from the plies alone, above 0 and at most 1.
        glue_line_stiffness: γ, the share of the composite action that the glue lines keep: 1 where they do not slip,
            near 0 where the plies slide and everything comes back.
        relaxation: ρ, the share of the bending stress that is left when the form is taken away; 1 where none eased.

    Raises:
        LaminateError: a factor below 0, or γ = 0.

    Assumptions:
        Glue lines slip in proportion to their load; stress eases alike in all plies.

    Reference:
        Stiffness of the glued stack over the loose one is 1/s₀; γ scales what gluing adds, as the γ of mechanically
        jointed beams does (EN 1995-1-1, Annex B; the use here is the project's own).
    """
    if not (glue_line_stiffness > 0.0 and relaxation >= 0.0):
        raise LaminateError(
            f"laminate.glue_line_stiffness = {glue_line_stiffness} and laminate.relaxation = {relaxation}, "
            "expected above 0, and 0 or more; leave them out if nobody measured them"
        )
    return relaxation / (1.0 + glue_line_stiffness * (1.0 / spring_back - 1.0))


def pressed_curvature_factor(spring_back: float) -> float:
    """Find what every target curvature is multiplied by to give the curvature in the press: 1/(1 − s).

    Raises:
        LaminateError: s outside 0 ≤ s < 1: one ply alone gives back everything, and so do plies between which glue
            slips.
    """
    if not 0.0 <= spring_back < 1.0:
        raise LaminateError(
            f"spring-back ratio = {spring_back:.4f}, expected below 1: such a stack returns to flat; "
            "use two plies or more, or measure laminate.glue_line_stiffness and laminate.relaxation again"
        )
    return 1.0 / (1.0 - spring_back)


def _checked(moduli: Sequence[float], thicknesses: Sequence[float]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    E, t = np.asarray(moduli, dtype=float), np.asarray(thicknesses, dtype=float)
    if len(E) == 0 or len(E) != len(t):
        raise LaminateError(f"a stack needs as many moduli as plies and at least one ply, got {len(E)} and {len(t)}")
    if not (np.all(np.isfinite(E)) and np.all(np.isfinite(t)) and np.all(E > 0) and np.all(t > 0)):
        raise LaminateError("every ply needs a modulus and a thickness above 0")
    return E, t
