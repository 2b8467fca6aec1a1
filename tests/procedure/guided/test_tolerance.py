"""How far off each round may be: a share in every round, a torque at the last one."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampbook.procedure.guided.answers import Answers
from clampbook.procedure.guided.page import page
from clampbook.procedure.guided.tolerance import share_of_the_last
from clampbook.procedure.model import Tighten
from clampbook.procedure.reader import read

COVER = Answers(title="Cover", count="8", target="70 N·m", rounds=("20 N·m", "50 %", "100 %"), within="±5 N·m")


def cover(**changed: str | tuple[str, ...] | None) -> Answers:
    """The cover with other answers."""
    answers = COVER
    for name, answer in changed.items():
        answers = answers.giving(name, answer)
    return answers


@pytest.mark.parametrize(
    ("within", "share"),
    [
        ("±5 N·m", "±7.14 %"),  # 5 / 70
        ("+0 -3.5 N·m", "+0 −5 %"),
        ("+7 N·m -3.5 N·m", "+10 −5 %"),
        ("±5 %", None),
        ("+0 -5 %", None),
        (None, None),
    ],
)
def test_rounds_before_the_last_get_its_share(within: str | None, share: str | None) -> None:
    """Rounded down to a hundredth of a per cent; a share needs no working out."""
    assert share == share_of_the_last(cover(within=within))


def test_a_single_round_is_the_last() -> None:
    """It has what was typed."""
    assert share_of_the_last(cover(rounds=None)) is None


def test_units_may_differ() -> None:
    """5 lbf·ft are 6.779 N·m: 9.68 % of 70 N·m."""
    assert "±9.68 %" == share_of_the_last(cover(within="±5 lbf·ft"))


def test_the_file_has_what_was_typed_at_the_last_round_alone() -> None:
    """The two before it have the share, and say where it comes from."""
    text = page(COVER)
    rounds = [stage for stage in read(text.encode()).stages if isinstance(stage, Tighten)]

    assert [Decimal("18.572"), Decimal("32.501"), Decimal(65)] == [each.window.low for each in rounds]
    assert 2 == text.count("# the same share as ±5 N·m at the end")
