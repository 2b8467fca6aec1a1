"""The last readings on one line, each with its position and mark: "1 ● 22.4   2 ● 22.0"."""

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
    """What became of one pull. `text` is the number as the tool showed it; None where there is none (a release)."""

    position: str
    mark: Mark
    text: str | None = None

    @property
    def parts(self) -> tuple[str, str, str]:
        """Position, sign, and what stands after it; a release says its word instead of a number."""
        return printable(self.position), sign(self.mark), printable(self.mark if self.text is None else self.text)


def latest(reads: tuple[Read, ...], width: int) -> tuple[Read, ...]:
    """As many of the last ones as the width has room for, oldest first, at least the very last."""
    kept: list[Read] = []
    used = -len(_GAP)
    for read in reversed(reads):
        used += len(_GAP) + cell_len(" ".join(read.parts))
        if kept and used > width:
            break
        kept.insert(0, read)
    return tuple(kept)


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
        """What stands there at this width, without any style."""
        return _GAP.join(" ".join(read.parts) for read in latest(self.reads, width))

    def render(self) -> Content:
        shown = latest(self.reads, self.content_size.width)
        return Content(_GAP).join(_styled(read, newest=read is shown[-1]) for read in shown)


def _styled(read: Read, *, newest: bool) -> Content:
    position, mark, text = read.parts
    colour = tone(read.mark)
    words = ["bold"] if newest else []
    words += [f"${colour}"] if colour not in ("ink", "quiet") else []
    marked = (mark, " ".join(words)) if words else mark
    return Content.assemble(f"{position} ", marked, f" {text}")
