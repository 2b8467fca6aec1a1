"""The one form of a line, and cutting bytes into lines."""

import hashlib
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.ledger.lines import NOTHING_BEFORE, decode, digest, encode, in_form, split, telling
from clampbook.ledger.refusals import LedgerFault

words = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**63), 2**63 - 1) | words,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(words, inner, max_size=3),
    max_leaves=6,
)
fields = st.dictionaries(words, values, max_size=6)


class TestForm:
    """UTF-8, sorted keys, no spaces, one byte form for one content."""

    def test_a_reading_is_written_as_the_format_says(self) -> None:
        """Keys are sorted, signs of the trade stay readable, and nothing is padded with blanks."""
        line = encode({"typed": "22.1", "event": "reading_taken", "unit": "lbf·ft", "doubt": None}, 57, "9f" * 32)

        expected = (
            f'{{"doubt":null,"event":"reading_taken","prev":"{"9f" * 32}","seq":57,"typed":"22.1","unit":"lbf·ft"}}'
        )
        assert expected.encode() == line

    @settings(max_examples=200, deadline=None)
    @given(fields)
    def test_every_line_is_what_the_standard_library_would_write(self, content: dict[str, object]) -> None:
        """The bytes agree with an independent writer: sorted by code point, no blanks, nothing escaped without need."""
        line = encode(content, 1, NOTHING_BEFORE)

        told = json.loads(line)
        assert {**content, "seq": 1, "prev": NOTHING_BEFORE} == told
        assert list(told) == sorted(told)
        assert in_form(line)
        assert b"\n" not in line

    def test_number_and_hash_of_the_caller_are_not_taken(self) -> None:
        """Only the ledger says which line this is."""
        line = encode({"seq": 9, "prev": "mine"}, 2, "ab" * 32)

        assert {"seq": 2, "prev": "ab" * 32} == decode(line)

    def test_half_a_character_is_refused_with_a_sentence(self) -> None:
        """Text that is no Unicode never reaches the disk."""
        with pytest.raises(LedgerFault) as refused:
            encode({"note": "\ud800"}, 1, NOTHING_BEFORE)

        assert "the text has half a character and cannot be saved. Type it again" == refused.value.sentence

    @pytest.mark.parametrize(
        "line",
        [
            b'{"seq":1, "prev":"x"}',
            b'{"seq":1,"prev":"x"}',
            b'{"prev":"x","prev":"x","seq":1}',
            b'{"prev":"\\u0078","seq":1}',
            b"[1]",
            b"",
            b"\xff",
        ],
    )
    def test_the_same_said_in_another_way_is_not_in_form(self, line: bytes) -> None:
        """Blanks, another order, a key twice, needless escapes: none of them is the one form."""
        assert not in_form(line)

    @pytest.mark.parametrize(
        "line", [b"", b"[]", b"{", b'{"a":"\xff"}', b'{"a":' + b"[" * 100_000, b'{"a":' + b"9" * 5000 + b"}"]
    )
    def test_a_damaged_line_is_a_sentence(self, line: bytes) -> None:
        """No damage to a line ends in anything but a sentence."""
        with pytest.raises(LedgerFault) as refused:
            decode(line)

        assert "a line is damaged and cannot be read" == refused.value.sentence

    def test_the_hash_is_sha_256_of_the_bytes(self) -> None:
        """Anybody can check the chain with sha256sum."""
        assert hashlib.sha256(b'{"seq":1}').hexdigest() == digest(b'{"seq":1}')


class TestSplit:
    """Lines end in a newline; what does not is torn."""

    def test_nothing_is_no_line(self) -> None:
        """An empty file holds no line and no tail."""
        assert ([], b"") == split(b"")

    def test_whole_lines_leave_no_tail(self) -> None:
        """A file that ends in a newline is whole."""
        assert ([b"one", b"two"], b"") == split(b"one\ntwo\n")

    def test_a_line_without_newline_is_torn(self) -> None:
        """Even where only the newline is missing, the line was never finished."""
        assert ([b"one"], b"two") == split(b"one\ntwo")


def test_lines_of_some_events_are_found_without_reading_them() -> None:
    """By the whole name of the event, and nowhere else in the line."""
    found = telling("tools_used", "tool_checked")
    lines = [encode({"event": event, "note": "tools_used"}, 1, NOTHING_BEFORE) for event in ("tools_used", "tools_use")]

    assert [True, False] == [found.search(line) is not None for line in lines]
