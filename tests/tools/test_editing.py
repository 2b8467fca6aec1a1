"""tools.toml changed by the program: what a person wrote around it stays."""

from __future__ import annotations

import tomllib
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.tools.editing import NotEdited, added, changed, entries

SHOP = b"""\
# The shop's own tools.
format = 2

# the blue one
[[tool]]
id = "w2"   # never again for another
name = "W2"
range = [
  "20 N\xc2\xb7m", # stiff below
  "100 N\xc2\xb7m",
]
resolution = "0.5 N\xc2\xb7m" # fine

# the red one
[[tool]]
name = "W3"
id = "w3"
"""


class TestChanging:
    """One value, and nothing else."""

    def test_comments_order_and_layout_stay(self) -> None:
        """Only the value is another; its own comment stays beside it."""
        expected = SHOP.replace(b'"0.5 N\xc2\xb7m" # fine', b'"1 N\xc2\xb7m" # fine')

        assert expected == changed(SHOP, "tool", "w2", {"resolution": "1 N·m"})

    def test_a_new_key_stands_with_its_own_tool(self) -> None:
        """Above the blank line and the remark that belong to the next one."""
        expected = SHOP.replace(b" # fine\n", b" # fine\ncalibrated_on = 2026-03-02\n")

        assert expected == changed(SHOP, "tool", "w2", {"calibrated_on": date(2026, 3, 2)})

    def test_a_key_is_taken_away(self) -> None:
        """Its line goes, the others stay."""
        assert SHOP.replace(b'name = "W3"\n', b"") == changed(SHOP, "tool", "w3", {"name": None})

    def test_tools_in_a_list_in_braces(self) -> None:
        """Written that way by somebody, it stays that way."""
        one_line = b'tool = [{ id = "w2", name = "W2" }] # all\n'

        assert b'tool = [{ id = "w2", name = "W8" }] # all\n' == changed(one_line, "tool", "w2", {"name": "W8"})

    def test_a_tool_that_is_gone(self) -> None:
        """Somebody took it away meanwhile."""
        with pytest.raises(NotEdited, match="no tool w9 in this file any more"):
            changed(SHOP, "tool", "w9", {"name": "W9"})

    def test_a_file_that_is_no_toml(self) -> None:
        """It is mended by hand first."""
        with pytest.raises(NotEdited, match="Correct it by hand first"):
            changed(b"[[tool]\n", "tool", "w2", {"name": "W9"})

    @settings(max_examples=60, deadline=None)
    @given(
        st.sampled_from(["name", "note", "serial"]), st.text(st.characters(codec="utf-8", exclude_categories=["Cc"]))
    )
    def test_whatever_is_written_is_what_is_read(self, key: str, value: str) -> None:
        """Quotes, backslashes and all signs of the world come back as they were."""
        after = changed(SHOP, "tool", "w2", {key: value})

        assert value == entries(after, "tool")[0][key]
        assert entries(SHOP, "tool")[1] == entries(after, "tool")[1]
        assert all(comment in after for comment in (b"# the blue one", b"# fine", b"# stiff below", b"# the red one"))


class TestAdding:
    """One more at the end."""

    def test_what_was_there_stays_byte_for_byte(self) -> None:
        """The new one follows after a blank line, its keys in the order in which they are asked for."""
        after = added(SHOP, "adapter", {"extension": "50 mm", "id": "a1", "name": "A1"})

        assert SHOP + b'\n[[adapter]]\nid = "a1"\nname = "A1"\nextension = "50 mm"\n' == after

    def test_into_an_empty_file(self) -> None:
        """The first tool of a book."""
        after = added(b"", "tool", {"id": "w2", "name": "W2", "kind": "setting"})

        assert {"tool": [{"id": "w2", "name": "W2", "kind": "setting"}]} == tomllib.loads(after.decode())

    def test_where_only_a_person_can(self) -> None:
        """Nothing can be appended to a list in braces: it is said, and nothing is written."""
        with pytest.raises(NotEdited, match="the program cannot change"):
            added(b'tool = [{ id = "w2" }]\n', "tool", {"id": "w3"})
