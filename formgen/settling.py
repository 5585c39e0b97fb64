"""The tour's first step: what nobody typed is settled so that it works.

In: a recipe, and how to run it through the stages. Out: the recipe with what the program chose written out. A trial
with the usual values comes first; where it finds something that another value of a free key would cure, that value is
tried, the earliest key first, until nothing is found that a free key could help. What was typed is never touched, and
what did not help is taken back: a warning that is left is about what was typed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

from formgen.errors import FormgenError
from formgen.findings import Finding
from formgen.findings.registry import Severity
from formgen.fixed import fixed
from formgen.holding.model import Holding
from formgen.laminate.choice import possible_counts
from formgen.recipe import catalogue
from formgen.recipe.model import KEY_IN_TEXT, Recipe
from formgen.recipe.schema import ReliefAsk

#: No more trials than this. Most recipes take one, and a wide arch in a bag about eight.
MOST_TRIALS = 24
#: Steps in which a width is chosen (mm), by the recipe's units.
STEP_MM = {"mm": 5.0, "in": 6.35}
#: The longest waste at an end, the narrowest and the widest ring that are chosen unasked (mm). Practice, no source.
LONGEST_TRIM_MM, NARROWEST_MM, WIDEST_MM = 300.0, 40.0, 450.0
#: A ring grows by so much where a clamp relief has no room (mm), and reliefs move together by this share.
MORE_BACKING_MM, CLOSER = 20.0, 0.75


@fixed
class Trial:
    """A recipe run through the stages: what was made, or why nothing was."""

    recipe: Recipe
    made: Holding | None
    refused: FormgenError | None

    @property
    def found(self) -> tuple[Finding, ...]:
        """Problems and warnings in it."""
        every = () if self.made is None else self.made.all_findings
        return tuple(f for f in every if f.severity is not Severity.NOTE)

    @property
    def faults(self) -> tuple[bool, int, int, int]:
        """Order trials by: refused, problems, warnings that a free key might cure, all warnings."""
        problems = sum(f.severity is Severity.PROBLEM for f in self.found)
        curable = sum(any(f.code in cure.codes for cure in CURES) for f in self.found)
        return self.refused is not None, problems, curable, len(self.found)


@fixed
class Cure:
    """A key that nobody typed, what it might cure, and its next value.

    Args:
        key: `form.backing`, as a recipe names it.
        codes: findings that it may cure.
        keys: keys that begin a refusal which it may cure.
        next: from the trial to the next value of the key; None where there is no further one.
    """

    key: str
    codes: frozenset[str]
    keys: frozenset[str] = frozenset()
    next: Callable[[Trial], Any]

    def asked_for(self, trial: Trial) -> bool:
        """True if something of a trial is in its line."""
        if trial.refused is not None:
            named = KEY_IN_TEXT.search(str(trial.refused.__cause__ or trial.refused))
            return named is not None and named[0] in self.keys
        return any(f.code in self.codes for f in trial.found)


def settled(recipe: Recipe, make: Callable[[Recipe], Holding]) -> Holding:
    """The form of a recipe, with what nobody typed settled.

    Args:
        recipe: with the keys that are free.
        make: runs a recipe through the stages.

    Raises:
        FormgenError: a stage that cannot go on whatever is chosen.
    """
    if not recipe.free:
        return make(recipe)
    free, bare = recipe.free, replace(recipe, free=frozenset())
    tried: dict[str, Trial] = {}

    def attempt(recipe: Recipe) -> Trial:
        asked = recipe.asked.model_dump_json()
        if asked not in tried:
            tried[asked] = _tried(recipe, make)
        return tried[asked]

    best = _cured(attempt(bare), free, attempt)
    for key in sorted(free):  # what did not help is taken back
        without = _with(best.recipe, key, _value(bare, key))
        if without.asked != best.recipe.asked:
            best = min(attempt(without), best, key=lambda trial: trial.faults)
    if best.made is None:
        raise best.refused or AssertionError("a trial makes a form or is refused")
    return best.made


def _tried(recipe: Recipe, make: Callable[[Recipe], Holding]) -> Trial:
    try:
        return Trial(recipe=recipe, made=make(recipe), refused=None)
    except FormgenError as err:
        return Trial(recipe=recipe, made=None, refused=err)


def _cured(best: Trial, free: frozenset[str], attempt: Callable[[Recipe], Trial]) -> Trial:
    """The best trial that cure after cure leads to; a key that leads to nothing better is left at its usual value."""
    keys = set(free)
    while True:
        key, trials = "", [best]
        while len(trials) < MOST_TRIALS and (step := _next(trials, keys)) is not None:
            key = key or step[0]
            trials.append(attempt(step[1]))
        better = min(trials, key=lambda trial: trial.faults)  # of those alike the first
        if not key:
            return best
        if better is best:
            keys.remove(key)
        best = better


def _next(trials: Sequence[Trial], keys: Collection[str]) -> tuple[str, Recipe] | None:
    """The next recipe to try, by the first cure that leads to one that was not tried yet."""
    trial, seen = trials[-1], [held.recipe.asked for held in trials]
    for cure in CURES:
        if cure.key in keys and cure.asked_for(trial) and (value := cure.next(trial)) is not None:
            recipe = _with(trial.recipe, cure.key, value)
            if recipe.asked not in seen:
                return cure.key, recipe
    return None


def _value(recipe: Recipe, key: str) -> Any:
    section, field = _FIELDS[key]
    return getattr(getattr(recipe.asked, section), field)


def _with(recipe: Recipe, key: str, value: Any) -> Recipe:
    """The recipe with one key at a value."""
    section, field = _FIELDS[key]
    table = getattr(recipe.asked, section).model_copy(update={field: value})
    changed = replace(recipe, asked=recipe.asked.model_copy(update={section: table}))
    if key != "form.sheet":
        return changed
    name = value or recipe.usual_sheet
    return replace(changed, sheet_name=name, sheet=catalogue.sheet(name, recipe.shop))


# --- the next value of each key


def _up(mm: float, recipe: Recipe) -> float:
    step = STEP_MM[recipe.units]
    return step * math.ceil(mm / step - 1e-9)


def _over(trial: Trial, codes: frozenset[str] | set[str]) -> float:
    """Times that the worst of some findings is over its limit, 1 at the least."""
    found = (f for f in trial.found if f.code in codes and f.value is not None and f.limit)
    return max((abs(f.value / f.limit) for f in found if f.value and f.limit), default=1.0)


def _more_plies(trial: Trial) -> int | None:
    """The next number of plies: a pull falls with the square of it, a ply's own bend with itself."""
    made, laminate = trial.made, trial.recipe.asked.laminate
    if made is None or laminate.thickness_mm is None:
        return None
    now = len(made.pressing.laminate.plies)
    ends = made.bending.ends if any(f.code == "press.closing-force" for f in trial.found) else ()
    pulls = [end.closing.least_n for end in ends if end.closing is not None]
    clamp_n = next((f.limit for f in trial.found if f.code == "press.closing-force"), None) or 1.0
    wanted = max(now + 1, math.ceil(now * math.sqrt(max(pulls, default=0.0) / clamp_n)))
    wanted = max(wanted, math.ceil(now * _over(trial, {"laminate.structural-radius"}) - 1e-6))
    counts = [n for n in possible_counts(laminate.thickness_mm, trial.recipe.shop.ply_thicknesses_mm) if n > now]
    return next((n for n in counts if n >= wanted), counts[-1] if counts else None)


