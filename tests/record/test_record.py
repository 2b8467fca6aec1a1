"""The record as a whole: what stands first, and that it is made from the three frozen files alone."""

import re
import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.record.record import build, format_of
from clampbook.run import events as e
from clampbook.run.plan import encode
from clampbook.work.frozen import RecordFault

from .daybooks import Daybook, a_full_run
from .head import HEAD, PROCEDURE, W2, W5, a_plan


class TestOrder:
    """A person who opens the text meets first what matters most."""

    def test_tables_stand_in_the_order_of_their_weight(self) -> None:
        """Deviations and decisions come before everything else that happened; sign-offs come near the end."""
        headers = re.findall(r"^\[+([a-z_]+)\]+$", a_full_run().text(), re.MULTILINE)

        expected = (
            "person deviation decision interruption answer caution part tool group position reading inspection wait "
            "note sign_off follow_up not_measured"
        )
        assert expected.split() == list(dict.fromkeys(headers))

    def test_short_tables_are_never_drawn_together(self) -> None:
        """Every row has its header, however short it is, so that the order above always holds."""
        day = Daybook()
        day.add(e.Noted, text="a")

        assert "\n[[note]]\n" in day.text()

    def test_the_format_is_the_very_first_line(self) -> None:
        """Whoever reads the record later learns first which builder made it."""
        assert "record = 2" == Daybook().text().splitlines()[0]


