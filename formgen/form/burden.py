"""Stage `form`: the result of what the form bears and what it weighs; kg, mm, MPa, kN."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
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
