"""Stage `holding`: the part as it lies on its form, and every place where a clamp could stay.

In: a Laminate, the side of the form, the stations of the clamp reliefs. Out: stations on the pressed centre line, mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from formgen.fixed import fixed
from formgen.form.curve_ends import ENDS, FARTHEST_MM, NEAREST_MM, End, Jump, end_jump, jumps
from formgen.geometry.arcspline import ArcSpline
from formgen.holding.on_form.model import Place, StayingClamp
from formgen.laminate.plies import Laminate
from formgen.press.film import Side
from formgen.recipe.figures import figure

#: Distances beyond a jump at which a clamp is tried beside the usual one (mm), in this order, and the furthest relief.
TRIED_MM = (FARTHEST_MM, NEAREST_MM, 60.0)
#: A clamp within this of a relief's station stands in it; two halves within it are alike (mm).
SAME_MM, ALIKE_MM = 0.5, 0.05
#: Steps along the curve at which a clamp is tried where the form has no reliefs (mm).
STEP_MM = 200.0


@fixed
class Pair:
    """Clamps that stay or go together.

    Args:
        stations_mm: one at each end; a single one in the middle.
        place: what they hold down.
    """

    stations_mm: tuple[float, ...]
    place: Place


@fixed
class Layout:
    """The part on its form.

    Args:
        pressed: centre line of the finished part.
        side: side of the form.
        waste_mm: plies past the finished end, right and left.
        tolerance_mm: the part's.
        reliefs_mm: stations of the clamp reliefs, rising.
        foot_mm: from the end of a leg to its clamp, where no relief says.
        closing_mm: from the spring line to the clamp that closes the curve there, where no relief says.
    """

    pressed: ArcSpline
    side: Side
    waste_mm: tuple[float, float]
    tolerance_mm: float
    reliefs_mm: tuple[float, ...]
    foot_mm: float
    closing_mm: float

    @classmethod
    def of(cls, laminate: Laminate, side: Side, reliefs_mm: Sequence[float]) -> Layout:
        """The layout of a laminate's part."""
        shop = laminate.recipe.shop
        return cls(
            foot_mm=figure("foot_clamp_mm", shop).value,
            closing_mm=figure("closing_clamp_mm", shop).value,
            pressed=laminate.pressed,
            side=side,
            waste_mm=laminate.arch.waste_mm,
            tolerance_mm=laminate.recipe.part.tolerance_mm,
            reliefs_mm=tuple(sorted(reliefs_mm)),
        )

    @cached_property
    def jumps(self) -> tuple[Jump, ...]:
        """Jumps of curvature that count."""
        return jumps(self.pressed, self.side, self.tolerance_mm)

    @cached_property
    def mirrored(self) -> bool:
        """True if the part is alike on both sides of its middle."""
        pieces = self.pressed.merged().pieces
        alike = all(
            abs(a[0] - b[0]) < ALIKE_MM and abs(a[1] - b[1]) < 1e-9 for a, b in zip(pieces, pieces[::-1], strict=True)
        )
        return alike and abs(self.waste_mm[0] - self.waste_mm[1]) < ALIKE_MM

    def spring_line(self, end: End) -> Jump | None:
        """Return where the leg of that end meets the curve."""
        return end_jump(self.jumps, self.pressed, end)

    def feet(self) -> Pair:
        """The clamp lowest on each leg; at the trim line where there is none."""
        return Pair(stations_mm=(self._foot("right"), self._foot("left")), place="foot")

    def end_pairs(self) -> Pair:
        """The pair at the ends of the curve: beyond the spring lines, or at the trim lines."""
        found = []
        for end in ENDS:
            jump = self.spring_line(end)
            found.append(self._trim(end) if jump is None else self.beyond(jump)[0])
        return Pair(stations_mm=tuple(found), place="end of the curve")

    def beyond(self, jump: Jump) -> list[float]:
        """Stations at which a clamp could hold a jump down, the handiest first; at least one."""
        far = min(max(TRIED_MM), jump.furthest_mm(self.tolerance_mm), jump.room_mm)
        usual = jump.usual_mm(self.tolerance_mm, self.closing_mm) or jump.room_mm
        tried = [d for d in TRIED_MM if d <= jump.room_mm and d != usual]
        away = [(s - jump.station_mm) * jump.toward for s in self.reliefs_mm]
        in_relief = sorted((d for d in away if 0.5 * NEAREST_MM <= d <= far), key=lambda d: abs(d - usual))
        return [jump.at_mm(d) for d in (*in_relief[:1], usual, *tried)]

    def candidates(self) -> list[list[Pair]]:
        """Places where clamps could stay, each with its stations, the handiest first."""
        out = []
        for i in range((len(self.jumps) + 1) // 2):
            a, b = self.jumps[i], self.jumps[len(self.jumps) - 1 - i]
            ends = [self.beyond(a)] if a is b else [self.beyond(a), self.beyond(b)]
            with_leg = {a, b} & {self.spring_line(end) for end in ENDS}
            place: Place = "end of the curve" if with_leg else "along the curve"
            both = (tuple(end[min(k, len(end) - 1)] for end in ends) for k in range(max(map(len, ends))))
            out.append([Pair(stations_mm=stations, place=place) for stations in both])
        out.append([Pair(stations_mm=(self._trim("right"), self._trim("left")), place="end of the curve")])
        along = self.reliefs_mm or self._steps()
        for i in range((len(along) + 1) // 2):
            pair = (along[i], along[-1 - i]) if 2 * i + 1 < len(along) else (along[i],)
            out.append([Pair(stations_mm=pair, place="along the curve")])
        return out

    def staying(self, station_mm: float, place: Place) -> StayingClamp:
        """A clamp that stays, with where it stands."""
        end: End = "right" if station_mm < self.pressed.length_mm / 2.0 else "left"
        jump = self.spring_line(end)
        inward = 1.0 if end == "right" else -1.0
        near = [i for i, s in enumerate(self.reliefs_mm, 1) if abs(s - station_mm) <= SAME_MM]
        at_trim = abs(station_mm - self._trim(end)) <= SAME_MM and self._straight_mm(end) == 0.0
        return StayingClamp(
            station_mm=station_mm,
            end=end,
            place=place,
            beyond_springing_mm=None if jump is None else (jump.station_mm - station_mm) * inward,
            trim_line=at_trim,
            clamp=near[0] if near else None,
        )

    def _foot(self, end: End) -> float:
        leg = self._straight_mm(end)
        if leg == 0.0:
            return self._trim(end)
        length = self.pressed.length_mm
        on_leg = [s for s in self.reliefs_mm if (s if end == "right" else length - s) <= leg]
        if on_leg:
            return min(on_leg) if end == "right" else max(on_leg)
        inside = min(self.foot_mm, leg / 2.0)
        return inside if end == "right" else length - inside

    def _trim(self, end: End) -> float:
        """The trim line, or the relief that stands for it."""
        length = self.pressed.length_mm
        trim = 0.0 if end == "right" else length
        bends = abs(self.pressed.pieces[0 if end == "right" else -1][1])
        near = [
            s for s in self.reliefs_mm if bends * (s - trim) ** 2 <= self.tolerance_mm and abs(s - trim) <= FARTHEST_MM
        ]
        return min(near, key=lambda s: abs(s - trim), default=trim)

    def _straight_mm(self, end: End) -> float:
        length, curvature = self.pressed.pieces[0 if end == "right" else -1]
        return length if curvature == 0.0 else 0.0

    def _steps(self) -> tuple[float, ...]:
        count = max(2, round(self.pressed.length_mm / STEP_MM))
        return tuple(self.pressed.length_mm * (i + 0.5) / count for i in range(count))
