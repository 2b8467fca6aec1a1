"""The last readings on one line, each with its position and mark: "1 ● 22.4   2 ● 22.0 lbf·ft"."""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len
from textual.content import Content
from textual.widget import Widget

from clampbook.screens.widgets.marks import Mark, sign, tone
from clampbook.text import printable

_GAP = "   "


@dataclass(frozen=True, slots=True)
class Read:
    """The outcome of one pull. `text` is the number as the tool showed it, in `unit`; None where there is none (a
    release)."""

    position: str
    mark: Mark
    text: str | None = None
    unit: str = ""

    @property
    def parts(self) -> tuple[str, str, str]:
        """Position, sign, and what stands after it; a release says its word instead of a number."""
        return printable(self.position), sign(self.mark), printable(self.mark if self.text is None else self.text)


def latest(reads: tuple[Read, ...], width: int) -> tuple[Read, ...]:
    """As many of the last ones as the width has room for, oldest first, at least the very last."""
    kept = reads[-1:]
    while len(kept) < len(reads) and cell_len(_said(reads[-len(kept) - 1 :])) <= width:
        kept = reads[-len(kept) - 1 :]
    return kept


def _said(reads: tuple[Read, ...]) -> str:
    return _GAP.join(" ".join((*read.parts, *unit)) for read, unit in zip(reads, _units(reads), strict=True))


def _units(reads: tuple[Read, ...]) -> tuple[tuple[str, ...], ...]:
    """Give what stands behind each: its unit, where no number of the same unit follows that says it too."""
    behind = []
    for place, read in enumerate(reads):
        later = next((each for each in reads[place + 1 :] if each.text is not None), None)
        told = read.text is not None and read.unit and (later is None or later.unit != read.unit)
        behind.append((printable(read.unit),) if told else ())
    return tuple(behind)


class ReadingsLine(Widget):
    """One line of what was read last; the newest stands at the right and is bold."""

    can_focus = False

    def __init__(self, reads: tuple[Read, ...] = (), *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.reads = reads

    def show(self, reads: tuple[Read, ...]) -> None:
        """Show these, oldest first; the same ones again paint nothing."""
        if reads != self.reads:
            self.reads = reads
            self.refresh()

    def plain(self, width: int) -> str:
        """Give what stands there at this width, without any style."""
        return _said(latest(self.reads, width))

    def render(self) -> Content:
        shown = latest(self.reads, self.content_size.width)
        units = _units(shown)
        return Content(_GAP).join(
            _styled(read, unit, newest=read is shown[-1]) for read, unit in zip(shown, units, strict=True)
        )


def _styled(read: Read, unit: tuple[str, ...], *, newest: bool) -> Content:
    position, mark, text = read.parts
    colour = tone(read.mark)
    words = ["bold"] if newest else []
    words += [f"${colour}"] if colour not in ("ink", "quiet") else []
    marked = (mark, " ".join(words)) if words else mark
    return Content.assemble(f"{position} ", marked, " ".join((f" {text}", *unit)))
