"""The pages of docs/ with what the program knows written anew between their marks: python tests/docs_anew.py.

Tables of keys come from the tables that read the files, pictures of orders from the map, lines about keys and symbols
from the help at a step.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from msgspec.structs import replace

from clampbook.fleet.of_checks import OF_CHECKS
from clampbook.fleet.of_runs import OF_RUNS
from clampbook.help import words
from clampbook.help.reference import section
from clampbook.plain import helping
from clampbook.procedure.model import Layout, Place
from clampbook.procedure.reader import read
from clampbook.run.on_form import asked_on_form
from clampbook.screens import explaining
from clampbook.screens.draft import help_lines
from clampbook.screens.widgets.map_drawing import draw, plain

DOCS = Path(__file__).parents[1] / "docs"
_MARKED = re.compile(r"(<!-- (\w+)(?:: ([^>\n]+))? -->\n).*?(<!-- end -->)", re.DOTALL)
_AS_IT_STANDS = re.compile(r"\*|^[+-]")  # what Markdown would take for its own
_BACKSLASHED = r"\\\g<0>"
_HIGH = {"circle": 17, "rows": 7}
_WIDE = 60


def filled(page: str) -> str:
    """A page with all that stands between its marks."""
    return _MARKED.sub(lambda found: f"{found[1]}{_MADE[found[2]](found[3])}\n{found[4]}", page)


def in_order(asked: str) -> str:
    """A picture of an order, drawn as the walk draws the joint: at each place the number of its turn."""
    order, picture = asked.split(" | ")
    named = f'sequence = "{order}"' if order.isalpha() else f'order = "{order}"'
    head = 'format = 2\ntitle = "Order"\nrevision = "A"\nunit = "N·m"'
    stage = '[[stage]]\ndo = "tighten"\nto = "30 N·m"\nwithin = "±2 N·m"'
    text = f'{head}\n[layout]\n{picture}\n[[group]]\nname = "Bolts"\n{named}\n{stage}'
    procedure = read(text.encode())
    turn = {position: str(at) for at, position in enumerate(procedure.groups[0].order, start=1)}
    drawn = draw(_renamed(procedure.layout, turn), {}, (), _WIDE, _HIGH[procedure.layout.kind])
    lines = [plain(line).rstrip() for line in drawn]
    return "\n".join(("```text", *(line for line in lines if line), "```"))


def _renamed(layout: Layout, names: dict[str, str]) -> Layout:
    places = tuple(Place(position=names[each.position], x=each.x, y=each.y) for each in layout.places)
    rows = tuple(tuple(cell and names[cell] for cell in row) for row in layout.rows)
    return replace(layout, places=places, rows=rows)


def _lines(of: str) -> str:
    lines = {
        "keys": explaining.KEYS,
        "form": asked_on_form.HELP,
        "draft": help_lines.KEYS,
        "plain": helping.KEYS,
        "symbols": tuple(explaining.symbols()),
    }
    return "\n".join(f"- {_AS_IT_STANDS.sub(_BACKSLASHED, line)}" for line in lines[of])


def _columns(of: str) -> str:
    table = next(each for each in (*OF_RUNS, *OF_CHECKS) if each.name == of)
    rows = (f"| `{each.name}` | {each.holds.lower()} | {each.says} |" for each in table.columns)
    return "\n".join(("| column | type | what it is |", "| --- | --- | --- |", *rows))


_MADE: dict[str, Callable[[str], str]] = {
    "keys": section,
    "order": in_order,
    "columns": _columns,
    "lines": _lines,
    "words": lambda _: words.listed(),
}


def anew() -> None:
    """Write each page with what its marks stand for."""
    for page in sorted(DOCS.glob("*.md")):
        page.write_text(filled(page.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    anew()
