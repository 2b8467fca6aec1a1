"""The reference in Markdown: a line for each key, which begins with its example."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from clampbook.help.keys import TABLES, Key, explain, header_of, keys_of, says_of
from clampbook.procedure.sheet_shared import Named, Ordered, PulledTable, Said, SampledTable
from clampbook.procedure.sheet_values import Table

SHARED: dict[str, tuple[type[Table], ...]] = {  # keys that several kinds of stage have are listed once
    "every stage": (Named, Said),
    "stages at fasteners": (Ordered,),
    "stages with a torque tool": (PulledTable,),
    "stages with a sample": (SampledTable,),
}


def listed(name: str) -> str:
    """The keys of a table as lines, but for those that it shares with others; also of a group of `SHARED`."""
    return "\n".join(map(in_words, _shared(name) if name in SHARED else _own(name)))


def section(name: str) -> str:
    """A table with its heading, what it is, and its keys; without heading what has none in the file."""
    if name in SHARED or not header_of(name):
        return listed(name)
    return f"### {title_of(name)}\n\n{says_of(name)}\n\n{listed(name)}"


def title_of(name: str) -> str:
    """The line that begins a table, of a stage with what it does."""
    do = explain(name, "do")
    return f"`{header_of(name)}`" if do is None else f"`{header_of(name)}` with `{do.example}`"


def in_words(key: Key) -> str:
    """A key as a line: its example, what it says, what it takes, and what holds where it is left out."""
    return f"- `{key.example}`: {key.says} ({'. '.join(_takes(key))})"


def _takes(key: Key) -> Iterator[str]:
    yield key.takes
    if key.required:
        yield "Must be there"
    elif key.left_out:
        yield f"Left out: {key.left_out}"


def _own(name: str) -> Iterator[Key]:
    shared = {of for each in SHARED.values() for of in each}
    return (key for key in keys_of(name) if key.within not in shared and key.name != "do")


def _shared(name: str) -> Iterable[Key]:
    """The keys of these classes, as the first tables have them that know them."""
    found = {key.name: key for of in SHARED[name] for table in TABLES for key in keys_of(table) if key.within is of}
    return found.values()