class TestSameBytes:
    """The record is a function of the three files."""

    def test_building_twice_gives_the_same_bytes(self) -> None:
        """Nothing of the moment or the machine gets in."""
        day = a_full_run()

        assert day.text() == day.text()

    def test_the_zone_of_the_machine_does_not_matter(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Times are shown at the offset of the place where the work was done."""
        import time

        day = a_full_run()
        here = day.text()
        monkeypatch.setenv("TZ", "Pacific/Auckland")
        time.tzset()

        there = day.text()

        monkeypatch.undo()
        time.tzset()
        assert here == there

    def test_an_older_record_names_its_builder(self) -> None:
        """Verifying picks the builder by the number in the record that lies there."""
        day = a_full_run()
        old = day.text().encode()

        assert old == build(PROCEDURE, encode(day.plan), day.data, record=format_of(old))

    def test_a_builder_that_is_not_known_is_refused(self) -> None:
        """A record of a later program is told apart from a damaged one."""
        day = Daybook()

        with pytest.raises(RecordFault, match="format 9, this version knows 2"):
            build(PROCEDURE, encode(day.plan), day.data, record=9)

    @pytest.mark.parametrize("text", [b"", b"record = true\n", b'record = "1"\n', b"record =", b"\xff"])
    def test_a_record_without_a_format_is_refused(self, text: bytes) -> None:
        """A file that does not say its format is no record."""
        with pytest.raises(RecordFault):
            format_of(text)

    @given(
        st.lists(
            st.tuples(
                st.sampled_from(HEAD), st.decimals(1, 99, places=2), st.sampled_from(["under", "within", "over"])
            ),
            max_size=12,
        ),
        st.text(max_size=30),
    )
    @settings(max_examples=40, deadline=None)
    def test_any_readings_and_any_note_make_the_same_readable_record(
        self, pulls: list[tuple[str, Any, Any]], note: str
    ) -> None:
        """Every line is in it, the text is TOML, and what was written by hand comes out as it went in."""
        day = Daybook()
        for position, value, verdict in pulls:
            day.reading(f"1.1/{position}", str(value), verdict)
        line = day.add(e.Noted, text=note)

        text = day.text()

        found = tomllib.loads(text)
        assert text == day.text()
        assert len(pulls) == len(found.get("reading", []))
        assert [{"line": line, "note": note}] == [{key: row[key] for key in ("line", "note")} for row in found["note"]]


class TestHeading:
    """What the record is of, and how it ended."""

    def test_it_says_plainly_that_a_draft_is_no_released_procedure(self) -> None:
        """A sheet that nobody released is named so on top."""
        found = Daybook().record()

        assert "draft" == found["procedure_status"]
        assert "released" not in found

    def test_it_names_who_released_the_procedure(self) -> None:
        """A released one says by whom and compared with what."""
        plan = a_plan(status="released", released="by maud on 2026-02-01, compared with sheet 12")

        found = Daybook(plan).record()

        assert "by maud on 2026-02-01, compared with sheet 12" == found["released"]

    def test_it_holds_times_at_the_offset_of_the_place(self) -> None:
        """Opened and closed are what the clock on the wall showed."""
        day = Daybook()
        day.closed()

        found = day.record()

        assert "2026-03-02T09:00:10.000+01:00" == found["opened_at"]
        assert "2026-03-02T09:00:20.000+01:00" == found["closed_at"]

    def test_it_counts_the_lines_and_holds_the_last_ones_hash(self) -> None:
        """A chain alone does not show a cut tail; the number and the last hash do."""
        import hashlib

        day = Daybook()
        day.reading("1.1/1", "30.1")

        found = day.record()

        assert 2 == found["lines"]
        assert hashlib.sha256(day.lines[-1]).hexdigest() == found["last_line_sha256"]

    def test_a_clock_that_was_handed_in_is_named(self) -> None:
        """Times that a script gave prove nothing about the day."""
        assert "handed in" in Daybook(clock="handed in").record()["clock"]

    def test_a_system_clock_is_not_remarked_on(self) -> None:
        """The ordinary case needs no words."""
        assert "clock" not in Daybook().record()

    def test_everybody_who_is_named_is_listed_once(self) -> None:
        """Whoever opened, helped, decided, inspected, took over or vouched, by id and name."""
        found = a_full_run().record()["person"]

        assert [("ines", "Ines"), ("tomas", "Tomas"), ("maud", "Maud")] == [(row["id"], row["name"]) for row in found]

    def test_it_names_the_run_that_it_follows_up(self) -> None:
        """A follow-up points back."""
        earlier = e.Earlier(run="20260301-head-aaaaaaaa", follow_up="Check again", positions={"1": (2, 3)})

        assert "20260301-head-aaaaaaaa" == Daybook(of_run=earlier).record()["of_run"]


class TestOutcome:
    """How a run ended, or that it has not."""

    @pytest.mark.parametrize("outcome", ["done", "accepted", "not accepted", "trial", "damaged"])
    def test_a_closed_run_says_what_it_was_closed_as(self, outcome: str) -> None:
        """The word of the last line is the word of the record."""
        day = Daybook()
        day.closed(outcome, reason="as seen")

        assert (outcome, "as seen") == (day.record()["outcome"], day.record()["reason"])

    def test_a_run_that_was_given_up_is_abandoned(self) -> None:
        """With its reason."""
        day = Daybook()
        day.add(e.Abandoned, reason="begun by mistake")

        assert ("abandoned", "begun by mistake") == (day.record()["outcome"], day.record()["reason"])

    def test_a_run_still_on_the_bench_is_open(self) -> None:
        """A record can be made before the end."""
        assert "open" == Daybook().record()["outcome"]

    def test_a_run_left_on_hold_is_held(self) -> None:
        """Also where the program was ended after it."""
        day = Daybook()
        day.add(e.Held, reason="waiting for Maud", cause="awaiting inspection")
        day.add(e.Paused, cause="end of input")

        assert "held" == day.record()["outcome"]

    def test_a_held_run_that_goes_on_is_open(self) -> None:
        """Once somebody took it up again it is no longer on hold."""
        day = Daybook()
        day.add(e.Held, reason="waiting for Maud", cause="awaiting inspection")
        day.add(e.Resumed, gap="86400", clock="plausible")

        assert "open" == day.record()["outcome"]


def test_tools_of_both_types_can_be_told_apart() -> None:
    """The two ways in which a torque tool works lead to two kinds of rows."""
    day = Daybook()
    day.add(e.ToolTaken, tool=W5)
    day.reading("1.1/1", "30.1")
    day.add(e.ToolTaken, tool=W2)
    day.clicked("1.1/2")

    found = day.record()["reading"]

    assert [("w5", "within"), ("w2", "clicked")] == [(row["tool"], row["outcome"]) for row in found]
