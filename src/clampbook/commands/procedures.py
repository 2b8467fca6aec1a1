"""Commands about procedure files: review, plan, form, schema. Of a file none of them needs a book."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands.options import book_option, example, json_option, now, open_book, paper_option, today
from clampbook.commands.which_procedure import work_meant
from clampbook.streams import json_text

if TYPE_CHECKING:
    from decimal import Decimal

    from clampbook.procedure.model import Stage
    from clampbook.record.form.chosen import Taken
    from clampbook.record.report import Paper
    from clampbook.run.plan import Plan, Step
    from clampbook.tools.aim import Direction


@click.command(epilog=example("review whinchat-pattern-c-head"))
@click.argument("procedures", nargs=-1, required=True, metavar="PROCEDURE...")
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
@click.argument("procedure")
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
    click.echo(f"{planned.title}, revision {planned.revision}, {planned.status}: {len(planned.steps)} steps")
    for index, step in enumerate(planned.steps):
        if planned.first_of_stage[step.stage] == index:
            click.echo(_heading(planned, planned.stage_of(step)))
        click.echo(_line(planned, step))
    return 0


@click.command(epilog=example("form whinchat-pattern-c-head --tool W2 --tool G1"))
@click.argument("procedure")
@click.option("--into", type=click.Path(path_type=Path, dir_okay=False), metavar="PDF", help="Save to this file")
@click.option("--trial", is_flag=True, help="Leave out what a trial assembly leaves out")
@click.option("--joint", metavar="NAME", help="Which joint, if the procedure has several")
@click.option("--follow-up", metavar="TITLE", help="Print the form of this follow-up")
@click.option("--tool", "tools", multiple=True, metavar="NAME", help="A tool of the book, W2 or W7+A1. Repeat for more")
@book_option
@paper_option
def form(
    procedure: str,
    into: Path | None,
    trial: bool,
    joint: str | None,
    follow_up: str | None,
    tools: tuple[str, ...],
    folder: Path | None,
    paper: Paper | None,
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
    click.echo(f"Paper form: {path}")
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


def _heading(planned: Plan, stage: Stage) -> str:
    """The stage before its first step, in the words of the report."""
    from clampbook.record.pages.stage_words import aside, wants
    from clampbook.run.told.places import stage_at
    from clampbook.text import started

    beside = aside(stage, planned)
    named = f"{started(stage_at(planned, stage.number))}: {wants(stage, planned.unit)}"
    return f"{named} · {beside}" if beside else named


def _line(planned: Plan, step: Step) -> str:
    from clampbook.run.told.torques import show_torque
    from clampbook.units import show, show_span

    place = f"position {step.position}" if step.position is not None else _at_a_gate(planned, step)
    unit = step.unit or ""
    target = "" if step.target is None else show_torque(step.target, unit) if unit != "°" else show(step.target, unit)
    window = "" if step.window is None or not unit else show_span(*step.window, unit)
    named = f"round {step.round} of {step.group}" if step.group else ""
    window = window and f"({window})"
    parts = (f"{step.number:>4}  {step.id:<10}", step.kind, named, place, target, window, _way(planned, step))
    return "  ".join(part for part in parts if part)


def _at_a_gate(planned: Plan, step: Step) -> str:
    joint = planned.joint_at(None, step.stage)
    return step.set or step.point or ("all" if joint is None else joint.name)


def _data(planned: Plan, step: Step) -> dict[str, Any]:
    def quantity(value: Decimal | None) -> dict[str, Any] | None:
        return None if value is None or step.unit is None else {"value": float(value), "unit": step.unit}

    return {
        "number": step.number,
        "id": step.id,
        "group": step.group,
        "stage": step.stage,
        "kind": step.kind,
        "position": step.position,
        "left_hand": _left_hand(planned, step),
        "direction": _direction(planned, step),
        "target": quantity(step.target),
        "window": None if step.window is None else [quantity(end) for end in step.window],
    }


def _left_hand(planned: Plan, step: Step) -> bool:
    group = planned.group_named.get(step.group or "")
    return group is not None and group.left_hand


def _direction(planned: Plan, step: Step) -> Direction | None:
    """Tell the way the fastener goes, seen from the tool; None where nothing is pulled, turned or loosened."""
    from clampbook.tools.aim import loosening, tightening

    back = _left_hand(planned, step)
    match step.kind:
        case "tighten" | "turn" | "align" | "recheck":
            return tightening(back)
        case "loosen":
            return loosening(back)
        case _:
            return None


def _way(planned: Plan, step: Step) -> str:
    """Said only of a left-hand thread."""
    direction = _direction(planned, step) if _left_hand(planned, step) else None
    return "" if direction is None else f"left-hand, {direction}"


def _print(data: object) -> None:

    sys.stdout.write(json_text(data, indent=1))
