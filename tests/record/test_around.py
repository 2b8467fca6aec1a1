"""What stands around the pulls: the sheets, breaks, looks, waits, notes, sign-offs, and what falls due."""

from typing import Any

import pytest

from clampbook.record.pages.not_measured import told
from clampbook.run import events as e

from .daybooks import Daybook
from .head import INES, MAUD, TOMAS, a_plan


def only(day: Daybook, table: str) -> dict[str, Any]:
    """The one row of a table."""
    (row,) = day.record()[table]
    return dict(row)


class TestSheet:
    """What was asked and answered before the first pull and after the last."""

    def test_an_answer_stands_with_its_question(self) -> None:
        """Also what the archive searches it as."""
        day = Daybook()
        day.add(e.Asked, item="ask:Engine serial number", typed="C-207", value="C-207")

        row = only(day, "answer")

        assert ("Engine serial number", "C-207", "equipment", "start") == tuple(
            row[key] for key in ("asked", "answer", "is", "when")
        )

    def test_a_question_left_out_on_purpose_says_so(self) -> None:
        """No answer is told apart from an empty one."""
        day = Daybook()
        day.add(e.Asked, item="ask:Running hours", typed=None)

        row = only(day, "answer")

        assert row["left_out"] is True
        assert "answer" not in row

    def test_a_corrected_answer_stays_and_points_to_its_correction(self) -> None:
        """Both stand, the first with the line that put it right."""
        day = Daybook()
        first = day.add(e.Asked, item="ask:Engine serial number", typed="C-270")
        second = day.add(
            e.Corrected,
            of=first,
            step=None,
            attempt=1,
            typed="C-207",
            value="C-207",
            unit=None,
            at_fastener=None,
            window=None,
            verdict=None,
            what="item",
            known="from memory",
            item="ask:Engine serial number",
        )

        rows = day.record()["answer"]

        assert [("C-270", second), ("C-207", None)] == [(row["answer"], row.get("corrected_at_line")) for row in rows]
        assert (first, "from memory") == (rows[1]["corrects"], rows[1]["known"])
        assert "reading" not in day.record()

    def test_cautions_stand_as_they_were_read(self) -> None:
        """Before the work, or before the stage that they belong to."""
        day = Daybook()
        day.add(e.CautionsRead, item="cautions:2", cautions=("Stand clear.",), stage=2)

        row = only(day, "caution")

        assert (["Stand clear."], 2) == (row["read"], row["before_stage"])

    def test_what_was_prepared_stands_with_its_group(self) -> None:
        """Holes dry, washers the right way round."""
        day = Daybook()
        day.add(e.Prepared, item="prepare:Head bolts", group="Head bolts", prepared=("Holes dry and clean.",))

        row = only(day, "prepared")

        assert ("Head bolts", ["Holes dry and clean."]) == (row["group"], row["done"])

    def test_parts_have_their_lots_and_counts(self) -> None:
        """What was used, and what was left over at the end."""
        day = Daybook()
        day.add(e.PartRecorded, item="part:Head gasket", part="Head gasket", typed="lot 88")
        day.add(e.PartRecorded, item="left over:Washers", part="Washers", typed="0")

        rows = day.record()["part"]

        assert [("Head gasket", "lot", "lot 88"), ("Washers", "left over", "0")] == [
            (row["part"], row["recorded"], row["what"]) for row in rows
        ]


