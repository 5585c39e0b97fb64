"""Stage `form`: the result, a stack of layers (`formgen/form/stack.py`), with what it bears, weighs and makes.

Kilograms, mm, MPa, kN.
"""

from __future__ import annotations

from typing import Literal

from formgen.curve.arch import Arch
from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.form.stack import Layer, Piece, Stack
from formgen.geometry.arcspline import ArcSpline
from formgen.laminate.plies import Laminate
from formgen.makes.model import Made
from formgen.press.setup import Pressing
from formgen.recipe.model import Recipe


@fixed
class StrengthCheck:
    """One thing that could give or break.

    Args:
        what: key of its words in `formgen/findings/data/phrases.toml`.
        span_mm: length that it bridges or stands out.
        thickness_mm: what bears the bending.
        deflection_mm: how far it gives after hours, 0 where it is a matter of crushing alone.
        deflection_limit_mm: the part's tolerance.
        stress_mpa: greatest stress.
        stress_limit_mpa: what is allowed; None where the material's strength is not known.
    """

    what: str
    span_mm: float
    thickness_mm: float
    deflection_mm: float
    deflection_limit_mm: float
    stress_mpa: float
    stress_limit_mpa: float | None

    @property
    def use(self) -> float:
        """The greater of deflection and stress over its limit."""
        stress = 0.0 if self.stress_limit_mpa is None else self.stress_mpa / self.stress_limit_mpa
        return max(self.deflection_mm / self.deflection_limit_mm, stress)


@fixed
class Strength:
    """The form's strength: checks, and the board that they are held to.

    Args:
        moment_n_mm: bending moment of the loose plies at the tightest station, over the part's whole depth.
        pressure_kpa: air on its faces; 0 outside the bag.
        broadest_face_kn: that pressure on the front of the stack; 0 outside the bag.
        continuous_share: the part of the layers that no joint cuts at the worst station.
        checks: worst first.
        source: of the board's strength.
        cautions: names of the catalogue's lines that belong here.
    """

    moment_n_mm: float
    pressure_kpa: float
    broadest_face_kn: float
    continuous_share: float
    checks: tuple[StrengthCheck, ...]
    source: str
    cautions: tuple[str, ...]


@fixed
class Weights:
    """Weights and sheet.

    Args:
        form_kg: the stack, holes and grooves taken off, without glue and dowels.
        heaviest_piece_kg, heaviest_piece: its heaviest piece.
        part_kg: the plies as pressed, with their waste, without glue.
        part_guessed: whether a ply's density is the figure for unnamed woods and panels.
        board_m2: sheet area of all pieces.
        sheets_at_least: sheets that no layout can do without, by area alone; a real layout takes more.
        limit_kg: what one person should lift.
        cautions: names of the catalogue's lines that belong here.
    """

    form_kg: float
    heaviest_piece_kg: float
    heaviest_piece: str
    part_kg: float
    part_guessed: bool
    board_m2: float
    sheets_at_least: int
    limit_kg: float
    cautions: tuple[str, ...]


@fixed
class BarTouch:
    """The two places where a bar bears on the part as it is pressed.

    Args:
        height_mm: y of the bar's centre line, from the springing line up.
        stations_mm: stations on the pressed centre line, right and left.
        face_offset_mm: from the centre line to the faces that the bar touches, positive toward the inside.
        between_mm: distance between those two faces, wood to wood.
        lean_rad: greater lean from upright of the two legs there.
    """

    height_mm: float
    stations_mm: tuple[float, float]
    face_offset_mm: float
    between_mm: float
    lean_rad: float


@fixed
class BarSeat:
    """The seat of the spreader bar.

    Args:
        touch: height of its centre line, and where it bears on the part.
        layers: numbers of the layers that are cut away for it.
    """

    touch: BarTouch
    layers: tuple[int, ...]


@fixed
class Form:
    """The form.

    Args:
        pressing: how the part lies on it; of a form for several openings, the one that it was drawn for.
        makes: the parts that come off it.
        body: `block` or `band`.
        face: the form face with its run-on past the part's ends.
        layers: from the front.
        bar: the spreader bar's seat, None where there is none.
        relief_stations_mm: stations of the clamp reliefs on the pressed centre line, from the right end.
        strength: what it bears.
        weights: what it and the part weigh, and the sheets that it takes at least.
        findings: features moved or dropped, and the like.
    """

    pressing: Pressing
    makes: tuple[Made, ...]
    body: Literal["block", "band"]
    face: ArcSpline
    layers: tuple[Layer, ...]
    bar: BarSeat | None
    relief_stations_mm: tuple[float, ...]
    strength: Strength
    weights: Weights
    findings: tuple[Finding, ...] = ()

    @property
    def recipe(self) -> Recipe:
        """The recipe that it was made from."""
        return self.pressing.recipe

    @property
    def laminate(self) -> Laminate:
        """The plies."""
        return self.pressing.laminate

    @property
    def arch(self) -> Arch:
        """The arch that the part must end up as."""
        return self.pressing.arch

    @property
    def stack(self) -> Stack:
        """All that is cut."""
        return Stack(name=self.recipe.name, layers=self.layers)

    @property
    def pieces(self) -> tuple[tuple[Layer, Piece], ...]:
        """Every piece with its layer, front to back, right to left."""
        return self.stack.pieces

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """The findings of every stage, in the order of the stages."""
        made = (finding for part in self.makes for finding in part.findings)
        return (*self.pressing.all_findings, *made, *self.findings)

    @property
    def depth_mm(self) -> float:
        """Height of the stack across the wall."""
        last = self.layers[-1]
        return last.front_mm + last.thickness_mm
