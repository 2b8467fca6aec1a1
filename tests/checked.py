"""A check of W5 at the Whinchat, from a file of readings, closed and sealed by Ines."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.book.sealing.of_check import CheckSigning
from clampbook.book.starting.checking import conclude, read_in
from clampbook.book.toolbox import tool_named
from clampbook.check.folder import CheckFolder
from clampbook.check.from_file import plan_of_file
from sealing import Shop
from signers import PHRASE

READINGS = b"reference,indicated\n" + b"40,40.1\n" * 5


def closed(at: Shop) -> CheckFolder:
    """A check that is closed and recorded; nothing is sealed yet."""
    tool = replace(tool_named(at.book, "w5"), permissible_deviation=Decimal(4), permissible_from="tools.toml")
    plan, readings = plan_of_file(
        tool, None, READINGS, "readings.csv", phase="as found", direction="clockwise", today=at.clock.now().date()
    )
    check = read_in(at.book, plan, readings, READINGS, at.ines, at.clock, "handed in")
    conclude(at.book, check)
    return check


def sealed_check(at: Shop) -> CheckFolder:
    """A check that is signed, where Ines has a key, and sealed."""
    check = closed(at)
    signing = CheckSigning(at.book, check, at.clock)
    if signing.wanted is not None:
        signing.give(PHRASE)
    signing.seal()
    return check