def _longer_trim(trial: Trial) -> float | None:
    """The end past what its mitre or its tail takes, a quarter longer at the least."""
    made, now = trial.made, trial.recipe.part.end_trim_mm
    if made is None:
        return None
    mitre = [f.value + 3.0 for f in trial.found if f.code == "curve.mitre-trim" and f.value is not None]
    tails = [tail.length_mm for tail in made.pressing.laminate.tails or ()]
    drawn = made.pressing.drawing_down
    tails += [] if drawn is None else [end.zone_mm for end in drawn.ends]
    wanted = _up(max(1.25 * now, *mitre, *tails, 0.0), trial.recipe)
    return wanted if now < wanted <= LONGEST_TRIM_MM else None


def _wider(trial: Trial) -> float | None:
    """A ring stiff enough, as the cube of its width, and wide enough for its clamps; narrower where it is refused."""
    now, recipe = trial.recipe.backing_mm, trial.recipe
    if trial.refused is not None:
        narrower = _up(0.85 * now, recipe) - STEP_MM[recipe.units]
        return narrower if narrower >= NARROWEST_MM else None
    stiff = now * 1.02 * _over(trial, {"form.gives", "form.breaks", "form.hollow"}) ** (1.0 / 3.0)
    room = MORE_BACKING_MM if any(f.code.startswith("form.relief-") for f in trial.found) else 0.0
    wanted = _up(max(stiff, now + room, now + STEP_MM[recipe.units]), recipe)
    return wanted if wanted <= WIDEST_MM else None


