"""The stages of a run as a line of words, and how far they are done."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from clampbook.run.told.stages import StageAt
from clampbook.screens.widgets.stages_line import drawn

STAGES = (
    StageAt(1, "tighten", 10, 10, now=False),
    StageAt(2, "turn", 5, 20, now=True),
    StageAt(3, "wait", 0, 1, now=False),
)


def text(row: tuple[tuple[str, str], ...]) -> str:
    """The row without its looks."""
    return "".join(part for part, _ in row)


def test_each_word_stands_over_its_share_of_the_line() -> None:
    """Thick as far as it is done: all of the first, a quarter of the second, nothing of the third."""
    upper, lower = drawn(STAGES, 80)
    shares = text(lower).split()

    assert ["1 tighten", "2 turn", "3 wait"] == [part.strip() for part, _ in upper if part.strip()]
    assert [len(text(upper)[: text(upper).index(name)]) for name in ("1 t", "2 t", "3 w")] == [
        0,
        len(shares[0]) + 2,
        len(shares[0]) + len(shares[1]) + 4,
    ]
    assert ({"━"}, {"━", "─"}, {"─"}) == tuple(map(set, shares))


def test_the_one_now_is_bold() -> None:
    """All others are quiet, what is done as well as what is still to come."""
    assert ["2 turn"] == [part.strip() for part, look in drawn(STAGES, 80)[0] if look == "bold"]


def test_where_words_do_not_fit_the_one_now_keeps_its_own() -> None:
    """The others are numbers; where not even these fit there is nothing."""
    assert ["1", "2", "turn", "3"] == text(drawn(STAGES, 14)[0]).split()
    assert ((), ()) == drawn(STAGES, 8)


@given(st.lists(st.tuples(st.integers(1, 60), st.integers(0, 60)), min_size=1, max_size=20), st.integers(1, 200))
def test_it_never_leaves_its_room(steps: list[tuple[int, int]], width: int) -> None:
    """However many stages there are."""
    stages = tuple(
        StageAt(number, "tighten", min(done, of), of, now=number == 1) for number, (of, done) in enumerate(steps, 1)
    )

    assert all(cell_len(text(row).rstrip()) <= width for row in drawn(stages, width))
