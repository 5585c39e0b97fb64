"""Options that several commands have, written once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

FILE = click.Path(path_type=Path, dir_okay=False)
FOLDER = click.Path(path_type=Path, file_okay=False)


def shop(recipe: str) -> Callable[[Any], Any]:
    """The shop file, beside a recipe where it is not named."""
    return click.option("--shop", type=FILE, help=f"Shop file; without it, shop.yaml beside the {recipe}.")


def output(gets: str) -> Callable[[Any], Any]:
    """The folder for results, and what it gets."""
    return click.option("--output", type=FOLDER, default=Path("output"), show_default=True, help=f"Folder that {gets}.")


folder = click.argument("folder", type=FOLDER)
as_json = click.option(
    "--json", "as_json", is_flag=True, help="Numbers for machines on stdout; everything else on stderr."
)
anyway = click.option(
    "--anyway", is_flag=True, help="Go on with forms that have a problem; all that is written says DO NOT PRESS."
)
settings = click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="KEY=VALUE",
    help="Try a value without writing it, such as form.backing=150; may be given several times.",
)
nesting = click.option(
    "--nesting",
    type=click.Choice(["auto", "quick", "dense"]),
    default="auto",
    show_default=True,
    help="What lays out the sheets: the dense engine where it is installed, or one of them.",
)
effort = click.option(
    "--effort",
    type=click.Choice(["preview", "normal", "most"]),
    default="normal",
    show_default=True,
    help="How many layouts are tried; a budget of moves, never of time.",
)
