"""The loop that a run and a check have in common: nothing is said to be written that is not."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from msgspec import Struct, json

from clampbook.ledger.event import LineBase, fields
from clampbook.ledger.ledger import Ledger
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Stamp
from clampbook.work.loop import Loop, Work, gap
from clampbook.work.outcome import Refused, Unsure


class Counted(LineBase, frozen=True, kw_only=True, tag="counted"):
    """So many shims were counted."""

    shims: int


class Taken(Struct, frozen=True):
    """An answer that is an event."""

    event: Counted


def _decide(_: int, answer: str, stamp: Stamp) -> Taken | Unsure | Refused:
    if not answer.isdecimal():
        return Refused("Type how many.")
    if int(answer) > 9:
        return Unsure("So many?", "many")
    return Taken(Counted(at=stamp.text, offset=stamp.offset, by=stamp.by, shims=int(answer)))


SHIMS: Work[int, str, str, Counted] = Work(
    prompt=lambda shims: f"{shims} shims so far. How many more?",
    decide=_decide,
    apply=lambda shims, event: shims + event.shims,
    unusual=lambda *_: -1,
    fields=fields,
    read=lambda line: json.decode(line, type=Counted),
)
NOW = Stamp(datetime.fromisoformat("2026-03-02T09:00:00+00:00"), "+00:00", "ines", None)


@pytest.fixture
def counting(tmp_path: Path) -> Loop[int, str, str, Counted]:
    """Nothing counted yet."""
    path = tmp_path / "daybook.jsonl"
    path.touch()
    return Loop(SHIMS, Ledger.open(path), 0)


def test_an_answer_is_written_folded_and_the_next_thing_is_asked(counting: Loop[int, str, str, Counted]) -> None:
    """What comes back is the line as it stands in the daybook, with its number."""
    counting.answer("3", NOW)
    second = counting.answer("2", NOW)

    assert isinstance(second, Counted)
    assert (2, 5, "5 shims so far. How many more?") == (second.seq, counting.at, counting.prompt)


def test_a_refusal_changes_nothing_and_an_unusual_value_only_the_moment(counting: Loop[int, str, str, Counted]) -> None:
    """Neither writes a line."""
    assert Refused("Type how many.") == counting.answer("some", NOW)
    assert 0 == counting.at
    assert Unsure("So many?", "many") == counting.answer("12", NOW)
    assert -1 == counting.at


def test_a_line_that_cannot_be_written_is_not_counted(
    counting: Loop[int, str, str, Counted], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk is full: the same answer can be given again when it is not."""

    def full(*_: object) -> bytes:
        raise LedgerFault("No space is left.")

    with monkeypatch.context() as disk:
        disk.setattr(Ledger, "append", full)
        with pytest.raises(LedgerFault):
            counting.answer("3", NOW)
    assert (0, "0 shims so far. How many more?") == (counting.at, counting.prompt)

    counting.answer("3", NOW)

    assert 3 == counting.at


@pytest.mark.parametrize(
    ("passed", "told"),
    [(timedelta(minutes=2), "120"), (timedelta(0), "0"), (-timedelta(seconds=1), None), (timedelta(days=401), None)],
)
def test_a_gap_that_no_clock_can_have_seen_is_not_told(passed: timedelta, told: str | None) -> None:
    """A clock that was set back, or to another year, says nothing of how long the work lay."""
    assert told == gap(NOW.at, NOW.at + passed)
