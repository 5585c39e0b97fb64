"""Options that several commands have, written once."""

from __future__ import annotations

from pathlib import Path

import click

shop = click.option(
    "--shop",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Shop file; without it, shop.yaml beside the recipe.",
)
as_json = click.option(
    "--json", "as_json", is_flag=True, help="Numbers for machines on stdout; everything else on stderr."
)
anyway = click.option(
    "--anyway", is_flag=True, help="Go on with forms that have a problem; all that is written says DO NOT PRESS."
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
