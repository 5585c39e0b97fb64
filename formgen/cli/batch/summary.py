"""A batch at its end, for people: shared forms, sheets, press days, and what stands where.

In: an `Outcome`, its lengths in mm. Out: tables in the schedule's units on stdout, the last words on stderr.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from formgen.cli.exit_codes import tell_people
from formgen.findings import Severity
from formgen.quoted import visible

if TYPE_CHECKING:
    from formgen.building.running.batch import Outcome
    from formgen.lengths import Units

#: Lines of a long table on the screen, and marks in a line; the rest stands in its file.
LINES, MARKS = 10, 4


def print_outcome(outcome: Outcome) -> None:
    """Print which openings share a form, what each gives up, and what that saves."""
    from formgen.building.summary.record import CSV_FILE
    from formgen.cli.tables import console, new_table
    from formgen.lengths import write_fine

    found, units = outcome.record["found"], outcome.record["asked"]["units"]
    _print_remarks(found, units)
    table = new_table("Openings that share a form", ("form", "opening"))
    for name in ("radius asked", "radius made", "gives up", "of tolerance"):
        table.add_column(name, justify="right")
    table.add_column("layers")
    shared = [form for form in found["forms"] if len(form["openings"]) > 1]
    room = LINES
    for form in shared:
        for i, member in enumerate(form["openings"][:room]):
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
        room = max(0, room - len(form["openings"]))
    if found["forms_saved"]:
        console().print(table)
        _print_more(sum(len(form["openings"]) for form in shared) - LINES, CSV_FILE)
    click.echo(
        f"{found['openings']} openings on {len(found['forms'])} forms: {found['forms_saved']} forms and "
        f"{found['layers_saved']} layers saved by sharing"
    )
    if found["sheets"]:
        _print_sheets(found["sheets"])
    if found["press_days"]:
        _print_press_days(found["press_days"])


def _print_more(count: int, file: str) -> None:
    """Say how many lines of a table stand in its file alone."""
    if count > 0:
        click.echo(f"{count} more in {file}")


def _print_remarks(found: dict[str, Any], units: Units) -> None:
    """Print how much can be made, and what is wrong, by opening."""
    from formgen.building.summary.record import PAGE_FILE
    from formgen.building.summary.remarks import BRIEF_HEADER, REMARK_HEADER, brief_rows, remark_cells, remark_of
    from formgen.cli.screen import STYLE
    from formgen.cli.tables import console, new_table

    click.echo(found["verdict"])
    remarks = [remark_of(held) for held in found["remarks"]]
    if not remarks:
        return
    brief = len(remarks) > LINES
    table = new_table("What is wrong", BRIEF_HEADER if brief else REMARK_HEADER, overflow="fold")
    rows = brief_rows(remarks, MARKS) if brief else [remark_cells(remark, units) for remark in remarks]
    for row in rows[:LINES]:
        style = next((STYLE[severity] for severity in STYLE if severity in row), STYLE[Severity.PROBLEM])
        table.add_row(*row, style=style)
    console().print(table)
    if brief:
        click.echo(f"all {len(remarks)}, with what to do, in {PAGE_FILE}")


def _print_sheets(found: dict[str, Any]) -> None:
    """Print what the sheets take and save; every number can be counted on the files or read in the record."""
    for board in found["boards"]:
        offcuts = f" and {board['offcuts']} offcuts" if board["offcuts"] else ""
        click.echo(
            f"{board['board']}: {board['new']} sheets{offcuts}, laid out by the {board['engine']} engine at "
            f"{board['effort']} effort ({board['why']}); by area no layout takes fewer than {board['new_at_least']}"
        )
    click.echo(f"{found['pieces']} pieces, {found['pieces_m2']:.2f} m², {100 * found['usage']:.1f} % of the sheets")
    click.echo(found["decided_by"].replace("; ", "\n  against "))
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
    """The first days: what is taken out and what is laid up; how many glue-ups follow; what is proven of the plan."""
    from formgen.building.summary.record import PAGE_FILE, PRESS_CSV_FILE
    from formgen.cli.tables import console, new_table

    table = new_table("Press days", ("day", "take out", "lay up"))
    room, shown = LINES, 0
    for day, outs, ups in found["by_day"]:
        out, up = outs.split("\n")[:room], ups.split("\n")[:room]
        table.add_row(day, "\n".join(out), "\n".join(up), end_section=True)
        shown += sum(bool(line) for line in up)
        room -= max(len(out), len(up))
        if room <= 0:
            break
    console().print(table)
    _print_more(len(found["glue_ups"]) - shown, PRESS_CSV_FILE)
    click.echo(found["headline"])
    said = [finding["message"] for finding in found["findings"]]
    for message in said[:LINES]:
        tell_people(message)
    if len(said) > LINES:
        tell_people(f"{len(said) - LINES} more in {PAGE_FILE}")


def tell_end(outcome: Outcome, output: Path) -> None:
    """Print what was built, what stood, what was refused, and what nobody asks for any longer."""
    lost = f", {len(outcome.not_made)} refused" if outcome.not_made else ""
    tell_people(f"{len(outcome.built)} built, {outcome.stood} stood already{lost}; see {output}")
    if outcome.left_over:
        tell_people(f"no longer asked for, left as they are: {', '.join(map(visible, outcome.left_over))}")
