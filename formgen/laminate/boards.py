"""Stage `laminate`: plies to cut, and the boards that they are sawn from.

In: plies with their lengths, the shop's boards, saw and planer, mm. Out: counts, mm and board feet.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from formgen.curve.arch import Arch
from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.laminate.ply import Ply
from formgen.laminate.stock import Stock
from formgen.recipe.shop import Boards
from formgen.units import MM_PER_IN

#: Plies thinner than this are bought as veneer, not sawn (mm). Common practice, no source.
LEAST_SAWN_MM = 1.5
BOARD_FOOT_MM3 = float(144 * MM_PER_IN**3)


@fixed
class PlyCut:
    """Plies of one length to cut, for all parts of the opening.

    Args:
        ply: number of the ply in the stack; 0 for the spares, which fit any ply of their kind.
        wood: wood or panel.
        count: how many.
        thickness_mm, width_mm: width is the part's depth and an edge trim on either side.
        length_mm: its own arc in the press with trim; spares are as long as the longest of their kind.
    """

    ply: int
    wood: str
    count: int
    thickness_mm: float
    width_mm: float
    length_mm: float


@fixed
class ResawPlan:
    """The way plies of one wood and thickness come out of boards.

    Args:
        wood: the wood.
        thickness_mm: of a finished ply.
        plies: how many are needed, spares included.
        board_thickness_mm, kerf_mm, planing_mm: what the saw and planer work with.
        from_a_strip: plies out of one strip as wide as they are; 0 where the board is too thin.
        yield_ratio: wood left in plies over wood in the strip's thickness.
        strip_length_mm, strip_width_mm: sizes of a strip.
        strips: how many strips.
        boards: how many boards; None where the shop says neither their width nor their length.
        board_feet: of the strips, at the board's thickness, none added for defects.
    """

    wood: str
    thickness_mm: float
    plies: int
    board_thickness_mm: float
    kerf_mm: float
    planing_mm: float
    from_a_strip: int
    yield_ratio: float
    strip_length_mm: float
    strip_width_mm: float
    strips: int
    boards: int | None
    board_feet: float


@fixed
class Materials:
    """The cuts: rows from the inside ply outward, spares last, and a plan for each wood and thickness."""

    cuts: tuple[PlyCut, ...]
    resaw: tuple[ResawPlan, ...]


def plies_per_board(board_mm: float, ply_mm: float, kerf_mm: float, planing_mm: float) -> int:
    """Plies out of a board's thickness: n plies, each with what planing takes, and n − 1 kerfs between them.

    n = ⌊(T + k)/(t + p + k)⌋, from n(t + p) + (n − 1)k ≤ T.

    Assumptions:
        The board's faces are ready; planing is for both faces of a ply together; the last ply needs no cut of its own.
    """
    return math.floor((board_mm + kerf_mm) / (ply_mm + planing_mm + kerf_mm) + 1e-9)


def materials(plies: Sequence[Ply], stocks: Sequence[Stock], arch: Arch) -> Materials:
    """Cut list and resaw plans for all parts of the opening."""
    asked = arch.recipe.asked
    width = asked.part.pressed_depth_mm
    cuts = [_cut(p.number, p.wood, arch.copies, p.thickness_mm, width, p.length_mm) for p in plies]
    spares, plans = [], []
    for wood, thickness in dict.fromkeys((p.wood, p.thickness_mm) for p in plies):
        alike = [i for i, p in enumerate(plies) if (p.wood, p.thickness_mm) == (wood, thickness)]
        longest = max(plies[i].length_mm for i in alike)
        if asked.laminate.spares:
            spares.append(_cut(0, wood, asked.laminate.spares, thickness, width, longest))
        if stocks[alike[0]].wood is not None and thickness >= LEAST_SAWN_MM:
            needed = len(alike) * arch.copies + asked.laminate.spares
            plans.append(_plan(wood, thickness, needed, longest, width, arch.recipe.shop.boards))
    return Materials(cuts=(*cuts, *spares), resaw=tuple(plans))


def _cut(number: int, wood: str, count: int, thickness_mm: float, width_mm: float, length_mm: float) -> PlyCut:
    return PlyCut(ply=number, wood=wood, count=count, thickness_mm=thickness_mm, width_mm=width_mm, length_mm=length_mm)


def _plan(wood: str, ply_mm: float, plies: int, length_mm: float, width_mm: float, stock: Boards) -> ResawPlan:
    board = stock.thickness_mm
    n = plies_per_board(board, ply_mm, stock.kerf_mm, stock.planing_mm)
    strips = math.ceil(plies / n) if n else 0
    return ResawPlan(
        wood=wood,
        thickness_mm=ply_mm,
        plies=plies,
        board_thickness_mm=board,
        kerf_mm=stock.kerf_mm,
        planing_mm=stock.planing_mm,
        from_a_strip=n,
        yield_ratio=n * ply_mm / board,
        strip_length_mm=length_mm,
        strip_width_mm=width_mm,
        strips=strips,
        boards=_boards(strips, length_mm, width_mm, stock),
        board_feet=strips * board * width_mm * length_mm / BOARD_FOOT_MM3,
    )


def _boards(strips: int, length_mm: float, width_mm: float, stock: Boards) -> int | None:
    """Boards for so many strips; None where their sizes are not known, or no strip fits."""
    if stock.width_mm is None and stock.length_mm is None:
        return None
    kerf = stock.kerf_mm
    side = 1 if stock.width_mm is None else math.floor((stock.width_mm + kerf) / (width_mm + kerf) + 1e-9)
    end = 1 if stock.length_mm is None else math.floor((stock.length_mm + kerf) / (length_mm + kerf) + 1e-9)
    return math.ceil(strips / (side * end)) if side * end and strips else None


def material_findings(found: Materials, arch: Arch) -> Iterable[Finding]:
    """Boards too thin, too narrow or too short for the plies."""
    stock, units = arch.recipe.shop.boards, arch.recipe.units
    for plan in found.resaw:
        tests = (
            ("thick", plan.thickness_mm + stock.planing_mm, stock.thickness_mm),
            ("wide", plan.strip_width_mm, stock.width_mm),
            ("long", plan.strip_length_mm, stock.length_mm),
        )
        for case, needed, limit in tests:
            if limit is not None and needed > limit + 1e-6:
                yield finding("laminate.boards", units, case, value=needed, limit=limit, wood=plan.wood)
