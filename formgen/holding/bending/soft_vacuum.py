"""Stage `holding`: how much vacuum the bag may have while the plies are bent.

In: a Laminate. Out: a SoftVacuum, kPa and mm.

Who pushes on whom. The bag presses ply on ply, and friction holds them back from sliding while hands and clamps bend
them. What friction carries is locked in when the glue sets, and opens the part on release, over and above the
spring-back that the form allows for. The bag does not push the part to the form and does not bend it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.distance import Array
from formgen.laminate.plies import Laminate
from formgen.laminate.ply import loose_stiffness_n_mm
from formgen.recipe.figures import figure

#: Stations along the part at which what friction carries is summed up.
STEPS = 800
#: Plies that have turned by less than this have not slid (rad).
UNTURNED = 1e-9


@fixed
class SoftVacuum:
    """The most vacuum that may be in the bag while the plies are bent.

    Args:
        gauge_kpa: reading at which friction uses its share of the tolerance.
        friction: coefficient that this is for.
        uses_mm: that share, and how far an end of the finished part then moves, the middle held.
        mm_per_kpa: how far an end moves for each kPa.
        least_gauge_kpa: the least that a gauge shows.
        at_least_gauge_mm: how far an end moves at that reading.
        findings: the same in words.
    """

    gauge_kpa: float
    friction: float
    uses_mm: float
    mm_per_kpa: float
    least_gauge_kpa: float
    at_least_gauge_mm: float
    findings: tuple[Finding, ...] = ()

    @property
    def shows(self) -> bool:
        """True if the shop's gauge shows so little."""
        return self.gauge_kpa >= self.least_gauge_kpa


def soft_vacuum(laminate: Laminate, first_clamp_mm: float, full_kpa: float) -> SoftVacuum:
    """The most vacuum while bending.

    Args:
        laminate: the plies, pressed.
        first_clamp_mm: station of the first clamp, from which the plies slide outward.
        full_kpa: gauge vacuum that is pumped once all clamps are on.
    """
    recipe, shop = laminate.recipe, laminate.recipe.shop
    friction = figure("wet_glue_friction_most", shop)
    share = figure("soft_vacuum_tolerance_share", shop)
    least = figure("least_gauge_kpa", shop).value
    uses = share.value * recipe.part.tolerance_mm
    moves = ends_move_mm_per_kpa(laminate, first_clamp_mm, friction.value)
    found = SoftVacuum(
        gauge_kpa=min(uses / moves, full_kpa) if moves > 0.0 else full_kpa,
        friction=friction.value,
        uses_mm=uses,
        mm_per_kpa=moves,
        least_gauge_kpa=least,
        at_least_gauge_mm=moves * least,
    )
    case, lengths = _case(found, full_kpa)
    said = finding(
        "press.soft-vacuum",
        recipe.units,
        case,
        value=found.gauge_kpa,
        limit=full_kpa,
        friction=friction.value,
        friction_from=friction.source,
        share=share.value,
        share_from=share.source,
        **lengths,
    )
    return replace(found, findings=(said,))


def ends_move_mm_per_kpa(laminate: Laminate, first_clamp_mm: float, friction: float) -> float:
    """Find how far the end that moves more, of the finished part, moves for each kPa in the bag while it was bent, mm.

    Args:
        laminate: the plies.
        first_clamp_mm: station from which the plies slide outward.
        friction: between plies.

    Assumptions:
        Every ply slides on its neighbours all along, from the first clamp to the free ends (far below the reading at
        which anything locks); what friction carries is not eased until the glue sets; the part moves little, and its
        middle is where it belongs.

    Reference:
        The moment grows by (1 − 1/n) T μ q for each mm from a free end, and adds m/M to the spring-back: equilibrium
        of the plies; press statics of the project, computed.
    """
    curve = laminate.arch.target
    stations = np.linspace(0.0, curve.length_mm, STEPS + 1)
    carried = friction_moment_mm(laminate, stations, first_clamp_mm) * friction * 1e-3
    opens = laminate.spring_back * carried / loose_stiffness_n_mm(laminate.plies)
    points = curve.points(stations)
    middle = STEPS // 2
    return max(
        _moved(stations[part], opens[part], points[part]) for part in (slice(middle, None), slice(middle, None, -1))
    )


def friction_moment_mm(laminate: Laminate, stations_mm: Array, first_clamp_mm: float) -> Array:
    """Moment that friction carries for each N/mm² of pressure and a friction of 1, N·mm per mm of depth; (n,).

    Positive where it pushes against a positive curvature. From a free end it grows by T − (t₁ + tₙ)/2, which is
    (1 − 1/n) T for equal plies: each interface carries 1, an outer ply takes it up on one face only. It grows only
    where plies have slid, and turns round where the curve has turned back.
    """
    plies = laminate.plies
    growth = laminate.thickness_mm - (plies[0].thickness_mm + plies[-1].thickness_mm) / 2.0
    turned = _turned(laminate.pressed, stations_mm)
    slid = turned - float(_turned(laminate.pressed, np.array([first_clamp_mm]))[0])
    slid = np.where(stations_mm < first_clamp_mm, -slid, slid)
    way = np.where(np.abs(slid) > UNTURNED, np.sign(slid), 0.0)
    steps = np.diff(stations_mm) * (way[1:] + way[:-1]) / 2.0
    from_right = np.concatenate([[0.0], np.cumsum(steps)])
    from_left = from_right[-1] - from_right
    left_of = stations_mm >= first_clamp_mm
    return np.asarray(growth * np.where(left_of, from_left, from_right))


def _turned(curve: ArcSpline, stations_mm: Array) -> Array:
    """Find how far the curve has turned from its right end, rad."""
    turns = np.concatenate([[0.0], np.cumsum([length * k for length, k in curve.pieces])])
    return np.asarray(np.interp(stations_mm, curve.stations_mm, turns))


def _moved(stations_mm: Array, opens: Array, points: Array) -> float:
    """Find how far the last point moves if each mm of the curve turns by `opens` and the first point is held."""
    arms = points[-1] - points
    turns = opens * np.abs(np.gradient(stations_mm))
    turns[[0, -1]] /= 2.0
    return float(np.hypot(np.sum(turns * arms[:, 1]), np.sum(turns * arms[:, 0])))


def _case(found: SoftVacuum, full_kpa: float) -> tuple[str, dict[str, float]]:
    """Choose the sentence that holds, and the numbers in it."""
    if found.gauge_kpa >= full_kpa:
        return "any", {"most": found.mm_per_kpa * full_kpa}
    if found.shows:
        return "reading", {"uses": found.uses_mm}
    needle = {"needle": found.least_gauge_kpa, "already": found.at_least_gauge_mm}
    return "stop", {"uses": found.uses_mm, **needle}
