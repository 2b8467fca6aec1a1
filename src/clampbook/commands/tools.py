"""The command about the tools of a book: their state, what is due, their labels, and pulls done elsewhere."""

from __future__ import annotations

import sys
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands import completing
from clampbook.commands.exit_status import LOOK_AT_IT
from clampbook.commands.extras import needs
from clampbook.commands.options import book_option, example, json_option, new_option, open_book, paper_option, today
from clampbook.streams import json_text
from clampbook.text import counted

if TYPE_CHECKING:
    from datetime import date

    from clampbook.book.book import Book
    from clampbook.people import Person
    from clampbook.record.report import Paper
    from clampbook.tools.model import Adapter, Stock, Tool


@click.command(epilog=example("tools --due"))
@click.option("--due", is_flag=True, help="Show only what is due this month, or overdue")
@click.option("--labels", is_flag=True, help="Print a label for each tool")
@click.option(
    "--into",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Print the labels as PDF, each with the id as a code",
)
@paper_option
@click.option("--add-pulls", nargs=2, metavar="TOOL COUNT", help="Add pulls done elsewhere")
@click.option(
    "--another", metavar="TOOL", help="New serial number: this is another tool", shell_complete=completing.tools
)
@click.option(
    "--same",
    metavar="TOOL",
    help="New serial number: it was mistyped, the tool is the same",
    shell_complete=completing.tools,
)
@click.option("--as", "who", metavar="PERSON", help="Your name", shell_complete=completing.people)
@new_option
@book_option
@json_option
def tools(
    due: bool,
    labels: bool,
    into: Path | None,
    paper: Paper | None,
    add_pulls: tuple[str, str] | None,
    another: str | None,
    same: str | None,
    who: str | None,
    new: bool,
    folder: Path | None,
    as_json: bool,
) -> int:
    """List tools and their state."""
    from clampbook.book import toolbox

    if labels and as_json:
        raise click.UsageError("Give one of --labels and --json.")
    if into is not None and not labels:
        raise click.UsageError("--into goes with --labels.")
    book, day = open_book(folder), today()
    if add_pulls is not None:
        return _added(book, *add_pulls, who, new, as_json)
    if another is not None or same is not None:
        return _told_apart(book, another, same, who, as_json)
    if not as_json and sys.stdin.isatty():
        _ask_apart(book, who, new)
    stock = toolbox.stock(book)
    if as_json:
        _print(_data(stock, day))
    elif into is not None:
        _labels_printed(book, stock, into, paper)
    elif labels:
        from clampbook.tools.label import label

        click.echo("\n".join(label(tool, stock.use(tool.id)) for tool in stock.tools))
    elif due:
        _tell_due(stock, day)
    else:
        _list(stock, day)
    return 0 if all(_fit(stock, tool, day) for tool in stock.tools) else LOOK_AT_IT


def _labels_printed(book: Book, stock: Stock, into: Path, paper: Paper | None) -> None:
    """Print a label for each tool and put the pages into a file. Raises ClickException, RecordFault, LedgerFault."""
    needs("segno")
    from clampbook.ledger import atomic
    from clampbook.record.tool_labels import printed

    atomic.write(into, printed(book.name, stock.tools, paper or book.paper()), mode=0o644)
    click.echo(f"Labels: {into}")


def _fit(stock: Stock, tool: Tool, day: date) -> bool:
    """A tool that was withdrawn by hand needs no more looking at."""
    from clampbook.tools.state import state

    use = stock.use(tool.id)
    return tool.withdrawn is not None or (use.serial_was is None and state(tool, day, use).fit)


def _list(stock: Stock, day: date) -> None:
    from clampbook.tools.label import adapter_in_the_list, in_the_list, kinds_across, names_across

    if not stock.tools:
        click.echo("No tools yet.")
    names, kinds = names_across((*stock.tools, *stock.adapters)), kinds_across(stock.tools)
    for tool in stock.tools:
        use = stock.use(tool.id)
        click.echo(" · ".join((in_the_list(tool, use, day, names, kinds), *_worth_knowing(stock, tool))))
    for adapter in stock.adapters:
        click.echo(adapter_in_the_list(adapter, names, kinds))


def _worth_knowing(stock: Stock, tool: Tool) -> tuple[str, ...]:
    """Pulls where any were counted, and the latest check."""
    from clampbook.check.wording import marked
    from clampbook.tools.model import one_use

    use = stock.use(tool.id)
    since = " since its calibration" if tool.calibrated_on is not None else ""
    pulls = (f"{counted(use.pulls, one_use(tool.kind))}{since}",) if use.pulls else ()
    check = use.last_check
    return pulls if check is None else (*pulls, f"checked {check.on}: {marked(check.verdict)}")


def _tell_due(stock: Stock, day: date) -> None:
    from clampbook.tools.state import NOTHING_DUE, due_by

    found = due_by(stock, day)
    if not found:
        click.echo(NOTHING_DUE)
    for each in found:
        click.echo(each.says)


