"""What each group reached: figures of kept readings alone, and counts of everything else."""

from typing import Any

from clampbook.run import events as e

from .daybooks import Daybook


def stage(day: Daybook, number: int, group: str = "Head bolts", what: str = "pull") -> dict[str, Any]:
    """The figures of one stage of a group."""
    found = next(row for row in day.record()["group"] if row["group"] == group)
    (row,) = (row for row in found["stage"] if (row["stage"], row["what"]) == (number, what))
    return dict(row)


class TestReadings:
    """Only what a tool showed, and what still stands, is counted with."""

    def test_figures_by_hand(self) -> None:
        """29.0, 30.0 and 32.0 N·m: mean 30.3333, standard deviation 1.52753, spread 3.0."""
        day = Daybook()
        for position, value in (("1", "29.0"), ("2", "30.0"), ("3", "32.0")):
            day.reading(f"1.1/{position}", value)

        row = stage(day, 1)

        assert (3, "30.3333", "1.52753", "29.0", "32.0", "3.0", "N·m") == tuple(
            row[key] for key in ("readings", "mean", "standard_deviation", "least", "most", "spread", "unit")
        )

    def test_values_are_taken_at_the_fastener(self) -> None:
        """What the tool showed in another unit is never averaged with the sheet's."""
        day = Daybook()
        day.reading("1.1/1", "22.1", unit="lbf·ft", at_fastener="29.964")
        day.reading("1.1/2", "30.036")

        assert "30.0000" == stage(day, 1)["mean"]

    def test_a_release_takes_no_part(self) -> None:
        """It is counted by itself; its setting is nobody's reading."""
        day = Daybook()
        day.reading("1.1/1", "29.0")
        day.clicked("1.1/2", "31.0")

        row = stage(day, 1)

        assert (1, "29.0000", 1) == (row["readings"], row["mean"], row["clicked"])
        assert "standard_deviation" not in row

    def test_a_round_of_releases_has_no_figures(self) -> None:
        """No number exists, so none is shown."""
        day = Daybook()
        day.confirmed("6.1/11", "6.1/12")

        row = stage(day, 6, "Side screws")

        assert (0, 2) == (row["readings"], row["confirmed_together"])
        assert not {"mean", "least", "most", "spread", "unit"} & set(row)

    def test_void_pulls_and_earlier_ones_take_no_part(self) -> None:
        """One was bad, one was under and pulled again, one belongs to an earlier attempt."""
        day = Daybook()
        day.reading("1.1/1", "27.0", "under")
        day.reading("1.1/1", "30.0")
        bad = day.reading("1.1/2", "31.0")
        day.add(e.Voided, step="1.1/2", attempt=1, of=bad, cause="jerk or chatter")
        day.reading("1.1/3", "33.0", "over")
        day.loosened("1.1/3", "3")
        day.reading("1.1/3", "29.0", attempt=2)

        row = stage(day, 1)

        assert (2, "29.5000", 2) == (row["readings"], row["mean"], row["within"])
        assert not {"under", "over"} & set(row)

    def test_a_corrected_value_counts_as_corrected(self) -> None:
        """The number that the tool showed, not the one that was typed."""
        day = Daybook()
        first = day.reading("1.1/1", "33.0", "over")
        fields = {"typed": "30.3", "value": "30.3", "unit": "N·m", "at_fastener": "30.3", "verdict": "within"}
        day.add(
            e.Corrected, of=first, step="1.1/1", attempt=1, what="reading", known="from memory", window=None, **fields
        )

        row = stage(day, 1)

        assert ("30.3000", 1) == (row["mean"], row["within"])
        assert "over" not in row

    def test_what_stands_by_concession_counts_with_its_value(self) -> None:
        """It is there, and it is what it is; the count says how many."""
        day = Daybook()
        line = day.reading("1.1/1", "33.0", "over")
        day.decided(line, "concession", step="1.1/1", position="1", reason="agreed")
        day.reading("1.1/2", "30.0")

        row = stage(day, 1)

        assert (2, "33.0", 1, 1) == (row["readings"], row["most"], row["within"], row["by_concession"])

    def test_a_turn_is_counted_by_its_sum(self) -> None:
        """Strokes are parts of one turn."""
        day = Daybook()
        day.turned("2.1/1", "60", "60", "under")
        day.turned("2.1/1", "32", "92")
        day.turned("2.1/2", None, None)

        row = stage(day, 2, what="turn")

        assert (1, "92", "92", "°", 1) == (row["readings"], row["least"], row["most"], row["unit"], row["by_the_mark"])

    def test_rechecks_are_counted_apart_from_tightenings(self) -> None:
        """How many were still and how many moved."""
        day = Daybook()
        for position, moved in (("11", True), ("12", False)):
            day.add(e.Rechecked, step=f"7.1/{position}", attempt=1, pass_no=1, moved=moved, method="tighten on")

        row = stage(day, 7, "Side screws", "recheck")

        assert (0, 1, 1) == (row["readings"], row["still"], row["moved"])

    def test_a_last_torque_has_figures_of_its_own(self) -> None:
        """Degrees and N·m never share a mean."""
        day = Daybook()
        day.turned("2.1/1", "92", "92")
        day.measured("2.1/1", "71", part="final torque", unit="N·m", window=("55", "95"))

        assert ("92.0000", "°") == (stage(day, 2, what="turn")["mean"], stage(day, 2, what="turn")["unit"])
        assert ("71.0000", "N·m") == (
            stage(day, 2, what="final torque")["mean"],
            stage(day, 2, what="final torque")["unit"],
        )

    def test_a_stage_says_what_the_sheet_wants(self) -> None:
        """Target, window and where it stands in the manual."""
        day = Daybook()
        day.reading("1.1/1", "30.0")

        row = stage(day, 1)

        assert ("30", "28.0", "32.0", "step 4") == tuple(
            row[key] for key in ("target", "window_from", "window_to", "manual")
        )


def test_gates_belong_to_no_group() -> None:
    """What is measured once at the joint is no figure of a group of fasteners."""
    day = Daybook()
    day.measured("3.1/-", "0.18")

    assert all("stage" not in row for row in day.record()["group"])


def test_what_did_not_move_takes_no_part_in_the_mean_of_first_movements() -> None:
    """One moved at 10 N·m, one had not moved at 12: 10 is all that is known."""
    day = Daybook()
    for step, read, moved in (("7.1/11", "10", True), ("7.1/12", "12", False)):
        fields = {"tool": "w5", "typed": read, "value": read, "unit": "N·m", "at_fastener": read, "verdict": "within"}
        more = {"method": "first movement", "window": ("9", "12"), "noted": () if moved else ("unmoved",), **fields}
        day.add(e.Rechecked, step=step, attempt=1, pass_no=1, moved=moved, **more)

    figures = next(row for group in day.record()["group"] for row in group.get("stage", ()) if row["stage"] == 7)

    assert (1, "10", 1) == (figures["readings"], figures["least"], figures["no_movement"])
    assert figures["least"] == figures["most"]
