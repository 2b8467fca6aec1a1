"""The stages of the run, each word over its share of a line that is thick as far as the work is done."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from rich.cells import cell_len
from textual.geometry import Size

from clampbook.run.told.stages import StageAt
from clampbook.screens.widgets.drawn_rows import DrawnRows, Part, Row
from clampbook.text import printable

_APART: Final = 2  # columns between two stages


def drawn(stages: Sequence[StageAt], width: int) -> tuple[Row, Row]:
    """Words and line in so many columns; where they do not all fit, other stages than the one now are numbers alone."""
    words = [printable(f"{stage.number} {stage.word}") for stage in stages]
    if _needs(words) > width:
        words = [word if stage.now else str(stage.number) for word, stage in zip(words, stages, strict=True)]
    if _needs(words) > width:
        return (), ()
    columns = _columns([cell_len(word) for word in words], [stage.of for stage in stages], width)
    upper: list[Part] = []
    lower: list[Part] = []
    for word, stage, wide in zip(words, stages, columns, strict=True):
        gap = " " * _APART
        upper += [(word.ljust(wide), "bold" if stage.now else "quiet"), (gap, "")]
        thick = wide if stage.done >= stage.of else min(wide * stage.done // stage.of, wide - 1)
        lower += [("━" * thick, ""), ("─" * (wide - thick), "quiet"), (gap, "")]
    return tuple(upper), tuple(lower)


def _needs(words: Sequence[str]) -> int:
    return sum(map(cell_len, words)) + _APART * (len(words) - 1)


def _columns(least: Sequence[int], weights: Sequence[int], width: int) -> list[int]:
    """Columns for each: what its word needs, and of the rest its share by its steps."""
    free = width - _APART * (len(least) - 1)
    columns = list(least)
    while sum(columns) < free:
        poorest = min(range(len(columns)), key=lambda at: columns[at] / weights[at])
        columns[poorest] += 1
    return columns


class StagesLine(DrawnRows):
    """Shows the stages; the same ones again paint nothing."""

    _stages: tuple[StageAt, ...] = ()

    def show(self, stages: tuple[StageAt, ...]) -> None:
        """Show these now."""
        if stages != self._stages:
            self._stages = stages
            self.draw()

    def rows(self, size: Size) -> tuple[Row, ...]:
        """Give the words and the line below them."""
        return drawn(self._stages, size.width) if self._stages else ()
