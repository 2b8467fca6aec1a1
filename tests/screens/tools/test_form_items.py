"""An entry of tools.toml as it is filled in: looking changes nothing, and the reader's rules are those of the form."""

from __future__ import annotations

import tomllib
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook import demo
from clampbook.screens.tools.filling import Filling, begun
from clampbook.screens.tools.form_items import ITEMS, changes, entry, typed
from clampbook.screens.tools.live_faults import faults_of, said
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


class TestFaultsWhileItIsTyped:
    """Each stands at its own item, whatever else is missing."""

    @staticmethod
    def at_fault(**values: str) -> dict[str, list[str]]:
        """What is said of a new tool, item by item."""
        ends = {"range_from": "range 0", "range_to": "range 1"}
        filling = Filling(b"", "tool", None, {}, {ends.get(name, name): text for name, text in values.items()})
        told = {item.name: [said(fault, "tool") for fault in filling.faults_at(item)] for item in filling.items}
        return {name: each for name, each in told.items() if each}

    def test_a_missing_kind_hides_no_other_slip(self) -> None:
        """Neither a day that is none nor a count that is none."""
        found = self.at_fault(name="W1", unit="N·m", calibrated_on="yesterday", interval_months="x")

        assert ["this is needed"] == found["kind"]
        assert ["“yesterday” is not a day of the calendar. Write it like 2026-03-02."] == found["calibrated_on"]
        assert ["“after months” is “x”. Write a whole number."] == found["interval_months"]

    def test_what_only_another_kind_would_mind_is_not_said_before_the_kind_is_known(self) -> None:
        """A scale is right for a torque tool and wrong for marks."""
        found = self.at_fault(name="W1", unit="N·m", range_from="20", range_to="100", resolution="1")

        assert {"kind": ["this is needed"]} == found

    def test_each_end_of_a_scale_has_its_own_fault(self) -> None:
        """The one that is no number, or the one that is still empty."""
        begun = {"name": "W1", "kind": "setting", "unit": "N·m", "resolution": "1"}

        assert {"range 0": ["“abc” does not begin with a number. Write a number and its unit"]} == self.at_fault(
            **begun, range_from="abc", range_to="100"
        )
        unknown = "“N·mm2” is not a unit of torque"
        assert self.at_fault(**begun, range_from="20 N·mm2", range_to="100")["range 0"][0].startswith(unknown)
        assert {"range 0": ["this is needed"]} == self.at_fault(**begun, range_to="100")
        assert {"range 1": ["this is needed"]} == self.at_fault(**begun, range_from="20")

    def test_items_have_the_names_of_the_form(self) -> None:
        """Not those of the file, and no line of a file is advised."""
        scale = {"name": "W1", "kind": "setting", "unit": "N·m", "range_from": "20", "range_to": "100"}

        found = self.at_fault(**scale, resolution="1", wound_down_to="20")

        assert ["“wind down to” has no meaning without “wind down after use”"] == found["wound_down_to"]


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
