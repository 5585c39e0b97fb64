"""`formgen new`: which of its three ways is taken, and the file."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from formgen.cli import options
from formgen.cli.exit_codes import guarded, tell_people
from formgen.errors import ExportError, FormgenError, RecipeError
from formgen.lengths import Units

#: Options that stand for a key of the recipe, with what they say of themselves.
KEYS: Mapping[str, tuple[str, str]] = {
    "arch": ("part.arch.kind", "Kind of arch; `formgen show arches`."),
    "span": ("part.arch.span", "Its span."),
    "rise": ("part.arch.rise", "Its rise."),
    "radius": ("part.arch.radius", "Its radius."),
    "sweep": ("part.arch.sweep", "Its sweep, such as '84 deg'."),
    "offset": ("part.arch.offset", "Sideways offset of a serpentine."),
    "measured-on": ("part.measured_on", "Face that was measured: inside, outside or centre."),
    "legs": ("part.legs", "Straight legs below the springing points."),
    "legs-run": ("part.legs.run", "How legs stand under an arch that springs at an angle: plumb or tangent."),
    "depth": ("part.depth", "Across the wall; of a casing, off the wall."),
    "thickness": ("laminate.thickness", "All plies together; of a casing, the width of its face."),
    "wood": ("laminate.wood", "Wood of the plies; `formgen show woods`."),
    "plies": ("laminate.plies", "How many; without it the program chooses."),
    "side": ("press.side", "Male or female; without it the program chooses."),
    "way": ("press.way", "part-bagged, form-bagged or clamped."),
}
#: What has to be given where nothing is asked, beside the arch's own sizes.
NEEDED = ("arch", "depth", "thickness", "wood")


def _keys(command: Any) -> Any:
    for name, (key, said) in reversed(list(KEYS.items())):
        command = click.option(f"--{name}", key.replace(".", "__"), metavar="TEXT", help=said)(command)
    return command


@click.command()
@click.argument("name", required=False)
@click.option("--units", type=click.Choice(["in", "mm"]), help="Units of bare numbers; inches where nobody says.")
@click.option("--lies", type=click.Choice(["liner", "casing"]), help="Across the wall, or flat on it.")
@_keys
@click.option("--to", "folder", type=options.FOLDER, default=Path(), help="Folder to write NAME.yaml in.")
@guarded
def new(name: str | None, units: Units | None, lies: Any, folder: Path, **given: str | None) -> int:
    """Write a recipe, NAME.yaml.

    At a terminal it asks for the part, shows what it becomes, and writes what was answered. With options for the part
    it asks nothing; elsewhere it writes a commented recipe with invented numbers to start from. An existing file is
    never overwritten.
    """
    from formgen.recipe.start import answered_recipe, starting_recipe

    answers = {key.replace("__", "."): value.strip() for key, value in given.items() if value is not None}
    asks = not answers and lies is None and at_a_terminal()
    if name is None and not asks:
        raise click.UsageError("Missing argument 'NAME'.")
    if name is not None:
        starting_recipe(name, "in")  # refuses what cannot be a folder's name, before anybody answers for nothing
        _refuse_taken(folder / f"{name}.yaml")
    if asks:
        name, units, lies, answers = _asked(name, units, folder)
    elif answers or lies is not None:
        _refuse_unsound(answers, units or "in", folder)
    if name is None:
        raise click.UsageError("Missing argument 'NAME'.")
    text = answered_recipe(name, units or "in", answers, lies) if answers else starting_recipe(name, units or "in")
    path = folder / f"{name}.yaml"
    folder.mkdir(parents=True, exist_ok=True)
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        _refuse_taken(path)
    tell_people(f"wrote {path}; look at it, then: formgen check {path}")
    return 0


def at_a_terminal() -> bool:
    """Tell whether somebody is there to answer."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def _asked(name: str | None, units: Units | None, folder: Path) -> tuple[str, Units, Any, dict[str, str]]:
    """Ask a person; nothing is written while they do."""
    from formgen.cli.new.asking import Asking, ask_name

    answers: dict[str, str] = {} if units is None else {"units": units}
    try:
        if name is None:
            name = ask_name()
            _refuse_taken(folder / f"{name}.yaml")
        lies = Asking(answers, _shop_in(folder)).ask_all()
    except click.Abort as err:
        raise KeyboardInterrupt from err
    said: Any = answers.pop("units")
    return name, said, lies, answers


def _refuse_taken(path: Path) -> None:
    if path.exists():
        raise ExportError(f"{path} exists already, expected a new name: choose another, or move the file away")


def _refuse_unsound(answers: dict[str, str], units: Units, folder: Path) -> None:
    """Refuse options that are no recipe, or one of which no form comes; show what becomes of a good one.

    Raises:
        RecipeError: what is missing, else the sentences of the recipe's own check, with the option for the key.
    """
    from formgen.cli.new.probe import plainly, recipe_of
    from formgen.cli.new.shown import answer_lines
    from formgen.recipe.start import UNANSWERED

    missing = [name for name in NEEDED if KEYS[name][0] not in answers]
    if missing:
        lines = (f"--{name} is missing, expected it where nothing is asked; add it" for name in missing)
        raise RecipeError(*lines)
    try:
        recipe, mistakes = recipe_of({**UNANSWERED, **answers, "units": units}, _shop_in(folder))
        if recipe is not None:
            for line in answer_lines(recipe):
                tell_people(line)
    except FormgenError as err:
        raise RecipeError(*(_by_option(line) for line in plainly(err).splitlines())) from err
    if mistakes:
        raise RecipeError(*dict.fromkeys(_by_option(mistake.message) for mistake in mistakes))


def _shop_in(folder: Path) -> Path | None:
    from formgen.recipe.load import SHOP_FILE

    return folder / SHOP_FILE if (folder / SHOP_FILE).is_file() else None


def _by_option(message: str) -> str:
    """A sentence with the option in the place of its key."""
    for name, (key, _) in sorted(KEYS.items(), key=lambda pair: -len(pair[1][0])):
        if message.startswith(key):
            return f"--{name}{message.removeprefix(key)}"
    return message
