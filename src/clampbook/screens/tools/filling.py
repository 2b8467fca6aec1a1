"""An entry of tools.toml that is being filled in, as a value: what was typed, what comes of it, what is wrong."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cached_property
from types import MappingProxyType
from typing import Any

from clampbook.faults import Fault
from clampbook.ledger.refusals import LedgerFault
from clampbook.procedure.codes import Code as Shared
from clampbook.screens.tools.form_items import ITEMS, FormItem, changes, entry, items, typed
from clampbook.screens.tools.further_faults import Faults, faults_behind
from clampbook.screens.tools.live_faults import faults_of
from clampbook.slug import slug
from clampbook.tools.codes import Code
from clampbook.tools.editing import List, NotEdited, Value, about, entries


class Filling:
    """`id` None: a new entry. `before` are the bytes of the file, `row` the entry as it stands there."""

    def __init__(
        self, before: bytes, kind: List, id: str | None, row: Mapping[str, Any], values: Mapping[str, str]
    ) -> None:
        self.before, self.kind, self.id, self.row = before, kind, id, row
        self.values = MappingProxyType(dict(values))

    @property
    def items(self) -> tuple[FormItem, ...]:
        """The lines of the form; an entry that has its id keeps it."""
        return tuple(item for item in items(self.values, self.kind) if self.id is None or item.key != "id")

    @property
    def title(self) -> str:
        """The name that it goes by."""
        return self.values.get("name", "") or f"New {self.kind}"

    def about(self, item: FormItem) -> str:
        """Tell what an item is for."""
        return about(self.kind, item.key).rstrip(".")

    @property
    def explained(self) -> tuple[str, ...]:
        """Each item with what it is for."""
        return tuple(f"{item.words} ({item.key}): {self.about(item)}".rstrip(": ") for item in self.items)

    def with_value(self, item: FormItem, text: str) -> Filling:
        """The same with another text in an item; a new entry gets its id from its name until it has one."""
        if self.values.get(item.name, "") == text:
            return self
        values = {**self.values, item.name: text}
        old = slug(self.values.get("name", ""), "")
        if self.id is None and item.key == "name" and self.values.get("id", "") in ("", old):
            values["id"] = slug(text, "")
        return Filling(self.before, self.kind, self.id, self.row, values)

    @cached_property
    def entry(self) -> dict[str, Value]:
        """The entry as it would be written."""
        return entry(self.values, self.kind)

    @cached_property
    def changes(self) -> dict[str, Value | None]:
        """The changes against what stands in the file."""
        return changes(self.row, self.entry, self.kind)

    @cached_property
    def faults(self) -> dict[str, tuple[Fault, ...]]:
        """The faults of it, by its keys; "" is what no item can say."""
        found = faults_behind(self._read, self.values, self.kind)
        known = {item.key for item in self.items}
        elsewhere = tuple(fault for key, faults in found.items() if key not in known for fault in faults)
        named = {key: faults for key, faults in found.items() if key in known}
        return {**named, "": elsewhere} if elsewhere else named

    def _read(self, values: Mapping[str, str]) -> Faults:
        held = tomllib.loads(self.before.decode())
        kept = {key: value for key, value in self.row.items() if key not in {item.key for item in ITEMS[self.kind]}}
        rows = entries(self.before, self.kind)
        at = None if self.id is None else next(n for n, row in enumerate(rows) if row.get("id") == self.id)
        return faults_of(held, self.kind, at, {**entry(values, self.kind), **kept})

    def faults_at(self, item: FormItem) -> tuple[Fault, ...]:
        """Tell what is wrong with one item; of the two ends of a span, with this one."""
        found = self.faults.get(item.key, ())
        return found if item.shape != "ends" else tuple(fault for fault in found if item.end in self._ends(fault))

    def _ends(self, fault: Fault) -> tuple[int, ...]:
        """Find the ends that are meant: those still empty, the one that was found, or else the later one."""
        key = fault.key.rpartition(".")[2]
        ends = tuple(self.values.get(f"{key} {end}", "").strip() for end in (0, 1))
        if fault.code in (Code.NO_SCALE, Shared.WRONG_LENGTH):
            return tuple(end for end in (0, 1) if not ends[end])
        written = self.entry.get(key)
        texts = written if isinstance(written, list) and len(written) == len(ends) else ends
        quoted = tuple(end for end, text in enumerate(texts) if text == fault.found)
        return quoted if len(quoted) == 1 else (1,)


def begun(before: bytes, kind: List, id: str | None) -> Filling:
    """The entry as it stands in the file, or an empty one. Raises LedgerFault where it is not there any more."""
    try:
        rows = entries(before, kind)
    except NotEdited as refused:
        raise LedgerFault(refused.sentence) from refused
    if id is None:
        return Filling(before, kind, None, {}, {})
    row = next((row for row in rows if row.get("id") == id), None)
    if row is None:
        raise LedgerFault(f"{kind} {id} is no longer in tools.toml")
    return Filling(before, kind, id, row, typed(row, kind))