class TestInterruptions:
    """Breaks and what was found after them."""

    def test_a_break_says_how_long_it_was(self) -> None:
        """And whether bytes had to be moved aside."""
        day = Daybook()
        day.add(e.Paused, cause="asked")
        day.add(e.Resumed, gap="86400", clock="plausible", torn_bytes=17, person=TOMAS)

        rows = day.record()["interruption"]

        assert ["paused", "resumed"] == [row["what"] for row in rows]
        assert ("86400", 17, "tomas") == (rows[1]["gap_seconds"], rows[1]["torn_bytes"], rows[1]["person"])

    def test_a_hand_over_names_who_goes_on(self) -> None:
        """And whose hands do the work."""
        day = Daybook()
        day.add(e.HandedOver, to=MAUD, done_by_person=TOMAS)

        row = only(day, "interruption")

        assert ("handed over", "Maud", "Tomas") == (row["what"], row["to_name"], row["done_by_person_name"])

    def test_what_was_found_at_the_step_and_behind_it_is_kept(self) -> None:
        """The state of the step at hand, and the look at what was done last."""
        day = Daybook()
        day.add(e.StepState, step="2.1/1", state="started, mark still there")
        day.add(e.LookedBack, position="1", as_left=True)

        rows = day.record()["interruption"]

        assert ("2.1/1", "started, mark still there") == (rows[0]["step"], rows[0]["state"])
        assert ("1", "as left") == (rows[1]["position"], rows[1]["found"])


class TestLooksAndWaits:
    """Gates that need no tool."""

    def test_a_hold_point_names_who_looked_and_what_that_stands_for(self) -> None:
        """The name was typed, and the record says so."""
        day = Daybook()
        fields = {"answer": "yes", "as_expected": True, "inspector": MAUD, "meaning": "independently inspected"}
        day.add(e.Inspected, step="5.1/-", **fields)

        row = only(day, "inspection")

        assert ("Every mark half a turn on?", "yes", True) == (row["asked"], row["answer"], row["hold_point"])
        assert ("Maud", "independently inspected", "typed name") == (
            row["inspector_name"],
            row["meaning"],
            row["name_given_as"],
        )

    def test_a_wait_says_what_was_wanted_and_what_passed(self) -> None:
        """Counted from where the sheet says."""
        day = Daybook()
        day.add(e.Waited, step="4.1/-", since="2026-03-02T07:50:00.000Z", lasts="600")

        row = only(day, "wait")

        assert ("10 min", "last pull", "600", "620", "waited") == tuple(
            row[key] for key in ("as_written", "counted_from", "lasts_seconds", "passed_seconds", "ended")
        )

    def test_a_wait_cut_short_has_its_reason(self) -> None:
        """It stands among the waits as well as among the deviations."""
        day = Daybook()
        day.decided(1, "go on early", "wait", step="4.1/-", reason="the shop closes")

        row = only(day, "wait")

        assert ("cut short", "the shop closes") == (row["ended"], row["reason"])


class TestNotes:
    """What people wanted to have written down, and what came in by itself."""

    def test_a_note_may_be_about_an_older_line(self) -> None:
        """What cannot be corrected any more can still be remarked on."""
        day = Daybook()
        line = day.reading("1.1/1", "30.0")
        day.add(e.Noted, text="typed from the wrong slip of paper", about=line)

        row = only(day, "note")

        assert ("typed from the wrong slip of paper", line) == (row["note"], row["about_line"])

    @pytest.mark.parametrize(("belongs_to", "said"), [("4", "4"), (None, "none")])
    def test_a_line_that_came_unasked_is_kept(self, belongs_to: str | None, said: str) -> None:
        """With the position that somebody said it belongs to."""
        day = Daybook()
        day.add(e.ArrivedUnasked, text="31.2", belongs_to=belongs_to)

        row = only(day, "note")

        assert ("31.2", said) == (row["arrived_unasked"], row["belongs_to"])

    def test_from_where_the_picture_was_seen_is_kept(self) -> None:
        """Working from below mirrors everything."""
        day = Daybook()
        day.add(e.MapTurned, quarters=2, from_below=True)

        row = only(day, "note")
        assert (180, True) == (row["map_turned_degrees"], row["from_below"])


