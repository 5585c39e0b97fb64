"""The commands, one function each.

What they need is imported inside them, so that help and completion answer at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from formgen import __version__
from formgen.cli import options
from formgen.cli.batch.command import batch
from formgen.cli.exit_codes import PARTLY, REFUSED, Words, guarded, say, tell_people
from formgen.cli.new.command import new
from formgen.cli.send import send, sheets
from formgen.cli.show import show
from formgen.cli.streams import emit_json, stages
from formgen.errors import FormgenError, VerifyError

if TYPE_CHECKING:
    from formgen.holding.model import Holding
    from formgen.outputs.step.kernel import Kernel
    from formgen.recipe.settings import Setting

_recipes = click.argument("recipes", nargs=-1, required=True, type=options.FILE)


#: What somebody reads who types the name alone.
FIRST = """\
formgen turns a part recipe into the bending form that the router cuts.
  formgen new porch-door          writes a recipe: put your sizes in
  formgen check porch-door.yaml   answers on one screen and writes nothing
  formgen build porch-door.yaml   writes drawings, pages and the router's files
  formgen batch openings.csv --base porch-door.yaml   the same for a building
formgen --help lists all commands, formgen COMMAND --help what each takes."""


@click.group(
    cls=Words,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit codes: 0 done; 1 the recipe or the part is refused; 2 the command was not understood; "
    "3 files differ from the model; 4 files or answers cannot be read or written; "
    "5 files agree as far as they could be compared; 130 interrupted.",
)
@click.version_option(__version__, prog_name="formgen")
@click.pass_context
def main(ctx: click.Context) -> None:
    """From a part recipe to the bending form that the router cuts."""
    if ctx.invoked_subcommand is None:
        click.echo(FIRST)


main.add_command(batch)
main.add_command(sheets)
main.add_command(send)
main.add_command(show)
main.add_command(new)


@main.command()
@_recipes
@options.shop("recipe")
@options.output("gets one folder for each part")
@options.anyway
@options.as_json
@guarded
def build(recipes: tuple[Path, ...], shop: Path | None, output: Path, *, anyway: bool, as_json: bool) -> int:
    """Make the form of each recipe, and check its files.

    STEP, STL, drawings of the layers for the router, pages for the bench and the job record, each read back and held
    against the model. A shop file among the recipes is left out. A form with a problem (the part will break, will not
    hold, cannot be made as drawn) is refused and nothing of it written.
    """
    from formgen.outputs.step.kernel import warm_kernel
    from formgen.recipe.load import each_named_once

    recipes = _without_shop_files(recipes)
    each_named_once(recipes)
    with warm_kernel() as kernel:
        made, refused = _built(recipes, shop, output, kernel, anyway=anyway)
    if as_json:
        import json

        _emit_each([json.loads(job.read_text(encoding="utf-8")) for job in made], len(recipes))
    return refused


def _built(
    recipes: tuple[Path, ...], shop: Path | None, output: Path, kernel: Kernel | None, *, anyway: bool
) -> tuple[list[Path], int]:
    """The job records of the forms that were made, and the exit code."""
    from formgen.outputs.folder.names import JOB_FILE
    from formgen.outputs.folder.write import write_all
    from formgen.pipeline import refuse_problems, run
    from formgen.recipe.load import load_recipe
    from formgen.reports.pages import PAGES

    made, code = [], 0
    for path in recipes:
        try:
            with stages(path.name) as step:
                step("recipe")
                form = run(load_recipe(path, shop), step)
                if not anyway:
                    refuse_problems(form)
                folder = write_all(form, output, step, kernel, pages=PAGES)
        except FormgenError as err:
            if len(recipes) == 1:
                raise
            code = say(err, REFUSED)
            continue
        _tell_findings(form)
        size = f"{len(form.layers)} layers, {len(form.pieces)} pieces"
        tell_people(f"{path.name}: {size}, written to {folder} and read back")
        made.append(folder / JOB_FILE)
    return made, code


@main.command()
@_recipes
@options.shop("recipe")
@click.option("--all", "everything", is_flag=True, help="Print all tables, and every finding with its source.")
@options.settings
@options.as_json
@guarded
def check(
    recipes: tuple[Path, ...], shop: Path | None, settings: tuple[str, ...], *, everything: bool, as_json: bool
) -> int:
    """Answer everything and write nothing.

    One screen: may it be pressed, eight answers, what to mend first. A shop file among several recipes is left out.
    A part that must not be pressed is an answer too: DO NOT PRESS stands at the top, and the exit code is 0. It is 1
    where the recipe itself is refused. With --set a value is tried: it wins over the recipe's and is written nowhere.
    """
    from formgen.outputs.folder.names import refuse_taken_names
    from formgen.outputs.table import made_names
    from formgen.pipeline import run
    from formgen.recipe.load import load_recipe
    from formgen.recipe.schema import SHORT
    from formgen.recipe.settings import read_settings
    from formgen.reports.pages import PAGES

    tried = read_settings(settings, SHORT)
    recipes = _without_shop_files(recipes)
    refused = 0
    records = []
    for path in recipes:
        try:
            form = run(load_recipe(path, shop, tried))
            refuse_taken_names(form, made_names(PAGES, form))
        except FormgenError as err:
            if len(recipes) == 1:
                raise
            refused = say(err, REFUSED)
            continue
        if as_json:
            from formgen.outputs.record.job import job_record

            records.append(job_record(form))
            _tell_findings(form)
        else:
            from formgen.cli.tables import check_command, print_answers, print_decisions

            if path != recipes[0]:
                click.echo()
            (print_decisions if everything else print_answers)(form, check_command(path, settings))
        if tried:
            _tell_how_to_keep(path, tried)
    if as_json:
        _emit_each(records, len(recipes))
    return refused


@main.command()
@options.folder
@options.as_json
@guarded
def verify(folder: Path, *, as_json: bool) -> int:
    """Make a finished form's files again and compare.

    It names what was changed, and what could not be compared.
    """
    from formgen.outputs.folder.verify import verify as read_back
    from formgen.outputs.folder.whole import refuse_unnameable
    from formgen.outputs.record.asked import recipe_from_folder
    from formgen.pipeline import run
    from formgen.reports.pages import PAGES

    refuse_unnameable(folder)
    verified = read_back(folder, run(recipe_from_folder(folder)), PAGES)
    differences, left = list(verified.differences), list(verified.not_compared)
    if as_json:
        agrees = not differences + left
        emit_json({"folder": folder.name, "agrees": agrees, "differences": differences, "not_compared": left})
    if differences:
        raise VerifyError(*differences)
    if left:
        return say("\n".join([*left, f"{folder}: agrees as far as it was compared; {len(left)} not compared"]), PARTLY)
    tell_people(f"{folder}: every file agrees with the model")
    return 0


@main.command()
@click.argument("what", type=click.Choice(["recipe", "shop"]), default="recipe")
@guarded
def schema(what: str) -> int:
    """Print the JSON Schema of a recipe or a shop file.

    An editor that knows it checks while you type.
    """
    from formgen.recipe.published import recipe_schema, shop_schema

    emit_json(recipe_schema() if what == "recipe" else shop_schema())
    return 0


@main.command()
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
@guarded
def completion(shell: str) -> int:
    """Print a shell's completion script.

    Put it where that shell looks for completions.
    """
    from click.shell_completion import get_completion_class

    kind = get_completion_class(shell)
    if kind is None:
        raise click.UsageError(f"no completion for {shell}")
    click.echo(kind(main, {}, "formgen", "_FORMGEN_COMPLETE").source())
    return 0


def _without_shop_files(paths: tuple[Path, ...]) -> tuple[Path, ...]:
    """The recipes among several files: `recipes/*.yaml` names the shop file that lies beside them as well."""
    from formgen.recipe.load import is_shop_file

    if len(paths) == 1:
        return paths
    shops = {path for path in paths if is_shop_file(path)}
    for path in shops:
        click.echo(f"{path.name}: a shop file, left out", err=True)
    return tuple(path for path in paths if path not in shops) or paths


def _tell_how_to_keep(path: Path, tried: tuple[Setting, ...]) -> None:
    """Say that the values stand in no file, and the line to type for each."""
    from formgen.recipe.schema import SHORT
    from formgen.recipe.settings import lines_to_keep
    from formgen.recipe.source import read_source

    tell_people("Tried, and written nowhere. To keep it, type:")
    for line in lines_to_keep(read_source(path), tried, SHORT):
        tell_people(f"  {line}")


def _tell_findings(form: Holding) -> None:
    from formgen.cli.tables import findings_text

    if not form.verdict.may:
        tell_people(f"{form.recipe.name}: {form.verdict.text}")
    for line in findings_text(form):
        tell_people(line)


def _emit_each(records: list[Any], asked: int) -> None:
    """JSON on stdout: the record itself where one thing was asked for, else a list."""
    emit_json(records[0] if asked == 1 and records else records)
