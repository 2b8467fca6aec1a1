"""The work of `clampbook review`: read each file, tell its faults, else its queries and what was answered of them."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.options import named_before, say
from clampbook.commands.which_procedure import file_meant
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.faults import Fault
    from clampbook.review.review import Answered, Review
    from clampbook.tools.model import Stock

SOUND, LOOK_AT_IT, FAULTY = 0, 1, 2


def look_over(named: tuple[str, ...], folder: Path | None, *, as_json: bool) -> int:
    """Print what there is to say of these procedures, and give the exit status. Raises as `file_meant` does."""
    from clampbook.commands.folding import folded
    from clampbook.faults import as_data

    stock = _stock(folder)
    faults: list[Fault] = []
    reviews: list[Review] = []
    for path in [file_meant(each, folder) for each in named]:
        told = _told(path, stock, placed=as_json)
        if isinstance(told, tuple):
            faults += told
        else:
            reviews.append(told)
        if not as_json:
            click.echo("\n".join(folded(_lines(path, told))))
    queries = [query for review in reviews for query in review.queries]
    if as_json:
        answered = [as_data(each.query) | {"because": each.because} for review in reviews for each in review.answered]
        data = {"errors": [as_data(fault) for fault in faults], "queries": [as_data(each) for each in queries]}
        sys.stdout.write(json_text(data | {"accepted": answered}, indent=1))
    return FAULTY if faults else LOOK_AT_IT if queries else SOUND


def _told(path: Path, stock: Stock | None, *, placed: bool) -> tuple[Fault, ...] | Review:
    """The faults of a file, or its review; lines are looked up where there is a query to place."""
    from clampbook.faults import Faulty
    from clampbook.procedure.reader import read_file
    from clampbook.review.review import review

    try:
        procedure, data = read_file(path)
    except Faulty as faulty:
        return faulty.faults
    found = review(procedure, stock, path=str(path))
    if not found.queries and not placed:
        return found
    from clampbook.procedure.places import Places

    return review(procedure, stock, path=str(path), line_of=Places(data).line)


def _lines(path: Path, told: tuple[Fault, ...] | Review) -> Iterator[str]:
    from clampbook.faults import show
    from clampbook.text import printable

    if isinstance(told, tuple):
        yield from (show(fault) for fault in told)
        yield f"{printable(str(path))}: {_counted(len(told), 'error', 'errors')}"
        return
    yield from (show(query) for query in told.queries)
    yield f"{printable(str(path))}: {_counted(0, 'error', 'errors')}, {_counted(len(told.queries), 'query', 'queries')}"
    yield from (_answer(each) for each in told.answered)


def _counted(many: int, one: str, several: str) -> str:
    return f"{many or 'no'} {one if many == 1 else several}"


def _answer(answered: Answered) -> str:
    from clampbook.text import printable

    query = answered.query
    return f"  accepted {query.code}, {printable(query.key)}: {printable(answered.because)}"


def _stock(folder: Path | None) -> Stock | None:
    """The tools of the book that is named, else of the person's own book where there is one that can be read."""
    from clampbook.book import toolbox
    from clampbook.book.book import BOOK, Book, default_folder
    from clampbook.text import as_sentence

    named = folder or named_before()
    if named is not None:
        return toolbox.stock(Book.open(named))
    if not (default_folder() / BOOK).exists():
        return None
    stock, fault = toolbox.stock_or_fault(Book.open(default_folder()))
    if fault is not None:
        say(f"The tools of your book were left out: {as_sentence(str(fault))}")
    return stock
