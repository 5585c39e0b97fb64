"""A batch at its end, for people: shared forms, sheets, press days, and what stands where.

In: an `Outcome`, its lengths in mm. Out: tables in the schedule's units on stdout, the last words on stderr.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from formgen.cli.exit_codes import tell_people
from formgen.quoted import visible

if TYPE_CHECKING:
    from formgen.building.running.batch import Outcome
    from formgen.lengths import Units


def print_outcome(outcome: Outcome) -> None:
    """Print which openings share a form, what each gives up, and what that saves."""
    from formgen.cli.tables import console, new_table
    from formgen.lengths import write_fine

    found, units = outcome.record["found"], outcome.record["asked"]["units"]
    _print_remarks(found, units)
    table = new_table("Openings that share a form", ("form", "opening"))
    for name in ("radius asked", "radius made", "gives up", "of tolerance"):
        table.add_column(name, justify="right")
    table.add_column("layers")
    for form in found["forms"]:
        for i, member in enumerate(form["openings"] if len(form["openings"]) > 1 else ()):
            apart = f"{form['layers']} for {form['layers_apart']} apart"
            table.add_row(
                form["name"] if i == 0 else "",
                member["opening"],
                write_fine(member["radius_asked_mm"], units),
                write_fine(member["radius_made_mm"], units),
                write_fine(member["gives_up_mm"], units),
                f"{100.0 * member['gives_up_mm'] / member['tolerance_mm']:.0f} %",
                apart if i == 0 else "",
                end_section=i == len(form["openings"]) - 1,
            )
    if found["forms_saved"]:
        console().print(table)
    click.echo(
        f"{found['openings']} openings on {len(found['forms'])} forms: {found['forms_saved']} forms and "
        f"{found['layers_saved']} layers saved by sharing"
    )
    if found["sheets"]:
        _print_sheets(found["sheets"])
    if found["press_days"]:
        _print_press_days(found["press_days"])


def _print_remarks(found: dict[str, Any], units: Units) -> None:
    """Print how much can be made, and what is wrong, by opening."""
    from rich.text import Text

    from formgen.building.summary.remarks import REMARK_HEADER, remark_cells, remark_of
    from formgen.cli.screen import STYLE
    from formgen.cli.tables import console, new_table

    click.echo(found["verdict"])
    table = new_table("What is wrong", REMARK_HEADER, overflow="fold")
    for remark in map(remark_of, found["remarks"]):
        style = STYLE[remark.finding.severity]
        table.add_row(*(Text(cell, style=style) for cell in remark_cells(remark, units)))
    if found["remarks"]:
        console().print(table)


def _print_sheets(found: dict[str, Any]) -> None:
    """Print what the sheets take and save; every number can be counted on the files or read in the record."""
    for board in found["boards"]:
        offcuts = f" and {board['offcuts']} offcuts" if board["offcuts"] else ""
        click.echo(
            f"{board['board']}: {board['new']} sheets{offcuts}, laid out by the {board['engine']} engine at "
            f"{board['effort']} effort ({board['why']}); by area no layout takes fewer than {board['new_at_least']}"
        )
    click.echo(
        f"{found['pieces']} pieces, {found['pieces_m2']:.2f} m², {100 * found['usage']:.1f} % of the sheets; "
        f"{found['least_pieces']} pieces a layer at least"
    )
    if found["saved_by_nesting"] is not None:
        boxes = found["new_in_boxes"]
        click.echo(f"{found['saved_by_nesting']} sheets saved by nesting: in boxes around the pieces they take {boxes}")
    saved = found["saved_by_sharing"]
    if saved:
        click.echo(
            f"{saved['new']} sheets and {saved['pieces_m2']:.2f} m² of pieces saved by sharing: a form for each "
            f"opening takes {found['apart']['new']} sheets and {found['apart']['pieces_m2']:.2f} m² (both laid out "
            "at preview effort)"
        )


def _print_press_days(found: dict[str, Any]) -> None:
    """Day by day what is taken out and what is laid up, and what is proven of the plan."""
    from formgen.cli.tables import console, new_table

    table = new_table("Press days", ("day", "take out", "lay up"))
    for day, outs, ups in found["by_day"]:
        table.add_row(day, outs, ups, end_section=True)
    console().print(table)
    click.echo(found["headline"])
    for finding in found["findings"]:
        tell_people(finding["message"])


def tell_end(outcome: Outcome, output: Path) -> None:
    """Print what was built, what stood, what was refused, and what nobody asks for any longer."""
    lost = f", {len(outcome.not_made)} refused" if outcome.not_made else ""
    tell_people(f"{len(outcome.built)} built, {outcome.stood} stood already{lost}; see {output}")
    if outcome.left_over:
        tell_people(f"no longer asked for, left as they are: {', '.join(map(visible, outcome.left_over))}")
