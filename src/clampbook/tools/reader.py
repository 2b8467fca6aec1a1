"""From the bytes of tools.toml to tools and adapters, or to all the faults of the file at once."""

from __future__ import annotations

from clampbook.handwritten import Rows, read_lists
from clampbook.procedure.slips import KeyPath, Slips
from clampbook.tools import entry
from clampbook.tools.model import Adapter, Stock, Tool
from clampbook.tools.tables import AdapterTable, ToolTable


def read_tools(data: bytes, path: str) -> tuple[Tool, ...]:
    """The tools of a book in the order of the file; `path` stands in the faults. Raises Faulty with all of them."""
    return read_stock(data, path).tools


def read_stock(data: bytes, path: str) -> Stock:
    """Tools and adapters in the order of the file, nothing known of their use. Raises Faulty with all faults."""
    seen: dict[str, str] = {}

    def tool(row: ToolTable, at: KeyPath, slips: Slips) -> Tool | None:
        return entry.tool(row, at, slips, seen)

    def adapter(row: AdapterTable, at: KeyPath, slips: Slips) -> Adapter | None:
        return entry.adapter(row, at, slips, seen)

    tools, adapters = Rows("tool", ToolTable, tool), Rows("adapter", AdapterTable, adapter)
    read_lists(data, path, (tools, adapters))
    return Stock(tuple(tools.values), tuple(adapters.values))
