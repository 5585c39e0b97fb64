"""Stage `holding`: the result of bending: forces at each end, for the whole depth of the part, in mm and N."""

from __future__ import annotations

import math
from typing import Literal

from formgen.findings import Finding
from formgen.fixed import fixed


@fixed
class Means:
    """The shop's means of bending: the pull of one hand and the force of one clamp, N."""

    hand_n: float
    clamp_n: float

    def clamps(self, force_n: float) -> int:
        """Count how many clamps give that force, at least one."""
        return max(1, math.ceil(force_n / self.clamp_n - 1e-9))

    def takes(self, force_n: float) -> str:
        """`one hand`, `two hands`, `a clamp` or `3 clamps`."""
        if force_n <= 2.0 * self.hand_n:
            return "one hand" if force_n <= self.hand_n else "two hands"
        return self.clamps_text(self.clamps(force_n), self.clamps(force_n))

    @staticmethod
    def clamps_text(least: int, most: int) -> str:
        """`a clamp`, `3 clamps`, `1 to 3 clamps`."""
        if least == most:
            return "a clamp" if most == 1 else f"{most} clamps"
        return f"{least} to {most} clamps"


@fixed
class Closing:
    """The clamp that shuts the plies on the form near one end of the arc.

    Args:
        beyond_springing_mm: where it stands: out on the leg from the spring line, negative where in on the arc; from
            the end of the part where there is no leg.
        at_trim_line: it stands on the trim line of an end without a leg, and brings that within the tolerance.
        least_n, most_n: force for the whole depth: contact as soft, and as hard, as the figures say.
        clamps: how many clamps that is, least and most.
    """

    beyond_springing_mm: float
    at_trim_line: bool
    least_n: float
    most_n: float
    clamps: tuple[int, int]


@fixed
class EndBending:
    """One end of the part.

    Args:
        end: `right` or `left`.
        has_leg: whether a straight leg follows the curve.
        lifts: the form lies on the hollow side of the curve there, so that the end springs off it; else the end
            presses on the form by itself.
        clamps_on_leg: how many clamp reliefs lie on the leg.
        foot_mm: station from the end at which the hand pulls; negative on the waste past an end without a leg.
        lever_mm: lever of that pull where it must be greatest: from foot to spring line; from the tip of the waste to
            the next clamp inward where there is no leg.
        moment_n_mm: of the loose plies there, for the whole depth.
        foot_n: moment over lever.
        foot_takes: `one hand`, `two hands`, `a clamp`, `3 clamps`.
        closing: what shuts the plies there; None where the bag on the form does.
    """

    end: Literal["right", "left"]
    has_leg: bool
    lifts: bool
    clamps_on_leg: int
    foot_mm: float
    lever_mm: float
    moment_n_mm: float
    foot_n: float
    foot_takes: str
    closing: Closing | None


@fixed
class Bending:
    """The forces that bend the plies to the form.

    Args:
        ends: right, left.
        depth_mm: of the part, for which all forces stand.
        means: a hand, a clamp.
        findings: the same in words.
    """

    ends: tuple[EndBending, EndBending]
    depth_mm: float
    means: Means
    findings: tuple[Finding, ...] = ()