class TestEnding:
    """Who vouched for it, what falls due, and what nobody measured."""

    def test_a_typed_name_is_called_a_typed_name(self) -> None:
        """Without a key nothing was signed, and the word is not used."""
        day = Daybook()
        day.add(e.SignedOff, role="assembler", meaning="performed", person=INES)

        row = day.record()["sign_off"][0]

        assert ("assembler", "Ines", "performed", "typed name") == tuple(
            row[key] for key in ("role", "person_name", "meaning", "name_given_as")
        )
        assert "signed" not in day.text()

    def test_a_key_is_named_by_its_fingerprint(self) -> None:
        """It can be held against the signature that lies beside the record."""
        day = Daybook()
        day.add(e.SignedOff, role="assembler", meaning="performed", person=INES, key="SHA256:abc")

        row = day.record()["sign_off"][0]

        assert "SHA256:abc" == row["key"]
        assert "name_given_as" not in row

    def test_roles_that_nobody_signed_for_are_named(self) -> None:
        """An empty line on a paper sheet shows; so it does here."""
        day = Daybook()
        day.add(e.SignedOff, role="assembler", meaning="performed", person=INES)

        row = day.record()["sign_off"][1]

        assert ("inspector", True, False) == (row["role"], row["left_open"], row["required"])

    def test_a_follow_up_falls_due_by_time_or_by_use(self) -> None:
        """Half an hour after closing, at the offset of the place."""
        day = Daybook()
        day.closed()

        row = only(day, "follow_up")

        assert ("Check again after first run", "1800", "50 km") == (row["title"], row["after_seconds"], row["or_use"])
        assert ("2026-03-02T09:00:20.000+01:00", "2026-03-02T09:30:20.000+01:00") == (
            day.record()["closed_at"],
            row["due_at"],
        )

    def test_an_open_run_has_no_due_time_yet(self) -> None:
        """It counts from closing, which has not come."""
        assert "due_at" not in only(Daybook(), "follow_up")

    @pytest.mark.parametrize("outcome", ["not accepted", "trial", "damaged"])
    def test_nothing_falls_due_after_a_joint_that_was_not_finished(self, outcome: str) -> None:
        """There is nothing yet to check again."""
        day = Daybook()
        day.closed(outcome)

        assert "follow_up" not in day.record()

    def test_clamp_load_is_never_measured(self) -> None:
        """Every record says so, also one that is all readings."""
        found = Daybook().record()["not_measured"]

        assert {"clamp_load": True} == found
        assert ["Clamp load was not measured."] == list(told(found))

    @pytest.mark.parametrize(
        ("rows", "said"),
        [
            (("pull", "turn"), " Torque and angle only indicate it."),
            (("pull", "recheck"), " Torque only indicates it."),
            (("pressure",), " Pressure only indicates it."),
            (("gap",), ""),
        ],
    )
    def test_what_indicates_it_is_what_there_was(self, rows: tuple[str, ...], said: str) -> None:
        """A tensioner has neither torque nor angle; a gap of the joint is no pressure."""
        at_each = {"kind": "measurement", "position": "1", "tool": "pr3"}
        measured: dict[str, dict[str, str]] = {"pressure": {**at_each, "unit": "bar"}, "gap": {**at_each, "unit": "mm"}}
        readings = [measured.get(kind, {"kind": kind}) for kind in rows]

        assert [f"Clamp load was not measured.{said}"] == list(told({"clamp_load": True}, readings))

    def test_clicks_marks_and_rechecks_by_feel_are_counted_as_no_readings(self) -> None:
        """One sentence for each kind of thing that gave no number."""
        day = Daybook(a_plan())
        day.clicked("1.1/1")
        day.confirmed("6.1/11", "6.1/12")
        day.turned("2.1/1", None, None)
        day.add(e.Rechecked, step="7.1/11", attempt=1, pass_no=1, moved=False, method="tighten on", tool="w2")

        found = list(told(day.record()["not_measured"]))

        assert "3 clicks of a setting tool. A click is not a reading." == found[1]
        assert "2 clicks confirmed several at once, not pull by pull." == found[2]
        assert "1 turn by the mark, no angle measured." == found[3]
        assert "1 recheck for movement only, no torque read." == found[4]
