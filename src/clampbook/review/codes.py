"""The codes of all queries about a procedure; a code keeps its meaning for ever and is never used for another.

W40x: what the bolt bears. W41x: torques and stages. W42x: the order. W43x: tools. W44x: what is on threads and in
holes. W45x: estimates. W46x: papers and budgets. W47x: what is done again. W49x: answers to queries.
"""

from __future__ import annotations

from enum import StrEnum


class Code(StrEnum):
    """One member a code; `clampbook.faults.CODES` has a sentence for each."""

    BEYOND_YIELD = "W401"
    TURN_BEYOND_YIELD = "W402"
    STRETCH_BEYOND_PROOF = "W403"
    SHORT_GRIP = "W404"
    SHORT_ENGAGEMENT = "W405"
    TURN_TO_BREAK = "W406"
    TWO_STRENGTHS = "W407"
    NO_SLOT_LIMIT = "W408"
    LOW_SLOT_LIMIT = "W409"

    FAR_OFF = "W411"
    OTHER_UNIT = "W412"
    FALLS = "W413"
    ROUNDING = "W414"
    ONE_ROUND = "W415"
    LOW_RECHECK = "W416"
    NO_SNUG = "W417"
    FINAL_TORQUE = "W418"
    MIXED_UNITS = "W419"

    NOT_FROM_THE_MIDDLE = "W421"
    ONE_SIDE_FIRST = "W422"
    NO_VIEW = "W423"

    NO_TOOL = "W431"
    NO_ADAPTER = "W435"

    LUBRICANT = "W441"
    LUBRICANT_UNSAID = "W442"
    BLIND_HOLE = "W443"
    LOCKER_TIME = "W444"
    LOCKER_RECHECK = "W445"
    LEFT_HAND = "W446"
    USED_NUT = "W447"

    NO_ESTIMATE = "W451"

    BUDGET = "W461"
    NO_CALENDAR = "W462"
    NO_SOURCE = "W463"
    NOT_MEASURED = "W464"
    PREVAILING_NEVER_READ = "W466"

    ADJUSTS_NOTHING = "W471"
    TURNS_ON = "W472"
    ADJUSTS_ONE_USE = "W473"

    NO_SUCH_QUERY = "W491"
