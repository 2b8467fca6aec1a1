"""What stands on the pages: deviations first, clicks never as readings, and no number rounded into its window."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.demo import samples
from clampbook.record.frozen import read
from clampbook.record.pages.blocks import Block, Chart, Facts, Heading, Map, Readings, Sentences, Table, Title
from clampbook.record.pages.chart import chart
from clampbook.record.pages.joint_map import HEIGHT, WIDTH, joint_map
from clampbook.record.pages.marks import outcome
from clampbook.record.pages.pages import blocks
from clampbook.record.pages.signs import DRAWN, breakable, drawn
from clampbook.record.pages.telling import Row, number
from clampbook.record.record import build
from clampbook.run import events as e
from clampbook.run.plan import encode
from walks import Files, bad_day, frozen, of_sheet

from .daybooks import Daybook
from .flat import flat
from .head import INES, MAUD, OKKE, PROCEDURE, W2, W5, a_plan


def of(files: Files, **beside: bytes) -> list[Block]:
    """The blocks of a run's report."""
    told = tomllib.loads(build(*files).decode())
    return list(flat(blocks(read(*files).plan, told, {"daybook.jsonl": files[2], **beside})))


def written(day: Daybook, **beside: bytes) -> list[Block]:
    """The blocks of the report of a daybook that a test wrote."""
    return of((PROCEDURE, encode(day.plan), day.data), **beside)


def title(found: list[Block]) -> Title:
    """The head of page one."""
    return next(block for block in found if isinstance(block, Title))


def headings(found: list[Block], level: int = 1) -> list[str]:
    """The headings of one level."""
    return [block.text for block in found if isinstance(block, Heading) and block.level == level]


def below(found: list[Block], heading: str) -> Iterator[Block]:
    """What stands under a heading, up to the next one of its level."""
    start = next(i for i, block in enumerate(found) if isinstance(block, Heading) and block.text == heading)
    level = getattr(found[start], "level", 1)
    for block in found[start + 1 :]:
        if isinstance(block, Heading) and block.level <= level:
            return
        yield block


def rows(found: list[Block], heading: str) -> list[tuple[object, ...]]:
    """The rows of the first table under a heading."""
    return list(next(block.rows for block in below(found, heading) if isinstance(block, Table)))


class TestOrder:
    """A reader in a hurry has what matters on page one."""

    def test_deviations_tools_and_sign_offs_come_first_and_the_proof_last(self) -> None:
        """The parts of the report in their order."""
        assert [
            "Deviations and decisions",
            "Tools used",
            "Sign-offs",
            "The joint",
            "Readings by stage",
            "Estimated clamp load",
            "Tools in detail",
            "People and parts",
            "Interruptions and notes",
            "What was not measured",
            "Queries answered in the procedure",
            "Follow-up",
            "What this record proves",
        ] == headings(of(bad_day()))

    def test_each_deviation_stands_with_what_was_decided_when_and_by_whom(self) -> None:
        """An over that was left so by concession."""
        where, what, decided, when, line = rows(of(bad_day()), "Deviations and decisions")[3]

        assert ("52", "Head bolt 1, stage\u00a05", "10:02:33, Ines") == (line, where, when)
        assert "▀\u00a0turn over: 97°, window 90–94°" == what
        assert ("◆\u00a0concession by Okke (typed name): as agreed (10:02:36)",) == decided

    def test_a_run_without_deviations_says_so(self) -> None:
        """Twice: in the head, and where they would stand."""
        day = Daybook()
        day.add(e.Closed, outcome="trial")
        named = written(day)

        assert "no deviations" not in title(named).outcome  # its steps were never done

        bench, sheet = of_sheet(next(path for path in samples() if path.stem == "shaft-flange-16"))
        bench.steadily()
        found = of(frozen(bench, sheet))

        assert "Done, no deviations" == title(found).outcome
        assert [Sentences(("None.",))] == list(below(found, "Deviations and decisions"))


