"""Stage `form`: whether the form holds: the bending reaction of the plies, and inside the bag the air on every face.

In: the pressing and the layers. Out: checks, each with its deflection against the part's tolerance and its stress
against what MDF bears for hours; mm, MPa, kN. First the board with its limits, last the thinnest walls that clamp
reliefs leave: to an edge of their piece, and to each other. With the bag round the part alone the air pushes the part
from all sides alike and not on the form; what the form then feels is that the plies want to be straight. Clamps squeeze
part and form between jaw and relief; what they press locally is not checked.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any, Literal

import numpy as np

from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.form.free_space import Room
from formgen.form.model import Strength, StrengthCheck
from formgen.form.plate import Bent, cantilever_strip, clamped_strip, plate_stiffness_n_mm, supported_rectangle
from formgen.form.stack import Layer
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.distance import Array, distances_between
from formgen.geometry.outline import Outline
from formgen.laminate.ply import loose_stiffness_n_mm
from formgen.lengths import Units
from formgen.press.setup import Pressing
from formgen.press.vacuum import force_kn
from formgen.recipe.figures import Board, board, figure

HOLLOW = "hollow"

#: How closely an opening's edge is sampled (mm off the arc).
SAMPLED_MM = 0.05


@fixed
class Material:
    """The board.

    Args:
        board: modulus and strength by its thickness.
        poisson: Poisson's ratio.
        creep: deflection after hours over that at once.
        strength_mpa, crush_mpa: bending and crushing stress allowed for hours.
        tolerance_mm: the part's, against which a deflection is held.
        pressure_mpa: of the air, inside the bag.
    """

    board: Board
    poisson: float
    creep: float
    strength_mpa: float
    crush_mpa: float
    tolerance_mm: float
    pressure_mpa: float

    def stiffness(self, thickness_mm: float) -> float:
        """D of a plate of it, N·mm."""
        return plate_stiffness_n_mm(self.board.modulus_mpa, thickness_mm, self.poisson)

    def bent(self, what: str, span_mm: float, thickness_mm: float, bent: Bent) -> StrengthCheck:
        """A plate under load as a check."""
        return self.check(what, span_mm, thickness_mm, bent.deflection_mm, bent.stress_mpa(thickness_mm))

    def check(
        self, what: str, span_mm: float, thickness_mm: float, at_once_mm: float, stress_mpa: float
    ) -> StrengthCheck:
        """A check from the deflection at once, which grows by creep, and a bending stress."""
        return StrengthCheck(
            what=what,
            span_mm=span_mm,
            thickness_mm=thickness_mm,
            deflection_mm=self.creep * at_once_mm,
            deflection_limit_mm=self.tolerance_mm,
            stress_mpa=stress_mpa,
            stress_limit_mpa=self.strength_mpa,
        )

    def crush(self, what: str, span_mm: float, thickness_mm: float, stress_mpa: float) -> StrengthCheck:
        """A check of crushing alone."""
        return replace(self.check(what, span_mm, thickness_mm, 0.0, stress_mpa), stress_limit_mpa=self.crush_mpa)


def material_of(pressing: Pressing) -> Material:
    """The board of the recipe's sheet."""
    recipe = pressing.recipe
    shop, mdf = recipe.shop, board(recipe.sheet.thickness_mm)
    share = figure("mdf_strength_share", shop).value
    return Material(
        board=mdf,
        poisson=figure("mdf_poisson", shop).value,
        creep=figure("mdf_creep_share", shop).value,
        strength_mpa=share * mdf.strength_mpa,
        crush_mpa=share * figure("mdf_crush_mpa", shop).value,
        tolerance_mm=recipe.part.tolerance_mm,
        pressure_mpa=pressing.pressure_kpa / 1000.0 if pressing.form_in_bag else 0.0,
    )


def form_strength(pressing: Pressing, layers: Sequence[Layer], face: ArcSpline) -> Strength:
    """Return what the form bears, and how well.

    Args:
        pressing: the stage before.
        layers: the stack.
        face: the form face with its run-on.
    """
    recipe = pressing.recipe
    in_bag = pressing.form_in_bag
    material = material_of(pressing)
    share = continuous_share(layers)
    part = recipe.part
    depth = part.pressed_depth_mm
    checks = [_reaction(pressing, layers, face, material, share, depth)]
    if in_bag:
        checks.extend(_in_the_bag(pressing, layers, face, material))
    hollow = any(check.what == HOLLOW for check in checks)
    broadest = max(layer.outline.area_mm2 for layer in layers)
    pressure = pressing.pressure_kpa if in_bag else 0.0
    return Strength(
        moment_n_mm=pressing.moment_n * depth,
        pressure_kpa=pressure,
        broadest_face_kn=force_kn(pressure, broadest),
        continuous_share=share,
        checks=tuple(sorted(checks, key=lambda check: -check.use)),
        source=f"{material.board.source} ({material.board.how_sure}); creep and duration in figures (from memory)",
        cautions=("stored-force", *(("air-load",) if in_bag else ()), *(("collapse",) if hollow else ())),
    )


