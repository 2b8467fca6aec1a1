"""A tool as it is offered for a step: with its reasons, straight on and with each adapter of the book."""

from __future__ import annotations

from msgspec import Struct

from clampbook.text import as_sentence
from clampbook.tools.against import One, told
from clampbook.tools.model import Adapter, Tool


def another_serial(tool: Tool, was: str) -> str:
    """The question about a serial number that was changed."""
    return f"{tool.name} had serial {was}, now {tool.serial}. Is it the same tool?"


def sentences(tool: Tool, against: tuple[One, ...]) -> str:
    """Say what wants a reason, as sentences."""
    return " ".join(as_sentence(each) for each in told(tool.name, against))


class ToolWay(Struct, frozen=True):
    """A way of taking a tool: straight on (None) or with an adapter, and its reasons. Of an adapter whose length or
    angle are asked for with it they are those of the tool alone."""

    adapter: Adapter | None
    against: tuple[One, ...] = ()
    notes: tuple[str, ...] = ()
    cannot: str | None = None


class ToolOffer(Struct, frozen=True):
    """A tool that could be taken: `against` needs a reason to go on, `notes` do not; `cannot` is final.

    They hold for the first way that can be gone; `ways` are all of them where the book has adapters for this tool.
    `last`: it was used when the same work was done last. `serial_was` is the serial number that its id was known
    by, where another one stands in its entry and nobody has said yet whether that is another tool. `on_form`: it was
    used already, as a form says, and its reason may be missing there. `open`: only the length and angle of its adapter
    will tell whether a reason is asked for.
    """

    tool: Tool
    against: tuple[One, ...] = ()
    notes: tuple[str, ...] = ()
    cannot: str | None = None
    ways: tuple[ToolWay, ...] = ()
    last: bool = False
    serial_was: str | None = None
    on_form: bool = False
    open: bool = False

    def way(self, adapter: str | None) -> ToolWay | None:
        """The way with the adapter of this id or name, or straight on; None where it is not offered."""
        if not self.ways:
            return ToolWay(None, self.against, self.notes, self.cannot) if adapter is None else None
        for each in self.ways:
            names = () if each.adapter is None else (each.adapter.id, each.adapter.name.casefold())
            if adapter.casefold() in names if adapter is not None else not names:
                return each
        return None

    @property
    def with_any_adapter(self) -> ToolWay:
        """The tool where an adapter was asked for and a form does not say what was on it: only what speaks against it
        with each of them does."""
        first, *others = self.ways
        return ToolWay(None, tuple(one for one in first.against if all(one in way.against for way in others)))
