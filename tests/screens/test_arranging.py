"""What fits into a terminal: the question and its keys always do, the rest gives way in a fixed order."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from clampbook.run.prompts import Choice
from clampbook.run.told.clamp_loads import Estimated, estimate_line
from clampbook.run.told.words import Figure
from clampbook.screens.arranging import GAP, brief, of_both, packed, room, usual_map, whole, wrapped
from clampbook.screens.shown import Shown
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.screens.widgets.figures import width_of
from clampbook.screens.widgets.large_figures import frame_columns

KEYS = tuple(KeyHint(key, text) for key, text in (("+", "clicked"), ("/", "note"), ("F1", "help"), ("F2", "all")))
PULL = Shown(
    "Position 3, round 1 of Head bolts: set W2 to 22.1 lbf·ft and pull slowly until it lets go, once.",
    hand=Figure("22.1", "on W2", "set to", "lbf·ft"),
    position=Figure("3", "", "position", framed=True),
    lines=("target 30.0 N·m", "window 28.0 to 32.0 N·m", "sheet: step 4"),
    keys=KEYS,
    picture=True,
)


def test_zoomed_there_is_one_number_and_one_bolt() -> None:
    """At 40 columns: no map, no line of readings, number and position equally large."""
    fits = room(PULL, 40, 15, "")

    assert (True, False) == (fits.strip or not fits.map, fits.stages)
    assert fits.figures.tall is not None
    assert fits.figures.place


def test_on_a_usual_terminal_the_map_is_there_too() -> None:
    """At 80 by 24, and larger figures on a larger one."""
    usual, large = room(PULL, 80, 24, "Stored."), room(PULL, 120, 36, "Stored.")

    assert (True, True) == (usual.map, large.map)
    assert usual.figures.tall is not None
    assert large.figures.tall is not None
    assert usual.figures.tall < large.figures.tall


def test_what_was_stored_is_repeated_large_where_there_is_room() -> None:
    """Beside number and position, in figures of the same size."""
    kept = Figure("22.4", "", "saved, within ●", "lbf·ft")
    usual, wide = room(PULL, 60, 24, "", kept).figures, room(PULL, 160, 36, "", kept).figures

    assert (False, True) == (usual.kept, wide.kept)


def test_what_the_notice_tells_is_not_told_again_in_a_line() -> None:
    """Right after an under its value stands beside the notice at most."""
    again = replace(PULL, lines=("last reading 19 lbf·ft, under", "sheet: step 4"))

    assert ("sheet: step 4",) == room(again, 80, 24, "Under.", Figure("19", "lbf·ft", "saved, under ▄")).lines
    assert again.lines == tuple(room(again, 40, 24, "Noted.").lines)


def test_a_line_is_whole_or_not_there() -> None:
    """Where rows are few, first what stands in brackets goes, then the line."""
    lines = ("window 20.7 to 23.6 lbf·ft", "prevailing torque: 2.1 N·m (read with W5, before it seats)")

    assert (lines[0], "prevailing torque: 2.1 N·m") == whole(lines, 38, 2, wrapped)
    assert lines[:1] == whole(lines, 38, 1, wrapped)


def test_the_window_goes_last() -> None:
    """What a reading is judged by matters more than the target, whichever of them stands first."""
    lines = ("target 30.0 N·m", "window 20.7 to 23.6 lbf·ft (28.0 to 32.0 N·m)")

    assert wrapped(lines[1:], 38) == whole(lines, 38, 2, wrapped)
    assert ("window 20.7 to 23.6 lbf·ft",) == whole(lines, 38, 1, wrapped)
    assert () == whole(lines, 38, 0, wrapped)


ESTIMATE = estimate_line(Estimated(15e3, 19e3, 24e3, 0.37))


@pytest.mark.parametrize(
    ("found", "short"),
    [
        (Estimated(15e3, 19e3, 24e3, 0.37), "est. 19 kN (15–24)"),
        (Estimated(44e3, 52e3, 61e3, 1.02, beyond=True), "est. 52 kN (44–61), past yield"),
    ],
)
def test_where_columns_are_few_an_estimate_is_said_in_few_words(found: Estimated, short: str) -> None:
    """It keeps its band and what makes it an estimate, and fits into one row of 40 columns."""
    line = estimate_line(found)

    assert ("target 30.0 N·m", short) == whole(("target 30.0 N·m", line.whole), 38, 2, wrapped, line)


def test_an_estimate_stands_with_its_band_or_not_at_all() -> None:
    """However few the rows: the likely load alone would look like a measured one."""
    lines = ("target 30.0 N·m", ESTIMATE.whole)
    shown = {whole(lines, 38, rows, wrapped, ESTIMATE) for rows in range(1, 5)}

    assert {lines[:1], (lines[0], "est. 19 kN (15–24)"), wrapped(lines, 38)} == shown


@settings(max_examples=300)
@given(
    width=st.integers(24, 200),
    height=st.integers(10, 70),
    hand=st.sampled_from(["5", "22.1", "123.45", "90°", "2–6°"]),
    position=st.sampled_from(["3", "14", "1–12", "200"]),
)
def test_both_figures_fit_beside_each_other_or_neither_is_large(
    width: int, height: int, hand: str, position: str
) -> None:
    """The position never pushes the number out of the window."""
    shown = Shown("Pull.", hand=Figure(hand, "", "set to", "N·m"), position=Figure(position, framed=True), keys=KEYS)

    fits = room(shown, width, height, "")

    large = fits.figures
    if large.tall is not None and large.place and not large.stacked:
        frame = frame_columns(large.tall)
        assert large.hand >= width_of(hand, large.tall) + GAP - 1
        assert large.hand + width_of(position, large.tall) + frame <= width - 2


@pytest.mark.parametrize(
    ("remainder", "rows", "stacked", "place"),
    [("44–48", 15, False, True), ("14.5–18.5", 24, True, True), ("14.5–18.5", 15, False, False)],
)
def test_a_long_number_never_reads_as_one_with_the_position(
    remainder: str, rows: int, stacked: bool, place: bool
) -> None:
    """At 40 columns the remainder of a turn stands beside the frame, else above it; where rows are few it names the
    position in words."""
    sentence = "Position 8 of Head bolts: turn it 44° to 48° more, from the same mark, then type what G1 shows of it."
    hand, position = Figure(remainder, "", "turn more", "degrees"), Figure("88", "", "position", framed=True)

    figures = room(Shown(sentence, hand=hand, position=position, field="angle", keys=KEYS), 40, rows, "Stored.").figures

    assert (stacked, place, True) == (figures.stacked, figures.place, figures.tall is not None)


@settings(max_examples=200)
@given(st.integers(20, 160), st.integers(8, 60), st.integers(0, 20))
def test_no_more_is_shown_than_there_are_rows(width: int, height: int, count: int) -> None:
    """A long list scrolls in what is left, and the map only comes where it can be read."""
    shown = Shown(
        "Other actions",
        choices=tuple(Choice(str(n), "something else happened", f"code_{n}") for n in range(count)),
        keys=KEYS,
    )

    fits = room(shown, width, height, "")

    assert fits.listed >= 2
    assert not fits.map


def test_short_lines_stand_side_by_side_each_whole() -> None:
    """Never one broken in two where it fits by itself."""
    lines = ("target 30.0 N·m", "window 28.0 to 32.0 N·m", "sheet: step 4")

    assert ("target 30.0 N·m     window 28.0 to 32.0 N·m", "sheet: step 4") == packed(lines, 60)


def test_where_rows_are_few_the_keys_of_the_question_stay() -> None:
    """What the help tells anyway goes first."""
    assert ("+", "/", "F1") == tuple(hint.key for hint in brief(KEYS))


def test_a_path_is_broken_behind_its_parts() -> None:
    """Never within a word, so that it can be read and typed again."""
    path = "runs/20260302-whinchat-pattern-c-head-k7q2m4xa/record.toml"

    rows = wrapped((f"The record is in {path}.",), 38)

    assert f"{path}." == "".join(rows).replace(" ", "").removeprefix("Therecordisin")
    assert ["-", "/"] == [row[-1] for row in rows[:-1]]


def test_what_can_be_chosen_is_worth_more_than_the_lines_above_it() -> None:
    """The first line stays: a decision is made against the window."""
    choices = tuple(Choice(str(n), "a way to go on", f"code_{n}") for n in range(1, 5))
    shown = Shown(
        "Over.", lines=("window 28 to 32 N·m", "fastener: M10", "sheet: step 4"), choices=choices, field="number"
    )

    low, usual = room(shown, 40, 8, ""), room(shown, 40, 14, "")

    assert (packed(shown.lines[:2], 38), False) == (low.lines, low.apart)
    assert (packed(shown.lines, 38), True) == (usual.lines, usual.apart)


@pytest.mark.parametrize(
    ("columns", "told"),
    [
        (78, "set to, lbf·ft on W2, positions 1, 9, 5, 13"),
        (38, "lbf·ft on W2, positions 1, 9, 5, 13"),
        (20, "lbf·ft on W2"),
    ],
)
def test_below_a_number_alone_its_unit_and_tool_come_first(columns: int, told: str) -> None:
    """Where there is no room for all, the place goes, which the sentence names too; nothing is cut."""
    hand, place = Figure("22.1", "on W2", "set to", "lbf·ft"), Figure("1, 9, 5, 13", "", "positions")

    assert told == of_both(hand, place, columns)


def test_a_circle_keeps_the_rows_in_which_it_is_round() -> None:
    """The lines under the sentence give way before it is flattened."""
    load = "estimated clamp load 32 kN (25 to 42), 22 % of proof load"
    more = ("attempt 2, started over after it was over", "fastener: M20, as it is marked on its head", "gasket: V-9")
    shown = replace(PULL, lines=(*PULL.lines, load, *more, "estimates are no measurement of what it holds"))

    rows = tuple(len(room(shown, 80, 24, "Stored.", circle=each).lines) for each in (False, True))
    assert (5, 3) == rows
    assert (7, 9) == (usual_map(24), usual_map(24, circle=True))