def strength_findings(strength: Strength, units: Units) -> Iterator[Finding]:
    """List what gives or breaks; if nothing does, the one that is nearest to it."""
    found = [_finding(check, strength, units) for check in strength.checks if check.use > 1.0]
    yield from found
    if not found:
        said = {"check": strength.checks[0].what, "board_source": strength.source}
        yield finding("form.strong-enough", units, value=strength.checks[0].use, limit=1.0, **said)


def continuous_share(layers: Sequence[Layer]) -> float:
    """The part of the layers that is not cut where the most layers are: joints of odd and even layers lie apart."""
    cut = Counter((round(x, 1), round(y, 1)) for layer in layers for _, (x, y) in layer.joints)
    return 1.0 - max(cut.values(), default=0) / len(layers)


def _reaction(
    pressing: Pressing, layers: Sequence[Layer], face: ArcSpline, material: Material, share: float, depth_mm: float
) -> StrengthCheck:
    """The body as a curved strip that the loose plies, held to it, want to open.

    Assumptions:
        Part and form bend as one pair: the form takes −EI′κ everywhere, so its own curvature falls by the factor
        EI′·depth/(E I) of form and part. A block counts with its least depth, a clamp relief is cut out of the middle
        of the section, and beside a joint only the layers that it does not cut bear stress; it is too short to matter
        for the bending.

    Reference:
        Beam bending M = EI Δκ, σ = M/S (Timoshenko, Strength of Materials, Part I).
    """
    recipe = pressing.recipe
    backing = recipe.backing_mm
    width = recipe.shop.clamp.jaw_mm + recipe.shop.clamp.play_mm
    relief = width if any(piece.openings for layer in layers for piece in layer.pieces) else 0.0
    stack = math.fsum(layer.thickness_mm for layer in layers)
    net = stack * (backing**3 - min(relief, 0.9 * backing) ** 3) / 12.0
    plies = loose_stiffness_n_mm(pressing.laminate.plies) * depth_mm
    opens = min(material.creep * plies / (material.board.modulus_mpa * net), 1.0)
    middle = face.length_mm / 2.0
    opened = face.scaled_curvature(1.0 - opens).held_at(middle, face.pose(middle))
    moved = max(
        math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) for a, b in ((face.start, opened.start), (face.end, opened.end))
    )
    moment = pressing.moment_n * depth_mm
    stress = moment * backing / 2.0 / (net * max(share, 1.0 / len(layers)))
    what = "block" if recipe.asked.form.body == "block" else "body"
    return material.check(what, face.length_mm, backing, moved / material.creep, stress)


def _in_the_bag(
    pressing: Pressing, layers: Sequence[Layer], face: ArcSpline, material: Material
) -> Iterator[StrengthCheck]:
    q = material.pressure_mpa
    sheet = layers[0].thickness_mm
    for wall in walls(layers):
        if wall.kind == "rib":
            stress = q * (wall.span_mm + wall.thickness_mm) / wall.thickness_mm
            yield material.crush("rib", wall.span_mm, wall.thickness_mm, stress)
        else:
            bent = clamped_strip(q, wall.span_mm, material.stiffness(wall.thickness_mm))
            yield material.bent("wall", wall.span_mm, wall.thickness_mm, bent)
    channels = [layer for layer in layers if layer.channel]
    if channels:
        reach = _set_back_mm(layers)
        lip = cantilever_strip(q, reach, material.stiffness(sheet))
        yield material.bent("lip", reach, sheet, lip)
        bearing = q * len(layers) / (len(layers) - len(channels))
        yield material.crush("face", sheet, sheet, bearing)
        yield _part_over_channel(pressing, sheet, material)
    grooves = [g for layer in channels for piece in layer.pieces for g in piece.grooves]
    if grooves:
        longest = max(grooves, key=lambda g: g.cleared.area_mm2 / g.width_mm)
        floor = sheet - longest.depth_mm
        short, long = sorted((longest.width_mm, longest.cleared.area_mm2 / longest.width_mm))
        bent = supported_rectangle(q, short, long, material.stiffness(floor), material.poisson)
        yield material.bent("floor", short, floor, bent)
    if pressing.side == "male" and pressing.recipe.asked.form.body == "band":
        yield _hollow_band(pressing, layers, face, material)


def _set_back_mm(layers: Sequence[Layer]) -> float:
    """Find how far a channel layer stands back from the face of the others."""
    channel = next(layer.face for layer in layers if layer.channel)
    plain = next(layer.face for layer in layers if not layer.channel)
    return math.dist((channel.start.x_mm, channel.start.y_mm), (plain.start.x_mm, plain.start.y_mm))


