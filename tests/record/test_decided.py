"""What was decided, beside what it is about and by itself."""

from clampbook.run import events as e

from .daybooks import Daybook, kinds, only
from .head import OKKE


class TestDecided:
    """What was decided stands beside what it is about."""

    def test_a_concession_names_the_person_and_the_reason(self) -> None:
        """Who took it on, why, and that the name was typed."""
        day = Daybook()
        line = day.reading("1.1/3", "33.5", "over")
        decision = day.decided(
            line,
            "concession",
            step="1.1/3",
            position="3",
            reason="no other fastener to be had",
            person=OKKE,
            meaning="concession",
        )

        (found,) = only(day)["decided"]

        assert (decision, "concession", "no other fastener to be had", "okke", "Okke", "typed name") == tuple(
            found[key] for key in ("line", "choice", "reason", "person", "person_name", "name_given_as")
        )

    def test_a_concession_with_a_key_names_its_fingerprint(self) -> None:
        """Where a key was announced nothing says that a name was typed."""
        day = Daybook()
        line = day.reading("1.1/3", "33.5", "over")
        day.decided(line, "concession", step="1.1/3", position="3", reason="agreed", person=OKKE, key="SHA256:abc")

        (found,) = only(day)["decided"]

        assert "SHA256:abc" == found["key"]
        assert "name_given_as" not in found

    def test_starting_over_has_its_scope(self) -> None:
        """How far it reached."""
        day = Daybook()
        line = day.reading("1.1/3", "33.5", "over")
        day.decided(line, "from the beginning", step="1.1/3", position="3", scope="neighbours")

        assert "neighbours" == only(day)["decided"][0]["scope"]

    def test_holding_and_then_deciding_stand_both_beside_it(self) -> None:
        """Asked again the next day, it was decided then."""
        day = Daybook()
        line = day.reading("1.1/3", "33.5", "over")
        day.add(e.Held, reason="waiting for Okke", cause="decision", about=line)
        day.decided(line, "concession", step="1.1/3", position="3", reason="agreed", person=OKKE)

        assert ["hold", "concession"] == [row["choice"] for row in only(day)["decided"]]

    def test_whatever_was_decided_about_is_a_deviation(self) -> None:
        """A question that nothing else makes a deviation goes by its cause."""
        day = Daybook()
        line = day.add(e.Applied, step="8.1/11", what="thread locker", lot="L-9")
        day.decided(line, "go on", "limit run out", step="8.1/11", position="11", reason="still wet")

        assert [(line, "limit run out")] == kinds(day)

    def test_decisions_stand_by_themselves_as_well(self) -> None:
        """In their own order, each with the line it is about."""
        day = Daybook()
        first, second = day.reading("1.1/3", "33.5", "over"), day.reading("1.1/4", "33.6", "over")
        later = day.decided(second, "concession", step="1.1/4", position="4", reason="agreed", person=OKKE)
        last = day.decided(first, "new fastener", step="1.1/3", position="3", scope="fastener")

        rows = day.record()["decision"]

        assert [(later, second, "concession"), (last, first, "new fastener")] == [
            (row["line"], row["about_line"], row["choice"]) for row in rows
        ]

    def test_the_heading_counts_the_lines_that_deviate(self) -> None:
        """The number on top is the number of rows below."""
        day = Daybook()
        day.reading("1.1/3", "33.5", "over")
        day.add(e.Skipped, step="1.1/2", position="2", reason="no room for the tool")

        found = day.record()

        assert 2 == found["deviations"] == len(found["deviation"])
