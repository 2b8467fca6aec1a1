"""The pictures of what is printed: the pages of a report, and a paper form."""

from __future__ import annotations

import tempfile
import tomllib
from collections.abc import Mapping
from datetime import datetime
from importlib.resources import files
from pathlib import Path
from unittest import mock

import typst

from album import HERE
from clampbook import demo
from clampbook.book.book import Book
from clampbook.book.starting.terms import work_named
from clampbook.book.toolbox import stock
from clampbook.record import frozen, paper_form, record
from clampbook.record.form.chosen import choice, taken
from clampbook.record.pages.pages import pages
from clampbook.record.report import LOOK
from clampbook.record.written import FROZEN
from clampbook.run.planning import plan
from clampbook.run_folder import RECORD

DOTS = 110.0  # an inch of a page


def report(folder: Path) -> None:
    """The pages of the report of the run in a folder."""
    procedure, planned, daybook = ((folder / name).read_bytes() for name in FROZEN)
    written = record.build(procedure, planned, daybook)
    attached = {RECORD: written, **dict(zip(FROZEN, (procedure, planned, daybook), strict=True))}
    told = pages(frozen.read(procedure, planned, daybook).plan, tomllib.loads(written.decode()), attached)
    for old in HERE.glob("report-*.png"):
        old.unlink()  # it may have had more pages
    for number, page in enumerate(_as_points(LOOK, told, attached), 1):
        (HERE / f"report-{number}.png").write_bytes(page)


def form(book: Book, printed: datetime) -> None:
    """The first page of the form of the head, for the tools that are picked up for it."""
    named = work_named(book, demo.HEAD)
    planned = plan(named.procedure, named.slug)
    tools = stock(book)
    chosen = taken(planned, [choice(each, tools) for each in ("W2", "W1", "W5", "G1")], tools, printed.date())
    set_as_points: list[bytes] = []

    def typeset(data: bytes, attached: Mapping[str, bytes], _paper: str, template: str) -> bytes:
        set_as_points.extend(_as_points(template, data, attached))
        return b""

    with mock.patch.object(paper_form, "typeset", typeset):
        paper_form.pdf(planned, named.data, made=printed, taken=chosen)
    (HERE / "form-1.png").write_bytes(set_as_points[0])


def _as_points(template: str, told: bytes, attached: Mapping[str, bytes]) -> list[bytes]:
    """The pages, each as a picture."""
    look = files("clampbook.record").joinpath(template).read_bytes()
    with tempfile.TemporaryDirectory(prefix="clampbook-") as name:
        inside = Path(name)
        for file, content in {**attached, template: look, "data.json": told}.items():
            (inside / file).write_bytes(content)
        made = typst.compile(inside / template, root=inside, ignore_system_fonts=True, format="png", ppi=DOTS)
    return [page for page in (made if isinstance(made, list) else [made]) if isinstance(page, bytes)]