def _part_over_channel(pressing: Pressing, sheet_mm: float, material: Material) -> StrengthCheck:
    """The plies across the grain over the channel, held on both sides; a caul is not counted.

    Their strength across the grain is not in the catalogue.
    """
    recipe = pressing.recipe
    plies = pressing.laminate.plies
    whole = loose_stiffness_n_mm(plies)
    across = figure("cross_grain_modulus_share", recipe.shop).value * whole
    bent = clamped_strip(material.pressure_mpa, sheet_mm, across)
    thickest = max(plies, key=lambda ply: ply.modulus_mpa * ply.thickness_mm)
    own = bent.moment_n * loose_stiffness_n_mm([thickest]) / whole
    stress = 6.0 * own / thickest.thickness_mm**2
    check = material.check("part", sheet_mm, thickest.thickness_mm, 0.0, stress)
    return replace(check, deflection_mm=bent.deflection_mm, stress_limit_mpa=None)


def _hollow_band(pressing: Pressing, layers: Sequence[Layer], face: ArcSpline, material: Material) -> StrengthCheck:
    """A male band with the air on its face and none on its back: each half a cantilever from the middle.

    Assumptions:
        The film lies across the hollow at front and back, and its own pull on the edges is left out, so that the truth
        is worse. Even pressure on a curve gives the moment q × depth × chord²/2 about any station, the chord to the
        free end.

    Reference:
        Statics of an even normal pressure; bending by ∫ M/(EI) × lever (Timoshenko, Strength of Materials, Part I).
    """
    stack = math.fsum(layer.thickness_mm for layer in layers)
    backing = pressing.recipe.backing_mm
    q, inertia = material.pressure_mpa, stack * backing**3 / 12.0
    moved = worst = 0.0
    for end in (0.0, face.length_mm):
        stations = np.linspace(face.length_mm / 2.0, end, 401)
        arms = face.points(stations)[-1] - face.points(stations)
        moments = q * stack * np.sum(arms**2, axis=1) / 2.0
        step = abs(float(stations[1] - stations[0]))
        shift = np.trapezoid(moments[:, None] * arms, dx=step, axis=0) / (material.board.modulus_mpa * inertia)
        moved, worst = max(moved, float(np.hypot(*shift))), max(worst, float(moments[0]))
    stress = worst * backing / 2.0 / inertia
    return material.check(HOLLOW, face.length_mm / 2.0, backing, moved, stress)


def _finding(check: StrengthCheck, strength: Strength, units: Units) -> Finding:
    breaks = check.stress_limit_mpa is not None and check.stress_mpa > check.stress_limit_mpa
    numbers: dict[str, Any] = {"value": check.deflection_mm, "limit": check.deflection_limit_mm}
    if breaks:
        numbers = {"value": check.stress_mpa, "limit": check.stress_limit_mpa, "board_source": strength.source}
    if check.what == HOLLOW:
        return finding("form.hollow", units, "breaks" if breaks else "gives", **numbers)
    said: dict[str, Any] = {"check": check.what, "outside": strength.pressure_kpa > 0.0}
    return finding("form.breaks" if breaks else "form.gives", units, **numbers, **said)


@fixed
class Wall:
    """The wall left beside an opening: `edge` (to the edge of the piece) or `rib` (to the next opening)."""

    kind: Literal["edge", "rib"]
    span_mm: float
    thickness_mm: float


def walls(layers: Sequence[Layer]) -> list[Wall]:
    """The thinnest wall to an edge and the thinnest rib, each with the length of its opening; none without openings."""
    pieces = (piece for layer in layers for piece in layer.pieces)
    held = dict.fromkeys((piece.outline, opening.outline) for piece in pieces for opening in piece.openings)
    if not held:
        return []
    edges = [_to_edge(piece, opening) for piece, opening in held]
    found = [min(edges, key=lambda wall: wall.thickness_mm / wall.span_mm)]
    sampled = {opening: _points(opening) for _, opening in held}
    ribs = [
        Wall(kind="rib", span_mm=max(_length(a), _length(b)), thickness_mm=float(np.min(distances_between(a, b))))
        for a, b in combinations(sampled.values(), 2)
    ]
    if ribs:
        found.append(min(ribs, key=lambda wall: wall.thickness_mm))
    return found


def _to_edge(piece: Outline, opening: Outline) -> Wall:
    points = _points(opening)
    free = Room(outlines=(piece,)).free(points)
    return Wall(kind="edge", span_mm=_length(points), thickness_mm=float(np.min(free)))


def _points(outline: Outline) -> Array:
    return np.array(outline.flattened(SAMPLED_MM))


def _length(points: Array) -> float:
    """Greatest distance between two points of an opening."""
    return float(np.max(distances_between(points, points)))
