"""Stage `recipe`: what the catalogue holds, one type for each of its data files. Values in mm, MPa, kg/m³."""

from __future__ import annotations

from typing import Literal

from formgen.fixed import fixed
from formgen.lengths import Units

#: What stands beside a figure of a glue that nobody looked up.
USUAL_VALUE = "usual value, fill in from your data sheet"


@fixed
class Wood:
    """A wood at 12 % moisture.

    Args:
        name: as the recipe names it.
        also: other names of the trade.
        modulus_mpa: modulus of elasticity along the grain.
        strength_mpa: bending strength (modulus of rupture).
        specific_gravity: oven-dry mass over volume at 12 %, None where the source gives none.
        kind: `hardwood` or `softwood`, which the published curvature limits tell apart; None for a shop's own wood.
        source: where the values come from.
        how_sure: `published`, `from memory` or `shop file`.
        change_radial: swelling across the growth rings for 1 % of moisture, as a ratio; None where it is not known.
        change_tangential: the same along the growth rings.
        change_how_sure: how sure the two are.
        southern_pine: counted with the hardwoods by the published curvature limits.
        glue: what this wood asks of a glue-up, empty for nothing in particular.
        glue_source: where that comes from.
        good_glues: adhesives that were found to hold on it, where others may not; empty where all do.
    """

    name: str
    also: tuple[str, ...] = ()
    modulus_mpa: float
    strength_mpa: float
    specific_gravity: float | None = None
    kind: Literal["hardwood", "softwood"] | None
    source: str
    how_sure: str
    change_radial: float | None
    change_tangential: float | None
    change_how_sure: str
    southern_pine: bool = False
    glue: str = ""
    glue_source: str = ""
    good_glues: tuple[str, ...] = ()


@fixed
class Panel:
    """A plywood or bending panel, of which the published least radius is the limit and not the strain.

    Args:
        name, also: as the recipe names it, and other names of the trade.
        layers: (thickness mm, number of veneers, least radius across the face grain mm, along it mm or None).
        veneer_modulus_mpa: modulus of its veneers along their grain.
        cross_ratio: modulus of a veneer across its grain over that along it.
        core_share: the middle veneer's share of the thickness of a panel of three; None where all are alike.
        source: where the radii come from.
        how_sure: `published` or `from memory`.
        modulus_source: where the modulus comes from.
    """

    name: str
    also: tuple[str, ...] = ()
    layers: tuple[tuple[float, int, float, float | None], ...]
    veneer_modulus_mpa: float
    cross_ratio: float
    core_share: float | None = None
    source: str
    how_sure: str
    modulus_source: str


@fixed
class Veneer:
    """Veneer as it is sold, of any wood: its thickness in mm and what it is taken for."""

    name: str
    also: tuple[str, ...] = ()
    thickness_mm: float
    what: str
    source: str
    how_sure: str


@fixed
class StockSheet:
    """A sheet as it is sold: the thickness is nominal, to be measured.

    Args:
        name, also: as the recipe names it, and other names of the trade.
        thickness_mm, length_mm, width_mm: nominal sizes.
        thickness_tolerance_mm: how far the thickness may be off either way and still be in order.
        density_kg_per_m3: for the weight of a form.
        source, how_sure: where the values come from.
    """

    name: str
    also: tuple[str, ...] = ()
    thickness_mm: float
    length_mm: float
    width_mm: float
    thickness_tolerance_mm: float
    density_kg_per_m3: float
    source: str
    how_sure: str


@fixed
class Between:
    """Something that lies on the part: its thickness pressed flat, in mm; `folds` where it is the bag's own film."""

    name: str
    also: tuple[str, ...] = ()
    thickness_mm: float
    what: str
    source: str
    how_sure: str
    folds: bool = False


@fixed
class Adhesive:
    """A class of adhesive; ranges are (least, most).

    Args:
        also: other names of the trade.
        spread_g_per_m2: glue on one line.
        open_min: minutes from spreading to full vacuum, at about 21 °C.
        clamp_min: minutes in the press, at about 21 °C.
        least_temperature_c: coldest shop it sets in.
        water_share: water by weight of the mixed glue, 0 to 1.
        gap_mm: thickest line that still holds.
        pressure_mpa: pressure that handbooks ask for.
        rigid: a glue line that does not creep.
        glue_line_stiffness: measured factor of spring-back for a glue line that slips, 1 for one that does not.
        relaxation: measured factor of spring-back for stress that eases in the press, 1 for none.
        cautions: names in `cautions()`.
        like: for a shop's own, the catalogue's glue that it is like.
        own: fields whose values are the shop's own.
        own_source: where the shop has them from.
    """

    name: str
    also: tuple[str, ...] = ()
    spread_g_per_m2: tuple[float, float]
    open_min: tuple[float, float]
    clamp_min: tuple[float, float]
    least_temperature_c: float
    water_share: float
    gap_mm: float
    pressure_mpa: tuple[float, float]
    rigid: bool
    cautions: tuple[str, ...]
    note: str
    source: str
    how_sure: str
    glue_line_stiffness: float = 1.0
    relaxation: float = 1.0
    like: str = ""
    own: tuple[str, ...] = ()
    own_source: str = ""

    @property
    def kind(self) -> str:
        """The catalogue's glue that it is, or is like."""
        return self.like or self.name

    def source_of(self, field: str) -> str:
        """Say where one value comes from; a figure from memory is no citation, and says what to do instead."""
        if field in self.own:
            return f"{self.name}: {self.own_source} (shop file)"
        if self.how_sure in ("from memory", "shop file"):
            return f"{self.name}: {USUAL_VALUE}"
        return f"{self.name}: {self.source} ({self.how_sure})"


@fixed
class ArchKind:
    """An arch that a recipe can name: what it is, and the choices of keys that must be given."""

    name: str
    also: tuple[str, ...] = ()
    what: str
    give: tuple[str, ...]


@fixed
class Caution:
    """A safety line, to stand beside the number that it belongs to.

    Args:
        line: as a shop reads it.
        line_in: as a shop reads it that works in inches, where that differs.
        steps: keys of the steps of the press day before which it stands, too.
    """

    name: str
    line: str
    source: str
    how_sure: str
    line_in: str = ""
    steps: tuple[str, ...] = ()

    def said(self, units: Units) -> str:
        """The line in one system of units."""
        return (self.line_in or self.line) if units == "in" else self.line
