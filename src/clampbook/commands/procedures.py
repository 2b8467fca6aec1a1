"""Commands about procedure files: review, plan, form, schema. Of a file none of them needs a book."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands import completing
from clampbook.commands.options import book_option, example, json_option, now, open_book, paper_option, today
from clampbook.commands.which_procedure import work_meant
from clampbook.streams import json_text

if TYPE_CHECKING:
    from decimal import Decimal

    from clampbook.record.form.chosen import Taken
    from clampbook.record.report import Paper
    from clampbook.run.plan import Plan, Step


@click.command(epilog=example("review whinchat-pattern-c-head"))
@click.argument("procedures", nargs=-1, required=True, metavar="PROCEDURE...", shell_complete=completing.procedures)
@book_option
@json_option
def review(procedures: tuple[str, ...], folder: Path | None, as_json: bool) -> int:
    """Find errors and queries in a procedure.

    PROCEDURE is the name of a procedure of the book, or the path of its file.
    All errors at once, each with its line and what to do, or else all queries. A query asks, it never corrects.
    """
    from clampbook.commands.reviewing import look_over

    return look_over(procedures, folder, as_json=as_json)


@click.command(epilog=example("plan whinchat-pattern-c-head --trial"))
@click.argument("procedure", shell_complete=completing.procedures)
@click.option("--trial", is_flag=True, help="Leave out what a trial assembly leaves out")
@book_option
@json_option
def plan(procedure: str, trial: bool, folder: Path | None, as_json: bool) -> int:
    """Print the steps of a procedure.

    PROCEDURE is the name of a procedure of the book, or the path of its file.
    """
    from clampbook.run.planning import plan as plan_of

    work = work_meant(procedure, folder)
    planned = plan_of(work.procedure, work.slug, trial=trial)
    if as_json:
        from clampbook.commands.stage_objects import of_stage

        stages = [of_stage(planned, planned.stages[number - 1]) for number in sorted(planned.first_of_stage)]
        steps = [_data(planned, step) for step in planned.steps]
        _print({"title": planned.title, "revision": planned.revision, "stages": stages, "steps": steps})
        return 0
    from clampbook.record.pages.planned_steps import heading, line

    click.echo(f"{planned.title}, revision {planned.revision}, {planned.status}: {len(planned.steps)} steps")
    for index, step in enumerate(planned.steps):
        if planned.first_of_stage[step.stage] == index:
            click.echo(heading(planned, planned.stage_of(step)))
        click.echo(line(planned, step))
    return 0


@click.command(epilog=example("form whinchat-pattern-c-head --tool W2 --tool G1"))
@click.argument("procedure", shell_complete=completing.procedures)
@click.option("--into", type=click.Path(path_type=Path, dir_okay=False), metavar="PDF", help="Save to this file")
@click.option("--trial", is_flag=True, help="Leave out what a trial assembly leaves out")
@click.option("--joint", metavar="NAME", help="Which joint, if the procedure has several")
@click.option("--follow-up", metavar="TITLE", help="Print the form of this follow-up")
@click.option(
    "--tool",
    "tools",
    multiple=True,
    metavar="NAME",
    help="A tool of the book, W2 or W7+A1, for stage 5 alone 5=W2. Repeat for more",
    shell_complete=completing.tools_with_adapters,
)
@paper_option
@book_option
@json_option
def form(
    procedure: str,
    into: Path | None,
    trial: bool,
    joint: str | None,
    follow_up: str | None,
    tools: tuple[str, ...],
    folder: Path | None,
    paper: Paper | None,
    as_json: bool,
) -> int:
    """Print a paper form to fill in by hand.

    It has the steps of the procedure, for where no laptop can go. With --tool it says at each stage what to set.
    PROCEDURE is the name of a procedure of the book, or the path of its file.
    """
    from clampbook.ledger import atomic
    from clampbook.record.paper_form import pdf
    from clampbook.run.planning import plan as plan_of
    from clampbook.slug import slug

    work = work_meant(procedure, folder)
    try:
        planned = plan_of(work.procedure, work.slug, trial=trial, joint=joint, follow_up=follow_up)
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    taken = _taken(planned, tools, folder)
    path = into if into is not None else Path(f"{slug(Path(procedure).stem, 'form')}-form.pdf")
    atomic.write(path, pdf(planned, work.data, made=now(), paper=paper or "a4", taken=taken), mode=0o644)
    if as_json:
        from clampbook.book.starting.of_the_form import code_of

        _print({"form": str(path), "code": code_of(work)})
    else:
        click.echo(f"Paper form: {path}")
        for each in taken.unused:
            click.echo(f"{each.name} is at no stage of the form. For stage 5 alone: --tool 5={each.name}", err=True)
    return 0


def _taken(planned: Plan, names: tuple[str, ...], folder: Path | None) -> Taken:
    """The tools that were named, as they do the stages. Raises UsageError where the book has no such tool."""
    from clampbook.record.form.chosen import NOTHING, choice, taken

    if not names:
        return NOTHING
    from clampbook.book import toolbox

    stock = toolbox.stock(open_book(folder))
    try:
        return taken(planned, [choice(each, stock) for each in names], stock, today())
    except ValueError as error:
        raise click.UsageError(str(error)) from error


@click.command(epilog=example("schema > procedure.schema.json"))
@click.option("--tools", "of_tools", is_flag=True, help="Print that of tools.toml")
def schema(of_tools: bool) -> int:
    """Print the JSON Schema for your editor.

    The editor can then complete and check a procedure.
    """
    from clampbook.procedure.schema import schema as of_a_procedure
    from clampbook.tools.schema import schema as of_the_tools

    _print(of_the_tools() if of_tools else of_a_procedure())
    return 0


def _data(planned: Plan, step: Step) -> dict[str, Any]:
    def quantity(value: Decimal | None) -> dict[str, Any] | None:
        return None if value is None or step.unit is None else {"value": float(value), "unit": step.unit}

    from clampbook.record.pages.planned_steps import direction, left_hand

    return {
        "number": step.number,
        "id": step.id,
        "group": step.group,
        "stage": step.stage,
        "kind": step.kind,
        "position": step.position,
        "left_hand": left_hand(planned, step),
        "direction": direction(planned, step),
        "target": quantity(step.target),
        "window": None if step.window is None else [quantity(end) for end in step.window],
    }


def _print(data: object) -> None:

    sys.stdout.write(json_text(data, indent=1))
