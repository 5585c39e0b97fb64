"""Stage `recipe`: the stage itself, from a file to a recipe that was understood.

In: the recipe's path and, where it does not lie beside it, the shop file's. Out: a `Recipe` in mm, rad, kPa and MPa
with every default written out. All mistakes of both files are reported together.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError

from formgen.errors import RecipeError
from formgen.findings import finding
from formgen.lengths import Units
from formgen.quoted import escaped, visible
from formgen.recipe import catalogue, rules
from formgen.recipe.mistakes import Mistake, at_value, dotted, from_validation, left_empty
from formgen.recipe.model import Recipe
from formgen.recipe.named import names, with_proper_names
from formgen.recipe.schema import SHORT, LaminateAsk, PartAsk, RecipeFile
from formgen.recipe.sense import unlikely
from formgen.recipe.settings import Setting, with_settings
from formgen.recipe.shop import Shop
from formgen.recipe.short import filled, in_sections, with_name
from formgen.recipe.source import Source, read_source
from formgen.recipe.strict import Strict, defaults_used, fields_of, key_of

SHOP_FILE = "shop.yaml"
#: What the program settles where nobody types it, as fields of the recipe.
_SETTLED = (
    ("part", "end_trim_mm"),
    ("laminate", "allow_for_moisture"),
    ("laminate", "least_plies"),
    ("form", "sheet"),
    ("form", "body"),
    ("form", "backing_mm"),
    ("form", "clamp_reliefs"),
    ("form", "spreader_bar"),
)
#: Mistakes past these are counted, not told.
MOST_MISTAKES = 50

_SHOP_KEYS, _RECIPE_KEYS = ({f.alias for f in model.model_fields.values()} for model in (Shop, RecipeFile))

Model = TypeVar("Model", bound=Strict)


def load_recipe(path: Path, shop_path: Path | None = None, settings: Sequence[Setting] = ()) -> Recipe:
    """The recipe in a file, with the shop it is for.

    Args:
        path: the recipe, YAML.
        shop_path: the shop file; None takes `shop.yaml` beside the recipe if there is one, else the defaults.
        settings: values that win over those of the recipe.

    Raises:
        RecipeError: a file cannot be read or understood; one line for each mistake of either file.
    """
    if shop_path is None and (path.parent / SHOP_FILE).is_file():
        shop_path = path.parent / SHOP_FILE
    typed = read_source(path)
    if _reads_as_shop(typed):
        raise RecipeError(
            f"{typed.name}: this is a shop file, expected a recipe; name a recipe: {SHOP_FILE} beside it is "
            "read by itself, any other with --shop"
        )
    recipe_source = with_name(with_settings(in_sections(typed), settings))
    shop_source = _shop_source(shop_path) if shop_path is not None else None
    shop, shop_found = _understood(shop_source, Shop) if shop_source is not None else (Shop(), [])
    recipe, found = understood(recipe_source, shop, shop_source, path.parent)
    found += shop_found
    if found or recipe is None:
        raise _refused(found)
    return recipe


def understood(
    source: Source, shop: Shop | None, shop_source: Source | None, folder: Path
) -> tuple[Recipe | None, list[Mistake]]:
    """A recipe that was read already, or None and the mistakes in it and in the shop's names.

    Args:
        source: the recipe as plain data with its places.
        shop: the shop that it is for; None if that was not understood, which leaves no recipe either.
        shop_source: the shop's own plain data, whose names the recipe may use.
        folder: from where files that the recipe names are found.
    """
    source, unsaid = filled(with_proper_names(source, shop_source))
    asked, found = _understood(source, RecipeFile)
    found += unsaid
    found += names(source, shop_source)
    laminate = asked.laminate if asked is not None else _laminate_alone(source)
    if laminate is not None:
        found += rules.laminate(laminate, source)
    if found or asked is None or shop is None:
        return None, sorted(set(found))
    return _resolved(asked, shop, folder, source), []


def load_shop(path: Path) -> Shop:
    """The shop file alone; RecipeError with one line for each mistake."""
    source = _shop_source(path)
    shop, found = _understood(source, Shop)
    found += names(source, source)
    if found or shop is None:
        raise _refused(found)
    return shop


def _shop_source(path: Path) -> Source:
    source = read_source(path)
    return with_proper_names(source, source)


def is_shop_file(path: Path) -> bool:
    """Tell whether a file can be read and holds keys of a shop file alone; its mistakes are left to who reads it."""
    try:
        return _reads_as_shop(read_source(path))
    except RecipeError:
        return False


def _reads_as_shop(source: Source) -> bool:
    keys = set(source.data) if isinstance(source.data, dict) else set()
    return bool(keys & (_SHOP_KEYS - _RECIPE_KEYS)) and not keys & ((_RECIPE_KEYS | set(SHORT)) - _SHOP_KEYS)


def each_named_once(paths: Iterable[Path]) -> None:
    """Refuse recipes that would be written into one folder; what else is wrong with them is left to who reads them.

    Raises:
        RecipeError: two files bear one name (capitals do not tell names apart); one line names both.
    """
    first: dict[str, Path] = {}
    twice = []
    for path in paths:
        try:
            data = with_name(read_source(path)).data
        except RecipeError:
            continue
        name = data.get("name") if isinstance(data, dict) else None
        if isinstance(name, str):
            other = first.setdefault(name.casefold(), path)
            if other is not path:
                twice.append(
                    f"{visible(other)} and {visible(path)} are both named {escaped(name)}, expected a name of its own "
                    "for each, since it becomes the folder's name; change one"
                )
    if twice:
        raise RecipeError(*twice)


def _refused(found: Iterable[Mistake]) -> RecipeError:
    """The mistakes in order, the first of them told."""
    mistakes = sorted(set(found))
    more = len(mistakes) - MOST_MISTAKES
    told = [str(mistake) for mistake in mistakes[:MOST_MISTAKES]]
    if more > 0:
        told.append(f"{mistakes[-1].file}: {more} mistakes more; correct these first")
    aids = {mistake.aid.splitlines()[0]: mistake.aid for mistake in reversed(mistakes[:MOST_MISTAKES]) if mistake.aid}
    return RecipeError(*told, aid="\n\n".join(reversed(aids.values())))


def _understood(source: Source, model: type[Model]) -> tuple[Model | None, list[Mistake]]:
    """The file as its model, or None, and the mistakes in it."""
    found = [Mistake(file=source.name, line=n, column=c, message=text) for n, c, text in source.mistakes]
    if not isinstance(source.data, dict):
        expected = "expected keys with values, such as format: 1; see a recipe that works"
        return None, [*found, at_value(source, (), expected)]
    found += left_empty(source)
    try:
        return model.model_validate(source.data, context={"units": _units(source, model)}), found
    except ValidationError as error:
        return None, found + from_validation(error, source, model)


def _units(source: Source, model: type[Strict]) -> Units:
    """The file's units, else the model's; inches while they are themselves a mistake, since those read every text."""
    return "mm" if source.data.get("units", model.model_fields["units"].default) == "mm" else "in"


def _laminate_alone(source: Source) -> LaminateAsk | None:
    """The laminate of a recipe that has mistakes elsewhere."""
    if not isinstance(source.data, dict):
        return None
    try:
        return LaminateAsk.model_validate(source.data.get("laminate"), context={"units": _units(source, RecipeFile)})
    except ValidationError:
        return None


def _resolved(asked: RecipeFile, shop: Shop, folder: Path, source: Source) -> Recipe:
    """The recipe with its sheet: the form's, else the shop's, else the catalogue's for the recipe's units."""
    name = asked.form.sheet or shop.sheet or _of_stock(shop, asked.part) or catalogue.DEFAULT_SHEET[asked.units]
    sheet = catalogue.sheet(name, shop)
    findings = list(unlikely(asked, source.data, sheet, own_sheet=name in shop.sheets))
    if name not in shop.sheets:
        said = catalogue.sheets()[name].source
        findings.append(
            finding("recipe.sheet-nominal", asked.units, value=sheet.thickness_mm, sheet=name, sheet_source=said)
        )
    bag, ask = shop.bag, asked.press
    on_the_bag = ask.way == "part-bagged" and (ask.between is None or catalogue.BAG in ask.between)
    if on_the_bag and "bag" not in shop.model_fields_set:  # its thickness decides the form's size, and nobody gave it
        typed = f"{bag.thickness_mm:g}"
        findings.append(
            finding("recipe.bag-usual", asked.units, value=bag.thickness_mm, sheeting=bag.sheeting, typed=typed)
        )
    places = {dotted(path): place.at(source.name) for path, place in source.places.items() if path}
    return Recipe(
        asked=asked,
        shop=shop,
        folder=folder,
        sheet_name=name,
        sheet=sheet,
        findings=tuple(findings),
        file=source.name,
        places=places,
        free=_free(asked, shop, source),
        taken=_taken(asked, source),
    )


def _of_stock(shop: Shop, part: PartAsk) -> str | None:
    """The shop's sheet whose layers go least past the part's depth, in the fewest of them; None where it has none."""

    def stack(name: str) -> tuple[float, int]:
        thickness = shop.sheets[name].thickness_mm
        layers = max(1, math.ceil(part.pressed_depth_mm / thickness - 1e-9))
        return round(layers * thickness, 3), layers

    return min(shop.sheets, key=stack, default=None)


def _free(asked: RecipeFile, shop: Shop, source: Source) -> frozenset[str]:
    """The keys that the program may settle: what nobody typed, of what it knows to compute."""
    free = {f"{section}.{key_of(field)}" for section, field in _SETTLED if _untyped(asked, section, field)}
    if ("laminate", "plies") in source.places:
        free.discard("laminate.least_plies")
    if ("press", "side") not in source.places:
        free.add("press.side")
    if shop.sheet is not None or shop.sheets:
        free.discard("form.sheet")
    return frozenset(free)


def _untyped(asked: RecipeFile, section: str, field: str) -> bool:
    return field not in getattr(asked, section).model_fields_set


def _taken(asked: RecipeFile, source: Source) -> tuple[str, ...]:
    """Fields that nobody typed, those that were filled in included."""
    filled_in = {f"{a}.{b}" for a, b in (("laminate", "plies"), ("press", "side")) if (a, b) not in source.places}
    untyped = filled_in | set(defaults_used(asked))
    return tuple(name for name in fields_of(asked) if name in untyped)
