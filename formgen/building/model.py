"""Building: the results: which form each opening comes off, and what sharing gives up and saves; mm."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from formgen.building.schedule.opening import Opening, Refused
from formgen.fixed import fixed
from formgen.press.setup import Pressing
from formgen.recipe.model import Recipe

if TYPE_CHECKING:
    from formgen.sheets.layout import Choice
    from formgen.sheets.model import Effort

#: How the curve of a form was settled: that of its one opening; by exact stabbing of the radii that plain arcs accept,
#: without or with legs; or the curve of one of several openings that agree with it point by point.
Kind = Literal["own", "arc", "arc with legs", "other curve"]


@fixed
class Member:
    """An opening on its form.

    Args:
        opening: the row of the schedule.
        pressing: the part as it is pressed on this form: its own plies, lengths and legs, the form's curve.
        asked_radius_mm: tightest radius asked for, on the part's centre line after release.
        made_radius_mm: the same as this form makes it.
        gives_up_mm: greatest deviation from the curve asked for, 0 where the form is its own.
        tolerance_mm: the part's tolerance.
    """

    opening: Opening
    pressing: Pressing
    asked_radius_mm: float
    made_radius_mm: float
    gives_up_mm: float
    tolerance_mm: float


@fixed
class SharedForm:
    """A form and the openings that come off it.

    Args:
        name: its folder's name: the opening's mark, or the first one's with `-shared` after it.
        recipe: what it is built from.
        kind: how its curve was settled.
        members: in the order of the schedule.
        layers: of sheet.
        layers_apart: of all forms, had each opening its own.
    """

    name: str
    recipe: Recipe
    kind: Kind
    members: tuple[Member, ...]
    layers: int
    layers_apart: int


@fixed
class Building:
    """The forms to be made, and the openings that come off each.

    Args:
        forms: in the order of their first openings.
        refused: rows that no form can be planned for.
        share: the share of each part's tolerance that sharing may use.
    """

    forms: tuple[SharedForm, ...]
    refused: tuple[Refused, ...]
    share: float

    @property
    def openings(self) -> int:
        """Rows that a form is made for."""
        return sum(len(form.members) for form in self.forms)


@fixed
class Nesting:
    """The way sheets are laid out: engine and effort.

    Args:
        engine: `auto`, `quick` or `dense`.
        effort: budget of moves of the layout that is kept; numbers of pieces are tried at `preview`.
    """

    engine: Choice = "auto"
    effort: Effort = "normal"