def _data(stock: Stock, day: date) -> dict[str, Any]:
    from clampbook.tools.state import due_by

    return {
        "tools": [_tool(stock, tool, day) for tool in stock.tools],
        "adapters": [_adapter(adapter) for adapter in stock.adapters],
        "due": [{"tool": due.tool.id, "what": due.what, "on": due.on, "past": due.past} for due in due_by(stock, day)],
    }


def _adapter(adapter: Adapter) -> dict[str, Any]:
    length, angle = adapter.extension, adapter.offset
    told: dict[str, Any] = {
        "id": adapter.id,
        "name": adapter.name,
        "extension": None if length is None else {"value": float(length.value), "unit": length.unit},
        "offset": None if angle is None else {"value": float(angle), "unit": "°"},
    }
    told |= {} if (ratio := adapter.multiplies_by) is None else {"ratio": float(ratio)}
    borne = {"max_torque": adapter.gives_at_most, "max_torque_in": adapter.takes_at_most}
    told |= {key: {"value": float(most.value), "unit": most.unit} for key, most in borne.items() if most is not None}
    return told | ({"is": list(adapter.kinds)} if adapter.kinds else {})


def _tool(stock: Stock, tool: Tool, day: date) -> dict[str, Any]:
    import msgspec

    from clampbook.tools.state import state

    use = stock.use(tool.id)
    found = state(tool, day, use)

    def quantity(value: Any) -> dict[str, Any] | None:
        return None if value is None else {"value": float(value), "unit": tool.unit}

    return {
        "id": tool.id,
        "name": tool.name,
        "kind": tool.kind,
        "unit": tool.unit,
        "only_unit": tool.only_unit,
        "minimum": quantity(tool.minimum),
        "maximum": quantity(tool.maximum),
        "resolution": quantity(tool.resolution),
        "state": found.word,
        "because": list(found.because),
        "calibrated_on": tool.calibrated_on,
        "calibration_due": found.due,
        "pulls": use.pulls,
        "interval_pulls": tool.interval_pulls,
        "last_check": msgspec.to_builtins(use.last_check),
        "serial": tool.serial,
        "serial_was": use.serial_was,
    }


def _ask_apart(book: Book, who: str | None, new: bool) -> None:
    """Each tool whose serial number was changed is asked about, once; who gives no answer is asked again next time."""
    from clampbook.commands.keys import lines
    from clampbook.commands.naming import person_meant
    from clampbook.commands.telling_apart import ask_apart, who_says_so

    typed = lines()

    @cache
    def says_so() -> Person | None:
        return who_says_so(book, typed) if who is None else person_meant(book, who, typed, new=new)

    for tool in book.tools():
        ask_apart(book, tool, typed, says_so)


def _told_apart(book: Book, another: str | None, same: str | None, who: str | None, as_json: bool) -> int:
    """Take what is said on the command line of a changed serial number. Raises UsageError, LedgerFault."""
    from clampbook.commands.naming import known_person
    from clampbook.commands.telling_apart import say_apart

    if another is not None and same is not None:
        raise click.UsageError("Give one of --another TOOL and --same TOOL.")
    if who is None:
        raise click.UsageError("Add your name: --as PERSON.")
    tool = _named(book, str(another or same))
    say_apart(book, tool, known_person(book, who), same=same is not None)
    if as_json:
        _print({"tool": tool.id, "serial": tool.serial, "same": same is not None})
    return 0


def _added(book: Book, name: str, count: str, who: str | None, new: bool, as_json: bool) -> int:
    """Enter pulls that were done outside the program. Raises UsageError."""
    from clampbook.book import toolbox
    from clampbook.book.toolbox import add_pulls
    from clampbook.commands.keys import lines
    from clampbook.commands.naming import person_meant
    from clampbook.commands.options import now
    from clampbook.ledger.stamp import stamp_of

    tool = _named(book, name)
    if not count.isdecimal() or len(count) > 9:
        raise click.UsageError(f"“{count}” is not a number of pulls. Give a whole number such as 40.")
    if who is None:
        raise click.UsageError("Add your name: --as PERSON.")
    moment, person = now(), person_meant(book, who, lines(), new=new)
    stamp = stamp_of(moment).when | {"by": person.id}
    add_pulls(book, tool, int(count), moment.date(), stamp)
    pulls = toolbox.stock(book).use(tool.id).pulls
    if as_json:
        _print({"tool": tool.id, "pulls": pulls})
    else:
        click.echo(f"{tool.name}: {pulls} pulls" + (" since its calibration." if tool.calibrated_on else "."))
    return 0


def _named(book: Book, name: str) -> Tool:
    found = [tool for tool in book.tools() if name.casefold() in (tool.id, tool.name.casefold())]
    if not found:
        from clampbook.text import printable

        known = ", ".join(tool.name for tool in book.tools()) or "none yet"
        raise click.UsageError(f"No tool {printable(name)} in this book. Its tools: {known}.")
    return found[0]


def _print(data: object) -> None:
    sys.stdout.write(json_text(data, indent=1))
