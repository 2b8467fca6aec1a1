"""The words and the text chart of measured values."""

from __future__ import annotations

from msgspec.structs import replace

from archive.test_measured import summed, value
from clampbook.archive.measured import OtherKind, Value
from clampbook.archive.measured_words import as_data, cannot_share, drawn, none_found, sentences, told


def said(found: list[Value]) -> list[str]:
    """What is said of these values."""
    return list(sentences(summed(found)))


class TestSentences:
    """What the chart shows, with units."""

    def test_of_two_values(self) -> None:
        """First and latest with their days; between 0.15 and 0.18 lies 0.165, and 0.015 between the quarters."""
        later = replace(value("0.18"), at="2028-06-01T09:00:00.000+02:00")

        assert [
            "First 0.15 mm on 2 March 2026, latest 0.18 mm on 1 June 2028.",
            "Median 0.165 mm. The middle half of the readings lies within 0.015 mm.",
            "Window of the latest: 0.10 to 0.25 mm.",
        ] == said([value("0.15"), later])

    def test_wear_is_told_while_all_is_within(self) -> None:
        """Six years at 0.12 mm, six at 0.15 mm, three at 0.20 mm: the last five are two of 0.15 and three of 0.20."""
        told_of = said([value(each) for each in (*6 * ["0.12"], *6 * ["0.15"], *3 * ["0.20"])])

        assert "The median went up by 0.08 mm: 0.12 mm in the first third, 0.20 mm in the last." in told_of

    def test_nine_on_one_side(self) -> None:
        """Nine at 1 and nine at 3: the median is 2, and each nine lies on one side of it."""
        told_of = said([value(each, low="", high="") for each in (*9 * ["1"], *9 * ["3"])])

        assert "9 in a row lie on one side of the median. By chance, 9 do in 1 of 256." in told_of
        assert not any("Window" in each for each in told_of)

    def test_a_count_has_no_unit(self) -> None:
        """Shims are counted."""
        found = [value(each, "count", low="", high="3") for each in ("2", "4")]

        assert "Window of the latest: at most 3." in said(found)
        assert "Measured values, in the order of the work:" in list(told("Shims", summed(found)))

    def test_several_names_are_told(self) -> None:
        """Whoever typed a part of a name sees what came."""
        found = [value("0.15", what="Crankshaft end play"), value("0.18", what="Camshaft end play")]

        assert "In this chart: Crankshaft end play, Camshaft end play." == said(found)[0]

    def test_one_far_off_stands_at_the_edge(self) -> None:
        """Of forty values one of 9 mm, typed wrong perhaps."""
        found = [value("0.15") for _ in range(39)]

        assert "1 reading is beyond the chart, drawn at its edge, the farthest at 9.0 mm." in said(
            [*found, value("9.0")]
        )

    def test_two_kinds_are_refused_by_name(self) -> None:
        """Both with unit, name and run, and what to do."""
        other, latest = value("0.16", what="Stretch"), value("90", "°", what="Stretch")

        assert (
            "One chart cannot show a length in mm (“Stretch”, 20260302-caps-aaaaaaaa) "
            "and an angle in ° (“Stretch”, 20260302-caps-aaaaaaaa). "
            "Choose one with --procedure, --stage or --since, or type its whole name."
        ) == cannot_share(OtherKind(other, latest))

    def test_of_nothing_it_says_what_there_is(self) -> None:
        """At most a dozen names."""
        many = [f"Gap {number}" for number in range(14)]

        assert none_found("Gpa", many).endswith("Gap 10, Gap 11 and 2 more.")
        assert "Gpa: no measured values. Measured in this book: Gap." == none_found("Gpa", ["Gap"])
        assert none_found("Gpa", []).endswith("No run of this book measured anything by name.")


class TestChart:
    """In plain text."""

    def test_the_window_lies_behind_the_values(self) -> None:
        """From 0 to 10 with 0.75 of room at each edge: the middle of 13 rows is 5, the ends stand in rows 1 and 11."""
        over = replace(value("5", low="0", high="10"), outcome="over")
        lines = list(drawn(summed([value("0", low="0", high="10"), over])))

        assert ("     10.8 │", "       10 │┈┈", "          │ ▀") == (lines[0], lines[1], lines[6])
        assert "        0 │●┈" == lines[11]
        assert "          └2026-03-02" == lines[13]

    def test_of_one_value_without_a_window_there_is_a_chart(self) -> None:
        """It stands in the middle, and its mark says that it was measured, not that it was within."""
        lines = list(told("Gap", summed([value("0.40", low="", high="")])))

        assert "●" in lines[9]
        assert "           ● measured   ─ median of 9" == lines[17]

    def test_as_one_object(self) -> None:
        """Numbers in the unit of the latest."""
        data = as_data("End play", summed([value("0.006", "in"), value("0.18")]))

        assert ("mm", [0.1, 0.25], 2, ["End play"]) == tuple(
            data[key] for key in ("unit", "window", "count", "measured")
        )
        assert [0.1524, 0.18] == [each["value"] for each in data["readings"]]
        assert 0.1662 == data["median"]
