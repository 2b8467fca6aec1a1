"""Which of all pulls still stand once the last line is known, and what became of the others."""

from clampbook.run import events as e

from .daybooks import Daybook, at_line, corrected


def standings(day: Daybook) -> list[tuple[int, str]]:
    """Line and standing of every row."""
    return [(row["line"], row["standing"]) for row in day.record()["reading"]]


class TestStanding:
    """What became of each pull once the last line is known."""

    def test_a_single_reading_is_kept(self) -> None:
        """Nothing came after it."""
        day = Daybook()
        line = day.reading("1.1/1", "30.0")

        assert [(line, "counts")] == standings(day)

    def test_a_reading_under_is_followed_by_another_pull(self) -> None:
        """The last one stands, the first stays to be seen."""
        day = Daybook()
        first, second = day.reading("1.1/1", "27.0", "under"), day.reading("1.1/1", "30.0")

        assert [(first, "under, pulled again"), (second, "counts")] == standings(day)

    def test_a_bad_pull_that_was_stored_is_void(self) -> None:
        """Its row stays, and the line that voids it stands as well."""
        day = Daybook()
        first = day.reading("1.1/1", "30.0")
        void = day.add(e.Voided, step="1.1/1", attempt=1, of=first, cause="jerk or chatter")
        again = day.reading("1.1/1", "30.2")

        assert [(first, "void"), (void, "void"), (again, "counts")] == standings(day)

    def test_a_bad_pull_that_was_never_stored_voids_nothing_else(self) -> None:
        """The reading before it still stands until the next one."""
        day = Daybook()
        first = day.reading("1.1/1", "30.0")
        void = day.add(e.Voided, step="1.1/1", attempt=1, of=None, cause="bad pull", value="41")

        rows = day.record()["reading"]

        assert [(first, "counts"), (void, "void")] == standings(day)
        assert "41" == at_line(rows, void)["value_seen"]

    def test_only_the_named_position_of_a_block_is_void(self) -> None:
        """Of several that were confirmed together one can be taken back."""
        day = Daybook()
        line = day.confirmed("6.1/11", "6.1/12")
        day.add(e.Voided, step="6.1/12", attempt=1, of=line, cause="the socket slipped")

        rows = [row for row in day.record()["reading"] if row["line"] == line]

        assert [("11", "counts"), ("12", "void")] == [(row["position"], row["standing"]) for row in rows]

    def test_a_mistyped_value_stays_and_its_correction_counts(self) -> None:
        """The first value is never erased; the row of the correction says how it is known."""
        day = Daybook()
        first = day.reading("1.1/1", "33.0", "over")
        second = corrected(day, first, "30.3")

        rows = day.record()["reading"]

        assert [(first, "corrected"), (second, "counts")] == standings(day)
        assert ("over", "33.0") == (at_line(rows, first)["outcome"], at_line(rows, first)["at_fastener"])
        assert ("within", "30.3", first, "a second person saw it", "w5") == tuple(
            at_line(rows, second)[key] for key in ("outcome", "at_fastener", "corrects", "known", "tool")
        )

    def test_a_correction_can_itself_be_corrected(self) -> None:
        """Whether the later one names the first line or the second, the last value counts."""
        for names_first in (True, False):
            day = Daybook()
            first = day.reading("1.1/1", "33.0", "over")
            second = corrected(day, first, "30.3")
            third = corrected(day, first if names_first else second, "30.4")

            assert [(first, "corrected"), (second, "corrected"), (third, "counts")] == standings(day)

    def test_a_corrected_value_can_be_void(self) -> None:
        """The pull was bad whatever it showed."""
        day = Daybook()
        first = day.reading("1.1/1", "33.0", "over")
        second = corrected(day, first, "30.3")
        third = day.add(e.Voided, step="1.1/1", attempt=1, of=first, cause="jerk or chatter")

        assert [(first, "corrected"), (second, "void"), (third, "void")] == standings(day)

    def test_starting_over_puts_what_was_before_behind(self) -> None:
        """Once it is loosened fully, earlier readings say nothing of how tight it is."""
        day = Daybook()
        first = day.reading("1.1/1", "33.0", "over")
        day.decided(first, "from the beginning", step="1.1/1", position="1", scope="fastener")
        loose = day.loosened("1.1/1", "1")
        again = day.reading("1.1/1", "30.0", attempt=2)

        assert [(first, "earlier attempt"), (loose, "counts"), (again, "counts")] == standings(day)

    def test_deciding_to_start_over_is_enough(self) -> None:
        """A run that is left right after the decision does not keep the reading that led to it."""
        day = Daybook()
        first = day.reading("1.1/1", "33.0", "over")
        other = day.reading("1.1/2", "30.0")
        day.decided(first, "from the beginning", step="1.1/1", position="1", scope="fastener")

        assert [(first, "earlier attempt"), (other, "counts")] == standings(day)

    def test_a_group_that_starts_over_takes_all_of_it(self) -> None:
        """With the scope of the group the neighbours' readings are behind as well."""
        day = Daybook()
        first, other = day.reading("1.1/1", "33.0", "over"), day.reading("1.1/2", "30.0")
        day.decided(first, "from the beginning", step="1.1/1", position="1", scope="group")

        assert [(first, "earlier attempt"), (other, "earlier attempt")] == standings(day)

    def test_a_block_confirmed_after_starting_over_belongs_to_the_new_attempt(self) -> None:
        """The attempt of a block is that of each position in it."""
        day = Daybook()
        first = day.confirmed("6.1/11", "6.1/12")
        day.decided(first, "from the beginning", cause="not as I left it", step="6.1/11", position="11")
        day.loosened("6.1/11", "11")
        line = day.confirmed("6.1/11", "6.1/12")

        rows = [row for row in day.record()["reading"] if row["line"] == line]

        assert [("11", 2, "counts")] == [(row["position"], row["attempt"], row["standing"]) for row in rows]

    def test_a_recheck_never_replaces_the_reading_of_the_tightening(self) -> None:
        """Where a stage lets a completed position be pulled again, both stand."""
        day = Daybook()
        first = day.reading("1.1/1", "30.0")
        fields = {"tool": "w5", "typed": "31", "value": "31", "unit": "N·m", "at_fastener": "31"}
        second = day.add(e.Rechecked, step="1.1/1", attempt=1, pass_no=0, moved=False, method="tighten on", **fields)

        assert [(first, "counts"), (second, "counts")] == standings(day)

    def test_of_several_passes_the_last_is_kept(self) -> None:
        """The pass that was still is the one that counts."""
        day = Daybook()
        passes = [
            day.add(e.Rechecked, step="7.1/11", attempt=1, pass_no=number, moved=number == 1, method="tighten on")
            for number in (1, 2)
        ]

        assert [(passes[0], "earlier pass"), (passes[1], "counts")] == standings(day)

    def test_a_gate_measured_again_keeps_the_last(self) -> None:
        """What was outside and measured again stays to be seen."""
        day = Daybook()
        first, second = day.measured("3.1/-", "0.31", "over"), day.measured("3.1/-", "0.22")

        assert [(first, "measured again"), (second, "counts")] == standings(day)

    def test_readings_of_an_earlier_run_leave_the_attempts_of_a_follow_up_alone(self) -> None:
        """A follow-up goes on counting where the first run stopped."""
        earlier = e.Earlier(run="20260301-head-aaaaaaaa", follow_up="Check again", positions={"11": (3, 4)})
        day = Daybook(of_run=earlier)
        line = day.confirmed("6.1/11", "6.1/11")

        row = at_line(day.record()["reading"], line)

        assert (3, "counts") == (row["attempt"], row["standing"])


class TestConcession:
    """What stays as it is on another person's word."""

    def test_a_reading_over_stands_by_concession(self) -> None:
        """The word says so; the verdict of the reading is not talked away."""
        day = Daybook()
        line = day.reading("1.1/3", "33.5", "over")
        decision = day.decided(line, "concession", step="1.1/3", position="3", reason="no other to be had")

        row = at_line(day.record()["reading"], line)

        assert ("by concession", "over", "counts", decision) == tuple(
            row[key] for key in ("outcome", "verdict", "standing", "by_concession_at_line")
        )

    def test_a_bad_pull_is_never_conceded(self) -> None:
        """The position may stay so, the void pull stays void."""
        day = Daybook()
        line = day.add(e.Voided, step="1.1/3", attempt=1, of=None, cause="bad pull")
        day.decided(line, "concession", "bad pull", step="1.1/3", position="3", reason="agreed")

        assert "void" == at_line(day.record()["reading"], line)["outcome"]
