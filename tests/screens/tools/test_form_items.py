"""An entry of tools.toml as it is filled in: looking changes nothing, and the reader's rules are those of the form."""

from __future__ import annotations

import tomllib
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook import demo
from clampbook.screens.tools.filling import begun
from clampbook.screens.tools.form_items import ITEMS, changes, entry, typed
from clampbook.screens.tools.live_faults import faults_of
from clampbook.tools.editing import List, entries

MUSEUM = demo.TOOLS_OF_THE_MUSEUM.format(recent="2026-01-01").encode()
ROWS: list[tuple[List, dict[str, object]]] = [
    *(("tool", row) for row in entries(MUSEUM, "tool")),
    *(("adapter", row) for row in entries(MUSEUM, "adapter")),
]
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=12)


@pytest.mark.parametrize(("kind", "row"), ROWS, ids=lambda each: each["id"] if isinstance(each, dict) else each)
class TestAnEntryThatStandsThere:
    """Each tool and adapter of the museum."""

    def test_looking_at_it_changes_nothing(self, kind: List, row: dict[str, object]) -> None:
        """What is shown is what would be written."""
        assert {} == changes(row, entry(typed(row, kind), kind), kind)

    def test_it_has_no_faults(self, kind: List, row: dict[str, object]) -> None:
        """The reader has taken it already."""
        assert {} == begun(MUSEUM, kind, str(row["id"])).faults


class TestWhatIsTyped:
    """How a text becomes a value of the file."""

    def test_a_number_alone_gets_the_unit_of_the_scale(self) -> None:
        """Both ends of a span, and the steps."""
        values = {"unit": "lbf·ft", "range 0": "20", "range 1": "100", "resolution": "0,5"}

        expected = {"unit": "lbf·ft", "range": ["20 lbf·ft", "100 lbf·ft"], "resolution": "0,5 lbf·ft"}
        assert expected == entry(values, "tool")

    def test_a_unit_that_is_typed_stays_as_it_is(self) -> None:
        """Also a wrong one: the reader says so."""
        assert {"unit": "N·m", "resolution": "1 lbf·ft"} == entry({"unit": "N·m", "resolution": "1 lbf·ft"}, "tool")

    def test_days_counts_and_factors_are_no_texts_in_the_file(self) -> None:
        """As a person would write them by hand."""
        values = {"calibrated_on": "2026-03-02", "interval_months": "12", "coverage": "2,0"}

        expected = {"calibrated_on": date(2026, 3, 2), "interval_months": 12, "coverage": 2.0}
        assert expected == entry(values, "tool")

    def test_what_stands_for_nothing_is_left_out(self) -> None:
        """No is what a tool is without saying so."""
        assert {} == entry({"wound_down": "no", "directions": "both", "note": "  "}, "tool")

    def test_a_new_tool_has_its_id_from_its_name(self) -> None:
        """Until another one is typed."""
        filling = begun(MUSEUM, "tool", None)
        name, id = ITEMS["tool"][:2]
        named = filling.with_value(name, "Big W 12")
        own = named.with_value(id, "crane").with_value(name, "W13")

        assert ("big-w-12", "crane") == (named.values["id"], own.values["id"])


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(st.sampled_from([item.name for item in ITEMS["tool"]]), TEXTS, max_size=10))
def test_whatever_is_typed_has_faults_or_can_be_written(values: dict[str, str]) -> None:
    """Never an error of the program; what has no fault is an entry that the reader takes."""
    held = tomllib.loads(MUSEUM.decode())

    found = faults_of(held, "tool", None, entry(values, "tool"))

    assert found, values  # an entry of random texts is never whole
