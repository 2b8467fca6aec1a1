"""The chain: which changes to a ledger are found, and at which line."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.faults import CODES, Fault
from clampbook.ledger.chain import chain_faults, form_faults
from clampbook.ledger.lines import NOTHING_BEFORE, digest, encode

DAYBOOK = Path("daybook.jsonl")


def chain(count: int) -> list[bytes]:
    """A whole ledger of clicks, position by position."""
    lines: list[bytes] = []
    for seq in range(1, count + 1):
        before = digest(lines[-1]) if lines else NOTHING_BEFORE
        lines.append(encode({"event": "clicked", "step": f"1.1/{seq}", "unit": "N·m"}, seq, before))
    return lines


def places(faults: list[Fault]) -> list[tuple[int | None, str]]:
    """Line and code of each fault."""
    return [(fault.line, fault.code) for fault in faults]


WHOLE = chain(6)


class TestChain:
    """Each line holds the hash of the one before, and numbers run from 1 without a gap."""

    def test_a_whole_ledger_has_no_fault(self) -> None:
        """What was written is found as it was written, up to the last line known."""
        assert [] == chain_faults(DAYBOOK, WHOLE, digest(WHOLE[-1]))

    def test_an_empty_ledger_has_no_fault(self) -> None:
        """Nothing was written, nothing is wrong."""
        assert [] == chain_faults(DAYBOOK, [], NOTHING_BEFORE)

    def test_a_changed_line_is_named(self) -> None:
        """A reading changed afterwards is found at its own line, not at the next."""
        changed = [*WHOLE]
        changed[2] = changed[2].replace(b"clicked", b"loosened")

        assert [(3, "D303")] == places(chain_faults(DAYBOOK, changed))

    def test_a_changed_hash_is_named_at_the_line_that_holds_it(self) -> None:
        """Where the line itself is not vouched for by the next, the fault is its own."""
        changed = [*WHOLE]
        changed[2] = changed[2].replace(digest(WHOLE[1]).encode(), b"0" * 64)

        assert [(3, "D304"), (3, "D303")] == places(chain_faults(DAYBOOK, changed))

    def test_a_missing_line_is_named_by_its_number(self) -> None:
        """Taking a line out leaves a gap in the numbers and a hash that does not fit."""
        faults = chain_faults(DAYBOOK, WHOLE[:2] + WHOLE[3:])

        assert [(3, "D302"), (3, "D304")] == places(faults)
        assert "this line carries number 4, but 3 is due: lines are missing or out of place" == faults[0].text

    def test_an_unreadable_line_is_named(self) -> None:
        """A line that is no JSON is a fault of its own, and so is what the next line says of it."""
        damaged = [*WHOLE]
        damaged[3] = b"\x00" * 20

        assert [(4, "D301"), (4, "D303")] == places(chain_faults(DAYBOOK, damaged))

    def test_every_fault_has_its_code_in_the_list_of_codes(self) -> None:
        """Nobody meets a code that is explained nowhere."""
        damaged = [WHOLE[0], b"{}", WHOLE[3], WHOLE[4].replace(b"clicked", b"loosened"), WHOLE[5], b'{"seq": 7}']
        met = [*chain_faults(DAYBOOK, damaged, "0" * 64), *form_faults(DAYBOOK, damaged)]

        assert {"D301", "D302", "D304", "D305", "D306"} == {fault.code for fault in met}
        assert {fault.code for fault in met} <= CODES.keys()

    def test_lines_cut_off_are_found_only_from_outside(self) -> None:
        """A chain alone does not show a cut tail; the hash of the last line, known from elsewhere, does."""
        cut = WHOLE[:4]

        assert [] == chain_faults(DAYBOOK, cut)
        assert [(4, "D305")] == places(chain_faults(DAYBOOK, cut, digest(WHOLE[-1])))

    @settings(max_examples=300, deadline=None)
    @given(st.integers(0, len(b"\n".join(WHOLE)) - 1), st.integers(1, 255))
    def test_one_changed_byte_anywhere_is_found_at_its_line(self, place: int, flip: int) -> None:
        """Whatever single byte changes, a fault names the line in which it stands."""
        data = bytearray(b"\n".join(WHOLE))
        number = data[:place].count(b"\n") + 1
        data[place] ^= flip

        faults = chain_faults(DAYBOOK, bytes(data).split(b"\n"), digest(WHOLE[-1]))

        assert number in {fault.line for fault in faults} or place in newlines(WHOLE)
        assert faults

    @settings(max_examples=200, deadline=None)
    @given(st.lists(st.binary(max_size=60), max_size=5))
    def test_no_damage_ends_in_anything_but_faults(self, lines: list[bytes]) -> None:
        """Bytes that are no ledger at all give a fault for each line, never a failure."""
        assert len(lines) <= len(chain_faults(DAYBOOK, lines))


def newlines(lines: list[bytes]) -> set[int]:
    """Where the newlines stand between these lines: changing one joins two lines, and both are named as one."""
    ends = []
    place = -1
    for line in lines[:-1]:
        place += len(line) + 1
        ends.append(place)
    return set(ends)


class TestForm:
    """A chain can be whole although a line is not in the one form."""

    @pytest.mark.parametrize("line", [b'{"prev": "a","seq":1}', b'{"prev":"a","seq":1,"seq":1}'])
    def test_a_line_in_another_form_is_named(self, line: bytes) -> None:
        """A key twice or a blank could mean different things to different readers."""
        assert [(1, "D306")] == places(form_faults(DAYBOOK, [line]))

    def test_what_is_written_here_is_in_form(self) -> None:
        """Every line of a ledger passes."""
        assert [] == form_faults(DAYBOOK, WHOLE)
