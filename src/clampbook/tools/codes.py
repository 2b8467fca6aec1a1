"""The codes of faults that only a tools file can have; what it shares with other files has their codes."""

from __future__ import annotations

from enum import StrEnum


class Code(StrEnum):
    """One member a code; a code keeps its meaning for ever and is never used for another."""

    ID = "E261"
    OTHER_UNIT = "E262"
    SCALE = "E263"
    WOUND_DOWN = "E264"
    NO_SCALE = "E265"
    STANDARD = "E266"
    PERCENT = "E267"
    CALIBRATION = "E268"
    LEVER = "E269"
    NOT_OF_THIS_KIND = "E270"
    WITHDRAWN = "E271"
    CERTIFIED = "E272"
