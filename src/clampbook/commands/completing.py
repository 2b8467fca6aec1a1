"""Words that a shell offers for one that is half typed: procedures, runs, tools and people of the book.

A person waits for it with a finger on the key: nothing that reads files with care is loaded, and what is not plainly in
order is not offered.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.shell_completion import CompletionItem

from clampbook.commands.options import named_in

if TYPE_CHECKING:
    from clampbook.run_folder import RunFolder

_NAMES_A_FILE = CompletionItem("", type="file")  # which the shell completes by itself


def procedures(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
    """The procedures of the book by name; files where none begins so."""
    folder = _book(context) / "procedures"
    names = sorted(path.stem for path in _entries(folder) if path.suffix == ".toml" and not path.name.startswith("."))
    return _items(names, typed) or [_NAMES_A_FILE]


def samples(_: click.Context, __: click.Parameter, typed: str) -> list[CompletionItem]:
    """The samples of the library."""
    from clampbook.procedure.library import names

    return _items(names(), typed)


def runs(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
    """All runs."""
    return _items((run.id for run in _runs(context)), typed)


def runs_and_checks(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
    """All runs and checks."""
    return _items((each.id for each in (*_runs(context), *_checks(context))), typed)


def open_runs(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
    """The runs that can be resumed."""
    return _items((run.id for run in _runs(context) if run.state == "open"), typed)


def unsealed(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
    """The runs and checks without a seal."""
    return _items((each.id for each in (*_runs(context), *_checks(context)) if not _sealed(each)), typed)


def sealed(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
    """The runs with a seal, to which something can be added."""
    return _items((run.id for run in _runs(context) if _sealed(run)), typed)


def tools(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
    """The tools of the book."""
    return _items(_rows(context, "tools.toml", "tool"), typed)


def tools_and_adapters(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
    """The tools of the book, and its adapters."""
    return _items((*_rows(context, "tools.toml", "tool"), *_rows(context, "tools.toml", "adapter")), typed)


def tools_with_adapters(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
    """The tools of the book; behind a plus its adapters, as in W7+A1."""
    tool, plus, half = typed.partition("+")
    if not plus:
        return _items(_rows(context, "tools.toml", "tool"), typed)
    return [CompletionItem(f"{tool}+{item.value}") for item in _items(_rows(context, "tools.toml", "adapter"), half)]


def people(context: click.Context, _: click.Parameter, typed: str) -> list[CompletionItem]:
    """The people of the book."""
    return _items(_rows(context, "people.toml", "person"), typed)


def topics(_: click.Context, __: click.Parameter, typed: str) -> list[CompletionItem]:
    """The topics of the help."""
    from clampbook.help.topics import names

    return _items(names(), typed)


def _items(names: Iterable[str], typed: str) -> list[CompletionItem]:
    """Offer those that begin so, whatever their capitals, else those that have it further on, as a run has its slug."""
    known, half = tuple(names), typed.casefold()
    begin = [name for name in known if name.casefold().startswith(half)]
    return [CompletionItem(name) for name in begin or [name for name in known if half in name.casefold()]]


def _book(context: click.Context) -> Path:
    from clampbook.book.book import default_folder

    return (named_in(context) or default_folder()).expanduser()


def _entries(folder: Path) -> Iterator[Path]:
    try:
        yield from folder.iterdir()
    except OSError:
        return


def _runs(context: click.Context) -> list[RunFolder]:
    from clampbook.run_folder import RunFolder, is_id

    return [RunFolder(path) for path in sorted(_entries(_book(context) / "runs")) if is_id(path.name)]


def _checks(context: click.Context) -> list[RunFolder]:
    from clampbook.run_folder import RunFolder, is_id

    return [RunFolder(path) for path in sorted(_entries(_book(context) / "checks")) if is_id(path.name)]


def _sealed(run: RunFolder) -> bool:
    from clampbook.run_folder import SEAL

    return (run.path / SEAL).exists()


def _rows(context: click.Context, file: str, table: str) -> Iterator[str]:
    """Read the names in a small file of the book; the id where a shell would take a name for two words."""
    import tomllib

    from clampbook.book.peek import small

    try:
        rows = tomllib.loads(small(_book(context) / file).decode()).get(table, [])
    except (ValueError, RecursionError):
        return
    for row in rows if isinstance(rows, list) else ():
        if isinstance(row, dict) and (name := _one_word(row)) is not None:
            yield name


def _one_word(row: dict[str, Any]) -> str | None:
    words = [row[key] for key in ("name", "id") if isinstance(row.get(key), str)]
    return next((word for word in words if word.isprintable() and len(word.split()) == 1), None)