def _closer(trial: Trial) -> ReliefAsk | None:
    """Clamp reliefs closer together."""
    made = trial.made
    if made is None or len(made.relief_stations_mm) < 2:
        return None
    asked = trial.recipe.asked.form.clamp_reliefs
    usual = asked if isinstance(asked, ReliefAsk) else ReliefAsk()
    stations = made.relief_stations_mm
    widest = max(b - a for a, b in pairwise(stations))
    spacing = CLOSER * min(usual.spacing_mm, widest)
    return usual.model_copy(update={"spacing_mm": spacing}) if spacing > trial.recipe.shop.clamp.jaw_mm else None


def _thinner_sheet(trial: Trial) -> str | None:
    """The next thinner board of the catalogue in the same units."""
    now, sheets = trial.recipe.sheet, catalogue.sheets()
    ending = trial.recipe.sheet_name.rsplit(" ", 1)[-1]
    thinner = [name for name, sheet in sheets.items() if sheet.thickness_mm < now.thickness_mm]
    alike = [name for name in thinner if name.endswith(f" {ending}")]
    return max(alike, key=lambda name: sheets[name].thickness_mm, default=None)


def _other_side(trial: Trial) -> str | None:
    made = trial.made
    if made is not None:
        return "female" if made.pressing.side == "male" else "male"
    return {"auto": "female", "female": "male", "male": None}[trial.recipe.asked.press.side]


_PLY_CODES = frozenset({"press.closing-force", "press.plies-gape", "press.too-stiff", "laminate.structural-radius"})
_GIVES = frozenset({"form.gives", "form.breaks", "form.hollow"})
_RELIEFS = frozenset({"form.relief-none", "form.relief-pair", "form.relief-dropped"})
_SPACED = frozenset({"press.caul-spacing", "press.caul-pressure", "press.foot-no-clamp", "holding.leave-clamps-on"})

#: In the order of the stages: a key that is settled late is chosen for what the earlier ones have become.
CURES: tuple[Cure, ...] = (
    Cure(key="form.sheet", codes=frozenset({"form.no-channel"}), next=_thinner_sheet),
    Cure(
        key="laminate.allow_for_moisture",
        codes=frozenset({"laminate.moisture-pull-in"}),
        next=lambda trial: None if trial.recipe.asked.laminate.allow_for_moisture else True,
    ),
    Cure(
        key="part.end_trim",
        codes=frozenset({"curve.mitre-trim", "press.end-stands-off", "press.too-stiff"}),
        next=_longer_trim,
    ),
    Cure(key="laminate.least_plies", codes=_PLY_CODES, next=_more_plies),
    Cure(key="form.clamp_reliefs", codes=_SPACED, next=_closer),
    Cure(
        key="form.body",
        codes=frozenset({"form.hollow"}),
        keys=frozenset({"form.body", "form.backing"}),
        next=lambda trial: "block" if trial.recipe.asked.form.body == "band" else "band",
    ),
    Cure(
        key="form.backing",
        codes=_GIVES | _RELIEFS,
        keys=frozenset({"form.backing", "form.body", "form.sheet"}),
        next=_wider,
    ),
    Cure(key="form.spreader_bar", codes=frozenset(), keys=frozenset({"form.spreader_bar"}), next=lambda _trial: False),
    Cure(key="press.side", codes=_RELIEFS, keys=frozenset({"form.backing", "form.body"}), next=_other_side),
)
#: Where each key stands.
_FIELDS: Mapping[str, tuple[str, str]] = {
    "form.sheet": ("form", "sheet"),
    "laminate.allow_for_moisture": ("laminate", "allow_for_moisture"),
    "part.end_trim": ("part", "end_trim_mm"),
    "laminate.least_plies": ("laminate", "least_plies"),
    "form.clamp_reliefs": ("form", "clamp_reliefs"),
    "form.body": ("form", "body"),
    "form.backing": ("form", "backing_mm"),
    "form.spreader_bar": ("form", "spreader_bar"),
    "press.side": ("press", "side"),
}
