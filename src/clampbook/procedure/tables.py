"""Every table of a procedure file by its name, as people write it."""

from __future__ import annotations

from clampbook.procedure.sheet import (
    AcceptedTable,
    AskTable,
    EdgesTable,
    FollowUpTable,
    JointsTable,
    LayoutTable,
    PartTable,
    ReleaseTable,
    Sheet,
    WithdrawalTable,
)
from clampbook.procedure.sheet_groups import FrictionTable, GroupTable, StrengthTable
from clampbook.procedure.sheet_stages import BLOCK, KINDS, BlockTable
from clampbook.procedure.sheet_values import Table

TOP = "procedure"  # the table that a procedure file itself is
STAGE = "stage"
STAGES: dict[str, type[Table]] = {**KINDS, BLOCK: BlockTable}
"""The tables of stages, each by what the stage does."""
BELOW_THE_TOP: dict[str, type[Table]] = {
    "layout": LayoutTable,
    "layout.edges": EdgesTable,
    "joints": JointsTable,
    "ask": AskTable,
    "part": PartTable,
    "group": GroupTable,
    "group.friction": FrictionTable,
    "group.strength": StrengthTable,
    **{f"{STAGE}.{does}": table for does, table in STAGES.items()},
    "follow_up": FollowUpTable,
    "release": ReleaseTable,
    "withdrawal": WithdrawalTable,
    "accepted": AcceptedTable,
}
OF_A_PROCEDURE: dict[str, type[Table]] = {TOP: Sheet, **BELOW_THE_TOP}
