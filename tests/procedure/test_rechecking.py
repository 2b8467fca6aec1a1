"""A recheck that names no window is judged by the window of what it looks at again."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampbook.procedure import reader
from clampbook.procedure.model import Recheck

TOP = """
format = 2
title = "Cover (invented)"
revision = "A"
unit = "N·m"

[[group]]
name = "Bolts"
positions = "1-4"
"""
TO_30 = '[[stage]]\ndo = "tighten"\nto = "30 N·m"\nwithin = "±2 N·m"\n'
TO_60 = '[[stage]]\ndo = "tighten"\nto = "60 N·m"\nwithin = "+3 N·m −1 N·m"\n'


def at(torque: str, *more: str, table: str = "stage") -> str:
    """A recheck at a torque."""
    return "\n".join((f"[[{table}]]", 'do = "recheck"', f'at = "{torque}"', 'method = "tighten on"', *more, ""))


def window(text: str, *, of_the_follow_up: bool = False) -> tuple[Decimal | None, Decimal | None] | None:
    """The window of the last stage."""
    procedure = reader.read(f"{TOP}{text}".encode())
    stage = procedure.follow_ups[0].stages[-1] if of_the_follow_up else procedure.stages[-1]
    assert isinstance(stage, Recheck)
    return None if stage.window is None else (stage.window.low, stage.window.high)


@pytest.mark.parametrize(
    ("stages", "low", "high"),
    [
        (TO_30 + at("30 N·m"), "28", "32"),
        (TO_30 + TO_60 + at("30 N·m"), "28", "32"),
        (TO_60 + TO_30 + at("60 N·m"), "59", "63"),
        (TO_60 + at("120 N·m"), "118", "126"),
        (TO_60 + at("50 N·m"), "49.17", "52.5"),
        (TO_30 + at("30 N·m", 'within = "±5 N·m"'), "25", "35"),
    ],
    ids=["the same", "its own round", "not the latest", "twice as wide", "in proportion, inwards", "as it says itself"],
)
def test_it_is_that_of_the_tightening(stages: str, low: str, high: str) -> None:
    """At the torque of the tightening the very same; at another one as wide in proportion."""
    assert (Decimal(low), Decimal(high)) == window(stages)


def test_a_follow_up_takes_it_from_the_first_run() -> None:
    """What was tightened to 60 N·m is looked at again by the window it was tightened with."""
    later = '[[follow_up]]\ntitle = "Again"\nafter = "1 d"\n' + at("60 N·m", table="follow_up.stage")

    assert (Decimal(59), Decimal(63)) == window(TO_60 + later, of_the_follow_up=True)


def test_where_nothing_was_tightened_there_is_none() -> None:
    """Nobody knows what is allowed, so a reading is kept and not judged."""
    assert window(at("60 N·m")) is None


@pytest.mark.parametrize(("more", "degrees"), [((), 90), (('back_off = "360°"',), 360)])
def test_back_off_is_a_quarter_turn_unless_the_sheet_says_otherwise(more: tuple[str, ...], degrees: int) -> None:
    """General fitting practice backs off a quarter turn, Army TB 43-0218 a whole one."""
    text = TO_30 + at("30 N·m", *more).replace("tighten on", "back off and tighten again")

    stage = reader.read(f"{TOP}{text}".encode()).stages[-1]
    assert isinstance(stage, Recheck)
    assert degrees == stage.back_off
