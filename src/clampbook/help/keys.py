"""Every key of the files that people write, by table: what it takes, what holds where it is left out, an example."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from inspect import get_annotations, getdoc
from typing import get_type_hints

from pydantic.fields import FieldInfo

from clampbook.book.cover import Cover
from clampbook.help.taken import allowed, tables, takes
from clampbook.people_file import KeyTable, PersonTable
from clampbook.procedure.lines import line, written
from clampbook.procedure.sheet_values import Table
from clampbook.procedure.tables import OF_A_PROCEDURE, STAGE, STAGES, TOP
from clampbook.tools.schema import ToolsFile
from clampbook.tools.tables import AdapterTable, CertifiedTable, ToolTable

OF_THE_TOOLS: dict[str, type[Table]] = {
    "tools": ToolsFile,
    "tool": ToolTable,
    "tool.certified": CertifiedTable,
    "adapter": AdapterTable,
}
OF_THE_BOOK: dict[str, type[Table]] = {"book": Cover, "person": PersonTable, "person.key": KeyTable}
TABLES = OF_A_PROCEDURE | OF_THE_TOOLS | OF_THE_BOOK
"""Each table by its name: that of its header without brackets, `stage.turn` for a stage with do = "turn", and a word
for a file's own top: procedure, tools, book."""
_WHOLE_FILES = frozenset({TOP, "tools", "book"})
_ONCE = frozenset({"layout", "layout.edges", "joints", "group.friction", "group.strength", "release", "withdrawal"})
_DO = "do"
_OF_STAGES = frozenset(f"{STAGE}.{does}" for does in STAGES)


@dataclass(frozen=True, slots=True)
class Key:
    """A key of a table. `left_out` is what holds where it does not stand there, as it would be written; "" where
    nothing does, or where it must stand there. `allowed` are the words of which one stands there, if any.
    """

    table: str
    name: str
    says: str
    takes: str
    required: bool
    left_out: str
    allowed: tuple[str, ...]
    examples: tuple[str, ...]  # each a whole line, or the header of the tables that stand there
    within: type[Table]  # the class that says it: one that several tables share, or the table's own

    @property
    def example(self) -> str:
        """The first of its examples."""
        return self.examples[0]


def keys_of(table: str) -> tuple[Key, ...]:
    """Every key of this table, in the order in which the reader knows them. Raises KeyError where there is no such."""
    return _keys_of(table)


def explain(table: str, key: str) -> Key | None:
    """The key of this name in this table; None where there is no such table or key."""
    if table not in TABLES:
        return None
    return next((each for each in keys_of(table) if each.name == key), None)


def table_at(header: str, do: str | None = None) -> str | None:
    """The table below this header, such as "group" or "follow_up.stage", and "" for the top of a procedure; of stages
    the one with this `do` (or "for_each"). None where there is no such table."""
    name = header or TOP
    if name.rpartition(".")[2] in (STAGE, "steps"):
        name = f"{STAGE}.{do}"
    return name if name in TABLES else None


def header_of(table: str) -> str:
    """The line that begins this table, such as "[[group]]"; "" for the top of a file."""
    if table in _WHOLE_FILES:
        return ""
    name = STAGE if table in _OF_STAGES else table
    return f"[{name}]" if table in _ONCE else f"[[{name}]]"


def says_of(table: str) -> str:
    """The sentence that says what this table is."""
    return (getdoc(TABLES[table]) or "").split("\n\n")[0].replace("\n", " ")


@cache
def _keys_of(table: str) -> tuple[Key, ...]:
    return tuple(_keys(table, TABLES[table]))


def _keys(table: str, of: type[Table]) -> Iterator[Key]:
    """The table's own keys come first, then those that it shares with others."""
    types = get_type_hints(of, include_extras=True)
    for each in of.__mro__:
        for field, info in of.model_fields.items():
            if field in get_annotations(each):
                yield _key(table, field, info, types[field], each)


def _key(table: str, field: str, info: FieldInfo, kind: object, within: type[Table]) -> Key:
    name = info.alias or field
    is_do = table in _OF_STAGES and name == _DO
    return Key(
        table=table,
        name=name,
        says=says_of(table) if is_do else info.description or "",
        takes=takes(kind, info.examples or []),
        required=info.is_required(),
        left_out=_left_out(info),
        allowed=allowed(kind),
        examples=_examples(table, name, info, kind),
        within=within,
    )


def _left_out(info: FieldInfo) -> str:
    """A default as it would be written; nothing where none stands for nothing."""
    nothing = info.is_required() or info.default is None or info.default in ([], {})
    return "" if nothing else written(info.default)


def _examples(table: str, name: str, info: FieldInfo, kind: object) -> tuple[str, ...]:
    if info.examples:
        return tuple(line(name, each) for each in info.examples)
    if tables(kind):
        below = name if table in _WHOLE_FILES else f"{table}.{name}"
        return (f"[{below}]" if below in _ONCE else f"[[{below}]]",)
    (only,) = allowed(kind)  # such as do = "turn"
    return (line(name, only),)
