"""The map as it is read: marks, the ones now, the sides, where the person stands, and what fits where."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from clampbook.procedure.model import Layout
from clampbook.screens.widgets.map_drawing import Sight, draw, framed, line_at, pictured, plain
from clampbook.screens.widgets.marks import Mark
from screens.widgets.gallery import EVERY_MARK, FITS, HEAD, circle, rows


def read(*args: object, **kwargs: object) -> list[str]:
    """The map as plain lines, empty ones left out."""
    lines = [plain(line).rstrip() for line in draw(*args, **kwargs)]  # type: ignore[arg-type]
    return [line for line in lines if line]


def test_the_map_shows_every_mark_beside_its_position() -> None:
    """All outcomes and states of a joint at once, without any colour."""
    expected = [
        "                      inlet side",
        "       ↺11 ?9  ▀5  ○1  ▄4  ×8  ·12",
        "front      –10 ◆6  ●2  ┃3┃ !7",
        "       ·13                     ·14",
        "          exhaust side · you stand here",
    ]

    shown = read(HEAD, EVERY_MARK, ("3",), 36, 5)

    assert [line.split() for line in expected] == [line.split() for line in shown]


def middle(line: str, words: str) -> float:
    """The middle of these words in a line."""
    return line.index(words) + len(words) / 2


@pytest.mark.parametrize("width", [60, 80, 120])
def test_both_edges_are_named_on_one_axis(width: int) -> None:
    """What stands behind the name of the near edge does not push it aside."""
    shown = read(HEAD, {}, ("3",), width, 8)

    assert abs(middle(shown[0], "inlet side") - middle(shown[-1], "exhaust side")) <= 1


def test_where_columns_are_few_the_near_edge_stands_in_the_middle_with_the_person() -> None:
    """Its name is not pushed to the left by what stands behind it."""
    foot = read(HEAD, {}, (), 38, 8)[-1]

    assert "exhaust side · you stand here" == foot.strip()
    assert abs(middle(foot, foot.strip()) - middle(read(HEAD, {}, (), 38, 8)[0], "inlet side")) <= 1


@pytest.mark.parametrize("width", [60, 80])
def test_a_grid_takes_the_width_it_has(width: int) -> None:
    """Seven columns of a head spread over the window, and all of it is seen."""
    shown = read(HEAD, {}, ("3",), width, 8)

    assert width - 7 <= max(map(cell_len, shown)) <= width


TONES: dict[Mark, str] = {
    "within": "ink",
    "clicked": "ink",
    "void": "ink",
    "to do": "quiet",
    "under": "under",
    "over": "over",
    "broken": "over",
    "concession": "concession",
}


@pytest.mark.parametrize(("mark", "tone"), TONES.items())
def test_only_what_somebody_must_look_at_has_a_colour(mark: Mark, tone: str) -> None:
    """Colour is quiet while all is well."""
    pieces = [piece for line in draw(rows("1 2"), {"1": mark}, ("2",), 20, 3) for piece in line]

    assert tone == next(piece.tone for piece in pieces if piece.text == "1")


def test_the_one_now_stands_between_thick_bars_and_reversed() -> None:
    """Two signs for it, neither of them a colour."""
    pieces = [piece for line in draw(rows("1 2"), {}, ("2",), 20, 3) for piece in line if piece.tone == "now"]

    assert "┃2┃" == "".join(piece.text for piece in pieces)


def test_all_of_a_set_are_now() -> None:
    """The bolts of a cap that are done together are all marked."""
    assert ["┃1┃", "┃2┃", "·3", "·4"] == read(rows("1 2 3 4"), {}, ("1", "2"), 20, 2)[0].split()


def test_seen_from_below_it_says_so() -> None:
    """A mirrored map is never taken for the other one."""
    shown = read(HEAD, {}, ("3",), 70, 9, from_below=True)

    assert shown[0].endswith("seen from below")
    assert ["12", "8", "4", "1", "5", "9", "11"] == shown[1].replace("·", "").split()


def test_two_kinds_of_bolts_are_told_apart_without_colour() -> None:
    """The rarer kind is underlined, and a line below says which is which."""
    lines = draw(HEAD, {}, (), 70, 9, fits=FITS)
    underlined = {piece.text for line in lines for piece in line if piece.underlined}

    assert {"1", "2", "3", "4", "underlined: M10x1.25 x 91 mm"} == underlined
    assert "plain: M10x1.25 x 79.5 mm   underlined: M10x1.25 x 91 mm" in [plain(line) for line in lines]


def test_further_kinds_carry_a_sign_of_their_own() -> None:
    """Three lengths of cover screws: plain, underlined, and with a small three."""
    fits = {"1": "M6 x 20", "2": "M6 x 20", "3": "M6 x 20", "4": "M6 x 35", "5": "M6 x 35", "6": "M6 x 50"}
    shown = read(rows("1 2 3 4 5 6"), {}, ("6",), 40, 6, fits=fits)

    assert shown[0].endswith("┃6³┃")
    assert "³: M6 x 50" in shown[-1]


def test_without_room_for_the_legend_nothing_is_underlined() -> None:
    """A sign that nothing explains only puzzles."""
    assert not any(piece.underlined for line in draw(HEAD, {}, (), 40, 5, fits=FITS) for piece in line)


def test_one_kind_of_bolts_needs_no_legend() -> None:
    """Nothing is said where nothing has to be told apart."""
    assert "you stand here" == read(rows("1 2", "3 4"), {}, (), 40, 5, fits={"1": "M8", "2": "M8"})[-1].strip()


def test_under_a_single_row_the_side_is_named_and_no_place() -> None:
    """Else it reads as if the person stood at the bolt above the words."""
    assert "you stand on this side" == read(rows("1 2 3 4"), {}, ("1",), 40, 3)[-1].strip()
    assert " you stand on this side " in read(rows("1 2 3 4"), {}, ("1",), 40, 9)[-1]


@pytest.mark.parametrize("layout", [HEAD, circle(12), rows("1 2 3 4"), rows("1 2", "3 4")])
@pytest.mark.parametrize("height", [5, 9, 16])
def test_at_the_map_of_a_form_nobody_stands(layout: Layout, height: int) -> None:
    """The work is over; the sides keep their names."""
    frame, _ = framed(pictured(Sight(layout, 80, height, on_form=True)), ("1",))
    shown = "\n".join(plain(line_at(frame, y, {}, ("1",))) for y in range(height))

    assert "stand" not in shown
    assert ("exhaust side" in shown) == (layout is HEAD)


def test_on_a_low_window_the_far_edge_gives_way_to_a_row_of_bolts() -> None:
    """All positions are in sight before the name of the edge nobody stands at."""
    shown = read(HEAD, {}, ("3",), 40, 4)

    assert ["·13", "·14"] == shown[2].split()
    assert "exhaust side · you stand here" == shown[3].strip()


def test_what_does_not_fit_is_looked_at_where_the_work_is() -> None:
    """Of two hundred positions the neighbourhood of the present one is seen, and how many there are."""
    grid = rows(*(" ".join(str(r * 20 + c + 1) for c in range(20)) for r in range(10)))
    shown = read(grid, {}, ("120",), 60, 12)

    assert any("┃120┃" in line for line in shown)
    assert "120 of 200 shown, more left" in shown[-1]


def test_the_view_stays_while_the_work_stays_in_it() -> None:
    """The map does not jump from bolt to bolt."""
    grid = rows(*(" ".join(str(r * 20 + c + 1) for c in range(20)) for r in range(10)))
    picture = pictured(Sight(grid, 60, 12))
    _, first = framed(picture, ("10",))
    _, beside = framed(picture, ("11",), first)
    _, away = framed(picture, ("20",), first)

    assert (True, False) == (first == beside, first == away)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 60), st.integers(0, 90), st.integers(0, 30), st.integers(0, 3), st.booleans())
def test_the_map_never_leaves_its_window(count: int, width: int, height: int, quarters: int, below: bool) -> None:
    """Any window, however small, is kept to, and no two pieces of a line overlap."""
    fits = {str(n): f"M8 x {20 + n % 3}" for n in range(1, count + 1)}
    lines = draw(circle(count), {}, ("1",), width, height, quarters, below, fits)

    assert height == len(lines)
    for line in lines:
        ends = [piece.column + cell_len(piece.text) for piece in line]
        assert all(end <= piece.column for end, piece in zip(ends, line[1:], strict=False))
        assert max(ends, default=0) <= max(width, 6)


def test_a_circle_is_as_large_at_every_question() -> None:
    """However many rows a question leaves, it stands as at a pull."""
    seen = [framed(pictured(Sight(circle(20), 78, rows, least=9)), ())[0] for rows in (9, 11, 14, 20)]

    assert all(frame.cells == seen[0].cells for frame in seen)
