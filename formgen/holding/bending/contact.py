"""Stage `holding`: the force of one clamp that shuts the loose plies on a form which gives a little.

In: curvature of the form from an end inward, the clamp's station, stiffness of plies and contact. Out: N for each mm of
depth. Knows no part, no ways of pressing and no units of people.

Who pushes on whom: the plies want to be straight. The form pushes on them, and cannot pull. The clamp alone pushes
them back, at one station. Nothing else pushes: no bag, no weight.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from formgen.errors import PressError
from formgen.fixed import fixed
from formgen.geometry.distance import Array

#: Steps of the grid to one length 1/β of the contact or, where that is shorter, to the clamp's distance: of a rough
#: one, on which it is soon found about where the plies touch, and of the one that gives the force.
ROUGH_STEPS, STEPS = 3, 12
#: So many lengths 1/β from a clamp its push has died away: e⁻⁸ is 0.03 %.
FADED = 8.0
#: The lifted zone behind a clamp reaches half as far past the spring line as the clamp stands before it (rigid form).
REACH = 4.0
#: More rounds of finding who touches are never needed: a round moves the border by a step at least.
ROUNDS = 500


def contact_root_per_mm(stiffness_n_mm: float, contact_n_per_mm3: float) -> float:
    """β = (k/4EI)^¼, one over the length in which a push on a springy form dies away.

    Reference:
        Hetényi, Beams on Elastic Foundation (1946), ch. 1 (from memory).
    """
    return float((contact_n_per_mm3 / (4.0 * stiffness_n_mm)) ** 0.25)


def closing_force_n_per_mm(
    form: Sequence[tuple[float, float]],
    clamp_mm: float,
    reach_mm: float,
    stiffness_n_mm: float,
    contact: float,
    stands_off_mm: float = 0.0,
) -> float:
    """Force of the clamp that brings the plies down to the form where it stands, N for each mm of depth.

    Args:
        form: (length mm, curvature 1/mm) from the free end inward; positive where the form falls away from the plies.
        clamp_mm: station of the clamp from that end; 0 where it stands on the end itself.
        reach_mm: distance from the clamp to the place that it must close.
        stiffness_n_mm: Σ E t³/12 of the loose plies.
        contact: pressure for each mm that plies, bag and form give together, N/mm³.
        stands_off_mm: how far the plies may still stand off the form's line under the clamp, 0 or more.

    Returns:
        0 where the plies lie on the form without a clamp.

    Raises:
        PressError: no state at rest was found.

    Assumptions:
        Plies slide on each other without friction; small slopes; the contact pushes and never pulls; a point clamp;
        further in the plies are held on the form by the clamps that went on before. On a rigid form the force of a
        point clamp has no bound, so it is a range by the stiffness of the contact, never one number.

    Reference:
        Energy ½∫EI(κ − w″)² + ½∫k min(w, 0)², least for the lift w, by differences: computed. Against one root of
        the exact solution, contact on both sides of a free stretch (tests).
    """
    beam = (form, clamp_mm, reach_mm, stiffness_n_mm, contact, stands_off_mm)
    rough = _rest(*beam, ROUGH_STEPS, None)
    found = _rest(*beam, STEPS, rough) or _rest(*beam, STEPS, None)
    if found is not None:
        return found.force_n_per_mm
    raise PressError(
        f"clamp at {clamp_mm:.0f} mm from the end: expected a state in which the plies rest on the form, found none; "
        "give figures soft_contact_n_per_mm3 and hard_contact_n_per_mm3 in the shop file that lie nearer each other"
    )


@fixed
class _Rest:
    """Plies at rest under the clamp: its force, and which of the stations (n,) touch the form."""

    force_n_per_mm: float
    stations_mm: Array
    touching: NDArray[np.bool_]


def _rest(
    form: Sequence[tuple[float, float]],
    clamp_mm: float,
    reach_mm: float,
    stiffness_n_mm: float,
    contact: float,
    stands_off_mm: float,
    steps: int,
    like: _Rest | None,
) -> _Rest | None:
    """The plies at rest on a grid of so many steps, looked for from where they touch on another; None if not found."""
    stations, here = _grid(form, clamp_mm, reach_mm, contact_root_per_mm(stiffness_n_mm, contact), steps)
    step = float(stations[1] - stations[0])
    curvature = _mean_curvature(form, stations, step)
    per_lift = stiffness_n_mm / step**3
    give = np.full(len(stations), contact * step)
    give[0] /= 2.0
    push = (per_lift * step**2 * np.convolve(curvature, [1.0, -2.0, 1.0])).tolist()
    touching = np.ones(len(stations), dtype=bool)
    if like is not None:
        touching = np.interp(stations, like.stations_mm, like.touching) > 0.5
        touching[[here, -2, -1]] = True
    for _ in range(ROUNDS):
        lift = _lift(per_lift, np.where(touching, give, 0.0), push, here, stands_off_mm)
        now = lift < 0.0
        now[[here, -2, -1]] = True  # held there whatever touches
        if np.array_equal(now, touching):
            bent = per_lift * np.convolve(np.diff(lift, n=2), [1.0, -2.0, 1.0])[here]
            return _Rest(force_n_per_mm=max(0.0, float(push[here] - bent)), stations_mm=stations, touching=touching)
        touching = now
    return None


def _lift(per_lift: float, give: Array, push: Sequence[float], here: int, stands_off_mm: float) -> Array:
    """Lift at every station with that contact: given at the clamp, 0 at the last two, where the plies are held.

    The five bands of the stiffness are solved as L D Lᵀ, from the free end inward.
    """
    count = len(give)
    inner = np.ones(count)
    inner[[0, -1]] = 0.0
    beside = np.pad(inner, 1)
    main = (per_lift * (4.0 * inner + beside[:-2] + beside[2:]) + give).tolist()
    near = (-2.0 * per_lift * (inner[:-1] + inner[1:])).tolist()
    far = (per_lift * inner[1:-1]).tolist()
    wanted = list(push)
    for other, band, i in ((-1, near, here - 1), (1, near, here), (-2, far, here - 2), (2, far, here)):
        if i >= 0:
            wanted[here + other] -= band[i] * stands_off_mm
            band[i] = 0.0
    main[here], wanted[here] = 1.0, stands_off_mm
    free = count - 2
    for i in range(free):
        one, two = near[i] / main[i], far[i] / main[i]
        if i + 1 < free:
            main[i + 1] -= one * near[i]
            near[i + 1] -= one * far[i]
            wanted[i + 1] -= one * wanted[i]
        if i + 2 < free:
            main[i + 2] -= two * far[i]
            wanted[i + 2] -= two * wanted[i]
    lift = [0.0] * (count + 2)
    for i in range(free - 1, -1, -1):
        lift[i] = (wanted[i] - near[i] * lift[i + 1] - far[i] * lift[i + 2]) / main[i]
    return np.array(lift[:count])


def _grid(
    form: Sequence[tuple[float, float]], clamp_mm: float, reach_mm: float, root_per_mm: float, steps: int
) -> tuple[Array, int]:
    """Even stations, one of them under the clamp, from the free end (or where the push has faded) inward."""
    faded = FADED / root_per_mm
    step = min(1.0 / root_per_mm, max(reach_mm, 0.2 / root_per_mm)) / steps
    outward = min(clamp_mm, faded + reach_mm)  # ends on the leg, where the plies are straight by themselves
    before = math.ceil(outward / step - 1e-9)
    if before:
        step = outward / before
    inward = min(faded + REACH * reach_mm, math.fsum(length for length, _ in form) - clamp_mm)
    after = max(4, math.floor(inward / step))
    return np.asarray(clamp_mm + step * np.arange(-before, after + 1), dtype=np.float64), before


def _mean_curvature(form: Sequence[tuple[float, float]], stations: Array, step: float) -> Array:
    """Curvature at all stations but the first and the last, each the mean over one step about it."""
    knots = np.concatenate([[0.0], np.cumsum([length for length, _ in form])])
    turned = np.concatenate([[0.0], np.cumsum([length * k for length, k in form])])
    between = np.interp((stations[1:] + stations[:-1]) / 2.0, knots, turned)
    return np.asarray(np.diff(between) / step)
