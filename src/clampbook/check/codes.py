"""The codes of faults that only a file of readings can have."""

from __future__ import annotations

from enum import StrEnum


class Code(StrEnum):
    """One member a code; a code keeps its meaning for ever and is never used for another."""

    COLUMNS = "E281"
    CELLS = "E282"
    NUMBER = "E283"
    NOT_POSSIBLE = "E284"
    EMPTY_LINE = "E285"
    NO_READINGS = "E286"
    TECHNIQUE = "E287"
