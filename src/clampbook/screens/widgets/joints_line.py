"""The joints of a run over the map of the one at hand: its name, then all of them with their marks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from rich.cells import cell_len
from textual.geometry import Size

from clampbook.run.told.joints import JointAt
from clampbook.run.told.marks import MARKS, TO_DO
from clampbook.screens.widgets.drawn_rows import DrawnRows, Part, Row
from clampbook.text import printable

_APART: Final = 2  # columns between two joints
_BEHIND: Final = 4  # columns behind the name


def drawn(joints: Sequence[JointAt], width: int) -> Row:
    """One line of so many columns, marked as the map is; where they do not all fit, how many of them are done."""
    here = next((joint for joint in joints if joint.now), None)
    name = "" if here is None else printable(here.name)
    parts: list[Part] = [(name, "bold"), (" " * (_BEHIND if name else 0), "")]
    for joint in joints:
        parts += [_part(joint), (" " * _APART, "")]
    if sum(cell_len(text) for text, _ in parts) - _APART <= width:
        return tuple(parts[:-1])
    done = f"{sum(joint.done for joint in joints)} of {len(joints)} joints done"
    return (*parts[:2], (done, "quiet"))


def _part(joint: JointAt) -> Part:
    """A mark and what tells the joint from the others, between bars the one at hand."""
    label = printable(joint.key)
    if joint.now:
        return f"┃{label}┃", "bold"
    return (f"{TO_DO}{label}", "quiet") if joint.mark == "to do" else (f"{MARKS[joint.mark]}{label}", "")


class JointsLine(DrawnRows):
    """Shows the joints; the same ones again paint nothing."""

    _joints: tuple[JointAt, ...] = ()

    def show(self, joints: tuple[JointAt, ...]) -> None:
        """Show these now."""
        if joints != self._joints:
            self._joints = joints
            self.draw()

    def rows(self, size: Size) -> tuple[Row, ...]:
        """Give the one line."""
        return (drawn(self._joints, size.width),) if self._joints else ()