class TestWarnings:
    """What a reader must know at once."""

    @pytest.mark.parametrize(("status", "word"), [("draft", "a draft"), ("withdrawn", "withdrawn")])
    def test_a_procedure_that_is_not_released_is_named_on_page_one(self, status: str, word: str) -> None:
        """Also when the person who walked it knew."""
        said = f"The procedure was {word}."

        assert said in title(written(Daybook(a_plan(status=status)))).notices

    def test_a_released_one_raises_no_notice(self) -> None:
        """All is well and nothing is said."""
        day = Daybook(a_plan(status="released"))
        day.add(e.SignedOff, role="assembler", person=INES, meaning="performed", key="SHA256:abc")
        day.add(e.Closed, outcome="done")

        assert () == title(written(day)).notices

    def test_a_seal_that_nobody_signs_is_named(self) -> None:
        """Nobody who signed has a key: page one says so."""
        day = Daybook(a_plan(status="released"))
        day.add(e.SignedOff, role="assembler", person=INES, meaning="performed", key=None)
        day.add(e.Closed, outcome="done")

        assert title(written(day)).notices == ("Names were typed. Seal not signed.",)

    def test_a_trial_and_an_unfinished_run_are_named(self) -> None:
        """Neither may be taken for the final one."""
        notices = title(written(Daybook(a_plan(trial=True)))).notices

        assert any(notice.startswith("Trial assembly: ") for notice in notices)
        assert "Printed before the run ended." in notices


