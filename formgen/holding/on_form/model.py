"""Stage `holding`: the result, the part on its form under vacuum with most clamps off; mm, N."""

from __future__ import annotations

from typing import Literal

from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.form.curve_ends import End

#: A lift of more than so many tolerances is not told: the sums are for small lifts.
TOLD_TO = 10.0
#: Where a clamp that stays stands: at the foot of a leg, at the end of the curve, or somewhere along it.
Place = Literal["foot", "end of the curve", "along the curve"]


@fixed
class Lift:
    """The lift of the finished part off the form, at its highest.

    Args:
        friction: coefficient between the plies; 0 decides.
        lift_mm: the lift, 0 or more, square to the pressed centre line and away from the form; infinite where it is
            more than `TOLD_TO` tolerances, or the plies find no rest at all.
        station_mm: where, on the pressed centre line.
        height_mm: y there.
    """

    friction: float
    lift_mm: float
    station_mm: float
    height_mm: float


@fixed
class StayingClamp:
    """One clamp that stays on.

    Args:
        station_mm: on the pressed centre line.
        end: the half of the part in which it stands.
        place: what it holds down.
        beyond_springing_mm: along the centre line from that end's spring line, positive out on the leg, negative on the
            curve; None where that end has no leg.
        trim_line: it stands at the part's finished end.
        clamp: number of the clamp relief that it stands in, from the right; None where it clamps from the back.
    """

    station_mm: float
    end: End
    place: Place
    beyond_springing_mm: float | None
    trim_line: bool
    clamp: int | None


@fixed
class OnForm:
    """The part on the form, in its bag, full vacuum, most clamps off.

    Args:
        tolerance_mm: the part's: what a lift may be.
        slack_mm: length left over when the plies were drawn round.
        slack_usual: whether that is the usual figure rather than the recipe's own.
        clamp_holds_n: how much pull along the curve one clamp takes, for the part's depth.
        feet_alone: with a clamp at the foot of each leg (at the trim lines without legs), without friction.
        end_pairs: with the pair at the ends of the curve alone, without friction.
        staying: with the clamps that stay, without friction, which decides, and with the figure's.
        stays: those clamps, by rising station.
        holds: the clamps that stay keep the part within its tolerance, without friction.
        by_closed_form: whether `staying` without friction comes from closed forms rather than the solver.
        per_slack: mm of lift for each mm of slack, with the clamps that stay, where slack counts most.
        furthest_pair_mm: the furthest that the pair may stand beyond the spring line, √(32 R tol); None without legs.
        findings: which clamps may come off, and which pair stays where.
    """

    tolerance_mm: float
    slack_mm: float
    slack_usual: bool
    clamp_holds_n: float
    feet_alone: Lift
    end_pairs: Lift
    staying: tuple[Lift, Lift]
    stays: tuple[StayingClamp, ...]
    holds: bool
    by_closed_form: bool
    per_slack: float
    furthest_pair_mm: float | None
    findings: tuple[Finding, ...] = ()
