"""The map where it has room: a frame for each place, an outline, and what comes next."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from rich.cells import cell_len

from clampbook.procedure.model import Layout
from clampbook.screens.widgets.map_drawing import Sight, draw, pictured, plain
from clampbook.screens.widgets.map_piece import Line
from clampbook.screens.widgets.marks import Mark
from screens.widgets.gallery import FITS, HEAD, circle, rows

LARGE = (118, 16)
FIVE = circle(5)


def picture(
    layout: Layout, marks: dict[str, Mark], now: str, ahead: tuple[str, ...] = (), size: tuple[int, int] = LARGE
) -> list[str]:
    """The map as plain lines."""
    return [plain(line) for line in draw(layout, marks, (now,), *size, ahead=ahead)]


def test_the_one_now_has_the_thick_frame_and_the_next_two_a_broken_one() -> None:
    """All others a thin one: shapes say it, without any colour."""
    shown = "\n".join(picture(HEAD, {"1": "within"}, "3", ("4", "5")))

    assert ("┃ 3    ┃" in shown, "╎ 4    ╎" in shown, "╎ 5    ╎" in shown) == (True, True, True)
    assert ("│ 1  ● │" in shown, shown.count("┏"), shown.count("╭╌")) == (True, 1, 2)


def test_the_edges_of_the_part_are_drawn_with_their_names() -> None:
    """A rounded outline around rows, the person's side below."""
    shown = picture(HEAD, {}, "3")
    upper, lower = (next(line for line in shown if side in line) for side in ("inlet", "exhaust"))

    assert ("╭", "╮") == (upper.strip()[0], upper.rstrip()[-1])
    assert "─ exhaust side · you stand here ─" in lower
    assert any(line.lstrip().startswith("front │") for line in shown)


@pytest.mark.parametrize("size", [LARGE, (78, 8), (40, 6)])
def test_the_edges_of_a_single_nut_are_as_long_as_their_names(size: tuple[int, int]) -> None:
    """A propeller has one nut: from where it is seen, and where the person stands, can still be read."""
    shown = "\n".join(picture(replace(rows("1"), seen_from="astern"), {}, "1", size=size))

    assert ("─ seen from astern ─" in shown, "─ you stand on this side ─╯" in shown) == (True, True)


def test_a_ring_runs_through_a_circle() -> None:
    """Seen between the frames only."""
    shown = picture(circle(12), {}, "1", size=(118, 18))

    assert any(" ──" in line for line in shown)
    assert any({"╮", "╯"} & set(line.replace("╰──────╯", "").replace("╭──────╮", "")) for line in shown)


@pytest.mark.parametrize("mark", ["within", "clicked", "under", "over", "concession", "broken", "void", "to do"])
def test_five_nuts_are_drawn_with_large_numbers_and_large_marks(mark: Mark) -> None:
    """Few places fill the picture as many do; no two marks have one shape."""
    others: tuple[Mark, ...] = ("within", "clicked", "under", "over", "concession", "broken", "void", "to do")
    shown = picture(FIVE, {"1": mark}, "3", size=(118, 18))

    assert any("█" in line or "▀" in line for line in shown)
    assert [mark] == [other for other in others if picture(FIVE, {"1": other}, "3", size=(118, 18)) == shown]


def tones(lines: tuple[Line, ...], text: str) -> set[str]:
    """The tones of pieces with this text in them."""
    return {piece.tone for line in lines for piece in line if text in piece.text}


def test_only_what_calls_for_a_look_has_a_colour_there_too() -> None:
    """The mark has it, its frame and number never."""
    lines = draw(HEAD, {"1": "over", "2": "within"}, ("3",), *LARGE)

    assert ({"over"}, {"ink"}) == (tones(lines, "▀"), tones(lines, "●"))
    assert {"quiet"} == tones(lines, "╭")


def test_the_rarer_kind_of_bolt_is_underlined_in_its_frame() -> None:
    """As on the smaller map, with the same line below."""
    lines = draw(HEAD, {}, (), *LARGE, fits=FITS)

    assert {"1", "2", "3", "4"} < {piece.text for line in lines for piece in line if piece.underlined}


def test_where_not_all_frames_fit_there_are_none() -> None:
    """On the usual terminal the head stands in single lines."""
    assert not any("╭" in line for line in picture(HEAD, {}, "3", size=(78, 7)))


@settings(max_examples=80, deadline=None)
@given(
    count=st.integers(1, 70),
    width=st.integers(1, 140),
    height=st.integers(1, 40),
    quarters=st.integers(0, 3),
    kind=st.sampled_from(["circle", "rows", "line"]),
)
def test_frames_never_leave_the_window_nor_touch(count: int, width: int, height: int, quarters: int, kind: str) -> None:
    """In any window, turned any way, each place is seen once and nothing lies on anything else."""
    names = " ".join(str(number) for number in range(1, count + 1))
    layout = (
        circle(count) if kind == "circle" else rows(names) if kind == "line" else rows(names, names.replace("1", "x"))
    )
    lines = draw(layout, {"1": "over"}, ("1",), width, height, quarters)

    assert height == len(lines)
    for line in lines:
        ends = [piece.column + cell_len(piece.text) for piece in line]
        assert all(end <= piece.column for end, piece in zip(ends, line[1:], strict=False))
        assert max(ends, default=0) <= max(width, 6)


def test_frames_that_do_not_fit_at_a_pull_stand_at_no_question() -> None:
    """A map that changes its style from question to question has to be read anew each time."""
    roomy = {least: pictured(Sight(HEAD, 78, 14, least=least)).parts for least in (0, 7)}

    assert roomy[0] is not None
    assert roomy[7] is None


def test_frames_are_no_larger_than_at_a_pull() -> None:
    """Nine bolts have large frames in 30 rows, and small ones where a pull leaves them 15."""
    nine = rows("1 2 3", "4 5 6", "7 8 9")
    free, held = (pictured(Sight(nine, 118, 30, least=least)).parts for least in (0, 15))

    assert free is not None
    assert held is not None
    assert (True, False) == (free.box.grand, held.box.grand)