class TestClicks:
    """A click is no reading."""

    def test_a_clicked_round_has_a_setting_and_no_chart(self) -> None:
        """Set to what, and nothing that could be taken for what was reached."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W2)
        for position in ("1", "2", "3", "4"):
            day.clicked(f"1.1/{position}")

        found = list(below(written(day), "1  Tighten to 30.0 N·m (22.1 lbf·ft)"))

        assert not [block for block in found if isinstance(block, Chart | Readings)]
        assert ["○\u00a0clicked: 1–4, set to 30.0 N·m, with W2, by Ines, 09:00:30 to 09:01:00. No reading."] == [
            line for block in found if isinstance(block, Sentences) for line in block.lines
        ]

    def test_readings_beside_clicks_are_charted_alone(self) -> None:
        """Two readings, two clicks: two dots."""
        day = Daybook()
        day.add(e.ToolTaken, tool=W2)
        day.clicked("1.1/1")
        day.clicked("1.1/2")
        day.add(e.ToolTaken, tool=W5)
        day.reading("1.1/3", "30.2")
        day.reading("1.1/4", "29.9")

        drawn_ = [block for block in written(day) if isinstance(block, Chart)]

        assert [2] == [len(mark.points) for each in drawn_ for mark in each.marks]
        assert ["3", "4"] == [tick.text for tick in drawn_[0].across]

    def test_a_length_stands_as_it_was_typed(self) -> None:
        """120.00 and 120.14 mm before and after: a hundredth is what a stretch is about."""
        folder = Path(__file__).parents[1] / "golden" / "clamp-loads"
        files = tuple((folder / name).read_bytes() for name in ("procedure.toml", "plan.json", "daybook.jsonl"))
        told = [
            str(row)
            for block in of((files[0], files[1], files[2]))
            if isinstance(block, Readings)
            for row in block.rows
        ]

        assert [row for row in told if "120.00" in row]
        assert [row for row in told if "120.14" in row]


class TestChart:
    """Readings against their window."""

    def test_the_window_lies_between_its_ends_and_the_readings_in_it(self) -> None:
        """Higher values stand higher; what is over stands above the band."""
        made = chart([_reading("1", "28"), _reading("2", "32"), _reading("3", "33", "over")], ["1", "2", "3"], "30")

        assert made is not None
        band = made.bands[0]
        at = {mark.look: [y for _, y in mark.points] for mark in made.marks}
        assert [band.bottom, band.top] == at["within"]
        assert at["over"][0] < band.top < made.target < band.bottom  # type: ignore[operator]

    def test_a_window_that_moves_with_the_prevailing_torque_is_a_band_of_its_own_without_a_target(self) -> None:
        """A prevailing torque of 6 N·m moves window and target of that nut alone."""
        moved = {**_reading("2", "36"), "window_from": "34", "window_to": "38"}
        made = chart([_reading("1", "30"), moved], ["1", "2"], "30")

        assert made is not None
        assert made.target is None
        assert ["28 N·m", "38 N·m"] == [tick.text for tick in made.upwards]
        assert [(0.0, 0.5), (0.5, 1.0)] == [(band.left, band.right) for band in made.bands]
        assert made.bands[1].top < made.bands[0].top

    def test_a_recheck_that_was_still_is_charted_by_what_it_showed(self) -> None:
        """Still and moved say nothing of the window."""
        made = chart([{**_reading("1", "33", "still"), "verdict": "over"}], ["1"], "30")

        assert made is not None
        assert ["over"] == [mark.look for mark in made.marks]

    def test_points_too_far_apart_are_wrong_and_not_over(self) -> None:
        """The last point is within its window."""
        last = {**_reading("1", "30", "too far apart"), "verdict": "within", "spread_of_points": "3"}

        made = chart([last], ["1"], None)

        assert made is not None
        assert ["wrong"] == [each.look for each in made.marks]
        assert "!\u00a0too far apart" == outcome(last)

    def test_what_lies_far_off_stands_at_the_edge_with_its_number(self) -> None:
        """A slip of the decimal point does not flatten all others."""
        made = chart([_reading("1", "30"), _reading("2", "300", "over")], ["1", "2"], "30")

        assert made is not None
        assert ["300"] == [words for _, _, words in made.beyond]
        assert made.bands[0].bottom - made.bands[0].top > 0.3

    def test_a_gap_stands_as_high_as_it_is_wide(self) -> None:
        """0.02 of at most 0.05 mm is a gap, and stands well above none and below the most."""
        gaps = [
            {**_reading(name, value), "window_from": None, "window_to": "0.05", "judged_unit": "mm"}
            for name, value in (("1", "0.00"), ("2", "0.02"), ("3", "0.05"))
        ]
        made = chart(gaps, ["1", "2", "3"], None)

        assert made is not None
        none, some, most = (y for mark in made.marks for _, y in mark.points)
        assert 0.9 < none < 1
        assert most < made.bands[0].top + 0.001
        assert 0.35 < (none - some) / (none - most) < 0.45

    def test_what_does_not_count_any_more_is_marked_as_past(self) -> None:
        """An earlier attempt beside the one that stands."""
        made = chart([_reading("1", "33", "over", "earlier attempt"), _reading("1", "30")], ["1"], "30")

        assert made is not None
        assert [("over", True), ("within", False)] == [(mark.look, mark.past) for mark in made.marks]

    def test_all_dots_of_a_look_are_one_path(self) -> None:
        """However many readings there are."""
        names = [str(number) for number in range(2000)]
        made = chart([_reading(name, "30") for name in names], names, "30")

        assert made is not None
        assert [2000] == [len(mark.points) for mark in made.marks]
        assert len(made.across) <= 40

    def test_without_a_window_there_is_nothing_to_chart(self) -> None:
        """A reading alone is a number in the table."""
        assert chart([{**_reading("1", "30"), "window_from": None, "window_to": None}], ["1"], None) is None


def _reading(position: str, value: str, outcome: str = "within", standing: str = "counts") -> Row:
    return {
        "position": position,
        "at_fastener": value,
        "judged_unit": "N·m",
        "outcome": outcome,
        "standing": standing,
        "window_from": "28",
        "window_to": "32",
    }


class TestMap:
    """The joint as the plan draws it."""

    @pytest.mark.parametrize("sheet", samples(), ids=lambda path: path.stem)
    def test_every_position_has_its_place_and_none_covers_another(self, sheet: object) -> None:
        """Heads of bolts keep clear of each other and of the edge."""
        plan = of_sheet(sheet)[0].plan  # type: ignore[arg-type]
        made = joint_map(plan.layout, dict.fromkeys(plan.group_of, "within"))

        assert made is not None
        assert set(plan.group_of) == {spot.label for spot in made.spots}
        assert made.width <= WIDTH + 0.01
        assert made.height <= HEIGHT + 0.01
        for one in made.spots:
            assert made.head / 2 <= one.x <= made.width - made.head / 2
            for other in made.spots:
                apart = ((one.x - other.x) ** 2 + (one.y - other.y) ** 2) ** 0.5
                assert one is other or apart > made.head

    def test_a_position_by_concession_has_its_mark(self) -> None:
        """What must be looked at is seen on the picture too."""
        made = next(block for block in of(bad_day()) if isinstance(block, Map))

        assert ["1"] == [spot.label for spot in made.spots if spot.look == "◆"]
        assert ("◆", "by concession") in made.legend
        assert "inlet side" == made.edges["above"]

    def test_too_many_positions_for_a_page_are_told(self) -> None:
        """No picture is better than one in which nothing can be told apart."""
        plan = a_plan()
        layout = plan.layout.__class__(
            kind="at",
            places=tuple(plan.layout.places[0].__class__(position=str(n), x=float(n), y=0.0) for n in range(300)),
        )

        assert joint_map(layout, {str(number): "within" for number in range(300)}) is None


class TestNumbers:
    """What is rounded for reading never changes sides."""

    @pytest.mark.parametrize(
        ("value", "shown"),
        [("43.386", "43.39"), ("32.0004", "32.0004"), ("27.9996", "27.9996"), ("31.99996", "32.00"), ("30", "30")],
    )
    def test_as_many_digits_as_its_place_beside_the_window_needs(self, value: str, shown: str) -> None:
        """Window 28 to 32."""
        assert shown == number(value, "28", "32")

    @given(
        value=st.decimals(min_value=-1000, max_value=1000, places=6),
        low=st.decimals(min_value=-100, max_value=100, places=1),
        width=st.decimals(min_value=0, max_value=50, places=1),
    )
    def test_inside_stays_inside_and_outside_outside(self, value: Decimal, low: Decimal, width: Decimal) -> None:
        """Whatever the window."""
        high = low + width
        shown = Decimal(number(str(value), str(low), str(high)).replace("−", "-"))

        assert (low <= value <= high) == (low <= shown <= high)


class TestSigns:
    """Every text can be drawn."""

    @given(st.text())
    def test_nothing_is_left_that_has_no_glyph(self, text: str) -> None:
        """Lone surrogates, private signs and all scripts included."""
        assert {ord(sign) for sign in drawn(text)} <= DRAWN

    @given(st.text(alphabet="abc 123é", max_size=200))
    def test_a_text_that_can_be_drawn_stays_as_it_is(self, text: str) -> None:
        """Breaking places are unseen."""
        assert text == breakable(drawn(text)).replace("\u200b", "")


class TestBetween:
    """What came in between is told line by line."""

    def test_a_break_with_a_implausible_clock_says_so_and_names_no_length(self) -> None:
        """How long it was is not known."""
        day = Daybook()
        day.add(e.Paused, cause="asked")
        day.add(e.Resumed, gap=None, clock="implausible")
        day.add(e.Resumed, gap="5400", clock="plausible", torn_bytes=12, person=MAUD)

        told = [row[1] for row in rows(written(day), "Interruptions and notes")]

        assert [
            "Paused by Ines",
            "Resumed, clock implausible",
            "Resumed after 1 h 30 min, by Maud, 12 bytes of a torn line",
        ] == told

    def test_a_hold_says_why_and_nothing_twice(self) -> None:
        """Tea is reason enough; that an inspection is waited for is said beside it."""
        day = Daybook()
        day.add(e.Held, reason="tea", cause="other")
        day.add(e.Held, reason="Maud comes tomorrow", cause="awaiting inspection")
        day.add(e.Paused, cause="terminal closed")

        told = [row[1] for row in rows(written(day), "Interruptions and notes")]

        assert [
            "On hold: tea",
            "On hold: awaiting inspection: Maud comes tomorrow",
            "Paused: terminal closed",
        ] == told

    def test_an_empty_list_of_cautions_is_no_fault(self) -> None:
        """Nothing to read is nothing to show."""
        day = Daybook()
        day.add(e.CautionsRead, item="cautions", cautions=())
        day.add(e.Prepared, item="prepared:Head bolts", group="Head bolts", prepared=())

        assert ["", ""] == [row[2] for row in rows(written(day), "People and parts")]


class TestProof:
    """The record does not say more than it knows."""

    def test_typed_names_are_called_that_and_never_signed(self) -> None:
        """With their meaning and the full time."""
        assert [
            (
                "hold point, stage\u00a09",
                "Maud",
                "typed name",
                "independently inspected",
                "2026-03-02 11:16 +01:00",
                "Tomas",
            ),
            ("assembler", "Ines", "typed name", "performed", "2026-03-02 11:16 +01:00", "Tomas"),
            ("assembler", "Tomas", "typed name", "performed", "2026-03-02 11:16 +01:00", "Tomas"),
            ("inspector", "Maud", "typed name", "independently inspected", "2026-03-02 11:16 +01:00", "Tomas"),
        ] == rows(of(bad_day()), "Sign-offs")

    def test_the_fingerprint_stands_there_with_the_number_of_lines(self) -> None:
        """A chain alone does not show a cut tail."""
        files = bad_day()
        facts = dict(
            next(block.rows for block in below(of(files), "What this record proves") if isinstance(block, Facts))
        )
        lines = files[2].splitlines()

        assert str(len(lines)) == facts["Lines in the daybook"]
        assert _sha(lines[-1]) == facts["Last line, SHA-256"].replace(" ", "")
        assert facts["Log of the book before"].startswith("empty")

    def test_an_unsigned_record_says_what_it_does_not_show(self) -> None:
        """And one that was signed says on what its worth hangs."""
        day = Daybook()
        day.add(e.SignedOff, role="assembler", person=INES, meaning="performed", key=None)
        unsigned = next(
            block for block in below(written(day), "What this record proves") if isinstance(block, Sentences)
        )
        day.add(e.SignedOff, role="inspector", person=MAUD, meaning="independently inspected", key="SHA256:abc")
        announced = written(day)
        text = "signoff-1.txt"
        signed = written(day, **{"facts.sha256": b"", text: b"Name:           Maud (maud)\n", f"{text}.sig": b""})

        assert unsigned.lines[0].startswith("Names were typed.")
        said = next(block for block in below(announced, "What this record proves") if isinstance(block, Sentences))
        assert said.lines[0].startswith("Not every announced signature is attached.")
        said = next(block for block in below(signed, "What this record proves") if isinstance(block, Sentences))
        assert said.lines[0].startswith("Signed. ")
        command = f"ssh-keygen -Y verify -f allowed_signers -I maud -n clampbook -s {text}.sig < {text}"
        assert [(text, command)] == [
            row for b in signed if isinstance(b, Table) and "Command" in b.head for row in b.rows
        ]
        assert "SHA256:abc" in {value for b in signed if isinstance(b, Facts) for _, value in b.rows}

    def test_two_people_of_one_name_stay_two(self) -> None:
        """By their ids."""
        day = Daybook()
        day.add(e.HandedOver, to=OKKE.__class__("ines-2", "Ines"), done_by_person=None)

        assert ("People", "Ines (ines), Ines (ines-2)") in {
            pair for block in written(day) if isinstance(block, Facts) for pair in block.rows
        }


def _sha(line: bytes) -> str:
    from hashlib import sha256

    return sha256(line).hexdigest()
