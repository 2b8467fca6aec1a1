"""Damaged procedure files and daybooks: whatever is read, a sentence comes of it, never a traceback.

CLAMPBOOK_DAMAGED sets how many damages are made in all (default 10 000), eight tenths of them here; each has a number,
and the same number is always the same damage.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
import tomli_w

from bench import INES, MAUD, START, TOOLS
from clampbook.faults import Faulty, show
from clampbook.ledger.lines import split
from clampbook.ledger.refusals import LedgerFault
from clampbook.plain.objects import asked as as_object
from clampbook.procedure.reader import read
from clampbook.record.record import build
from clampbook.run.next_prompt import prompt
from clampbook.run.session import Session
from clampbook.run.walk import read_progress
from clampbook.work.frozen import RecordFault
from damages import (
    FINISHED,
    PARTS,
    bytes_damaged,
    chained,
    chances,
    daybook_damaged,
    frozen,
    kept,
    numbers,
    planned,
    told,
    value_damaged,
    without_none,
)

ROOT = Path(__file__).parents[1]
SHEETS = [path.read_bytes() for path in sorted((ROOT / "procedures").glob("*.toml"))]


class TestProcedures:
    """A procedure file, damaged as bytes and as values."""

    @pytest.mark.parametrize("part", range(PARTS))
    def test_damaged_bytes_are_faults_or_a_procedure(self, part: int) -> None:
        """Flipped, cut, swapped, doubled: most cannot be read, and each says why."""
        faulty = sum(
            self.faults(bytes_damaged(chance, chance.choice(SHEETS))) for chance in chances("bytes of a sheet", part, 2)
        )

        assert faulty > len(numbers(part, 2)) // 2

    @pytest.mark.parametrize("part", range(PARTS))
    def test_other_values_are_faults_or_a_procedure(self, part: int) -> None:
        """A value of another kind, too large, too deep, in another place, or lost."""
        faulty = 0
        for chance in chances("values of a sheet", part, 2):
            tree = tomllib.loads(chance.choice(SHEETS).decode())
            for _ in range(chance.choice((1, 1, 2, 4))):
                value_damaged(chance, tree)
            faulty += self.faults(tomli_w.dumps(without_none(tree)).encode())

        assert faulty > len(numbers(part, 2)) // 2

    @staticmethod
    def faults(data: bytes) -> bool:
        """Whether this file has faults; each is told."""
        try:
            read(data)
        except Faulty as faulty:
            for fault in faulty.faults:
                told(show(fault))
            return True
        return False


class TestDaybooks:
    """A daybook that is damaged as bytes is found by its chain; one that was written wrong, by what it says."""

    @pytest.mark.parametrize("part", range(PARTS))
    def test_damaged_bytes_are_told(self, part: int) -> None:
        """No byte can change, get lost or come in without a sentence, but for whole lines at the end."""
        for chance in chances("bytes of a daybook", part, 1):
            name = chance.choice(FINISHED)
            self.told_or_taken(name, bytes_damaged(chance, frozen(name)[2]))

    @pytest.mark.parametrize("part", range(PARTS))
    def test_lines_that_say_something_else_are_told_or_taken(self, part: int) -> None:
        """Chained as it should be, a daybook can still tell of steps, lines and values that cannot be."""
        refused = 0
        for chance in chances("lines of a daybook", part, 3):
            name = chance.choice(FINISHED)
            lines = chained(daybook_damaged(chance, kept(name)))
            refused += self.told_or_taken(name, b"".join(line + b"\n" for line in lines))

        assert refused > len(numbers(part, 3)) // 5

    @staticmethod
    def told_or_taken(name: str, daybook: bytes) -> bool:
        """Whether the run cannot be taken up; where it can, it asks something. Its record is made or refused."""
        procedure, plan, _ = frozen(name)
        try:
            build(procedure, plan, daybook)
        except RecordFault as fault:
            told(fault.sentence)
        try:
            progress = read_progress(Path("daybook.jsonl"), planned(name), split(daybook)[0])
        except LedgerFault as fault:
            told(fault.sentence)
            return True
        session = Session(planned(name), progress, TOOLS, (INES, MAUD), START)
        as_object(prompt(session), session)
        return False


class TestFoundOnce:
    """Damages that once got through."""

    def test_a_stage_without_group_where_no_group_has_a_name(self) -> None:
        """The names that are missing are told; which of them a stage means cannot be asked."""
        groups = '[[group]]\npositions = "1-2"\n[[group]]\npositions = "3-4"\n'
        sheet = f'format = 2\ntitle = "Cover"\nrevision = "A"\nunit = "N·m"\n{groups}[[stage]]\ndo = "loosen"\n'

        with pytest.raises(Faulty) as caught:
            read(sheet.encode())

        assert ["group[1].name", "group[2].name"] == [fault.key for fault in caught.value.faults][:2]
