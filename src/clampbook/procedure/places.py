"""On which line of a TOML file a key path stands, by the TOML grammar; where it is not sure, it gives no line."""

from __future__ import annotations

import tomllib
from collections import deque
from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tree_sitter import Node

    from clampbook.procedure.slips import KeyPath

_KEYS = frozenset({"bare_key", "quoted_key", "dotted_key"})


class Places:
    """Lines (from 1) of all keys, tables and list entries of one TOML text that tomllib reads without fault."""

    def __init__(self, source: bytes) -> None:
        import tree_sitter_toml
        from tree_sitter import Language, Parser

        self._lines: dict[KeyPath, int] = {}
        self._tables_of: dict[KeyPath, int] = {}  # arrays of tables: how many there are so far
        root = Parser(Language(tree_sitter_toml.language())).parse(source).root_node
        self.sound = not root.has_error
        if self.sound:
            for node in root.children:
                self._top(node)

    def line(self, at: KeyPath) -> int | None:
        """The line of this key path, else of the nearest table around it; None where neither is known."""
        for length in range(len(at), 0, -1):
            found = self._lines.get(at[:length])
            if found is not None:
                return found
        return 1 if self.sound and len(at) == 1 else None

    def _top(self, node: Node) -> None:
        match node.type:
            case "pair":
                self._pair(node, ())
            case "table":
                self._table(node, self._inside(_key_of(node)))
            case "table_array_element":
                self._table(node, self._next(_key_of(node)))
            case _:
                pass

    def _inside(self, key: tuple[str, ...]) -> KeyPath:
        """The path that a header names: within an array of tables it means the last one so far."""
        path: KeyPath = ()
        for part in key:
            path = (*path, part)
            if path in self._tables_of:
                path = (*path, self._tables_of[path] - 1)
        return path

    def _next(self, key: tuple[str, ...]) -> KeyPath:
        path = (*self._inside(key[:-1]), key[-1])
        self._tables_of[path] = self._tables_of.get(path, 0) + 1
        return (*path, self._tables_of[path] - 1)

    def _table(self, node: Node, path: KeyPath) -> None:
        self._note(path, node)
        self._lines[path] = node.start_point[0] + 1  # a table below it may have opened it by the way
        for child in node.children:
            if child.type == "pair":
                self._pair(child, path)

    def _pair(self, node: Node, path: KeyPath) -> None:
        """Walk a pair and all that its value holds, without recursion: nesting may be deep."""
        waiting: deque[tuple[Node, KeyPath]] = deque([(node, path)])
        while waiting:
            at_node, at = waiting.popleft()
            if at_node.type == "pair":
                here = (*at, *_key_of(at_node))
                self._note(here, at_node)
                value = at_node.children[-1]
            else:
                here, value = at, at_node
                self._note(here, at_node)
            if value.type == "array":
                waiting.extend((entry, (*here, index)) for index, entry in enumerate(_entries(value)))
            elif value.type == "inline_table":
                waiting.extend((pair, here) for pair in value.children if pair.type == "pair")

    def _note(self, path: KeyPath, node: Node) -> None:
        """Keep the line; tables that a dotted key or a header opens by the way get the line of the first."""
        line = node.start_point[0] + 1
        self._lines.setdefault(path, line)
        for length in range(len(path) - 1, 0, -1):
            if self._lines.setdefault(path[:length], line) != line:
                break


def _entries(array: Node) -> Iterator[Node]:
    return (child for child in array.children if child.is_named and child.type != "comment")


def _key_of(node: Node) -> tuple[str, ...]:
    """The parts of the key of a pair or header, unquoted."""
    return next(_parts(child) for child in node.children if child.type in _KEYS)


def _parts(key: Node) -> tuple[str, ...]:
    """Flatten a dotted key, which nests to the left."""
    parts: list[str] = []
    node = key
    while node.type == "dotted_key":
        parts.append(_plain(node.children[-1]))
        node = node.children[0]
    parts.append(_plain(node))
    return tuple(reversed(parts))


def _plain(key: Node) -> str:
    text = (key.text or b"").decode()
    if key.type == "bare_key":
        return text
    return next(iter(tomllib.loads(f"{text} = 0")))
