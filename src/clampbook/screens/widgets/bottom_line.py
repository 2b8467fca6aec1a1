"""Our own line at the bottom: every key that does something now, and what it does."""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from clampbook.text import printable

_GAPS = (3, 2)  # blanks between two keys: narrower only where that saves a line


@dataclass(frozen=True, slots=True)
class KeyHint:
    """A key as people call it, and what it does, in a few words."""

    key: str
    text: str

    @property
    def shown(self) -> str:
        return f"{printable(self.key)} {printable(self.text)}"


def arranged(hints: tuple[KeyHint, ...], width: int) -> tuple[tuple[tuple[KeyHint, ...], ...], int]:
    """The hints line by line, never one cut in two or left out, and the gap between them in cells."""
    tries = [(_filled(hints, width, gap), gap) for gap in _GAPS]
    return min(tries, key=lambda each: len(each[0]))


def _filled(hints: tuple[KeyHint, ...], width: int, gap: int) -> tuple[tuple[KeyHint, ...], ...]:
    lines: list[list[KeyHint]] = []
    used = 0
    for hint in hints:
        needs = cell_len(hint.shown)
        if lines and used + gap + needs <= width:
            lines[-1].append(hint)
            used += gap + needs
        else:
            lines.append([hint])
            used = needs
    return tuple(tuple(line) for line in lines)


class BottomLine(Widget):
    """Shows the keys in use; keys bold, words plain. Takes as many lines as it needs, two at 40 columns."""

    can_focus = False

    def __init__(self, hints: tuple[KeyHint, ...] = (), *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.hints = hints

    def show(self, hints: tuple[KeyHint, ...]) -> None:
        """Show these keys instead; the same ones again paint nothing."""
        if hints != self.hints:
            width = self.size.width
            moved = len(arranged(hints, width)[0]) != len(arranged(self.hints, width)[0])
            self.hints = hints
            self.refresh(layout=moved)

    def plain(self, width: int) -> str:
        """Give what stands there at this width, without any style."""
        lines, gap = arranged(self.hints, width)
        return "\n".join((" " * gap).join(hint.shown for hint in line) for line in lines)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        return max(1, len(arranged(self.hints, width)[0]))

    def render(self) -> Content:
        lines, gap = arranged(self.hints, self.content_size.width)
        return Content("\n").join(Content(" " * gap).join(map(_styled, line)) for line in lines)


def _styled(hint: KeyHint) -> Content:
    return Content.assemble((printable(hint.key), "bold"), f" {printable(hint.text)}")
