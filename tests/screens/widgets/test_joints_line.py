"""The joints of a run in one line over the map: which is at hand, and which are done."""

from __future__ import annotations

from clampbook.run.told.joints import JointAt
from clampbook.screens.widgets.joints_line import drawn


def joints(count: int, now: int, done: int) -> list[JointAt]:
    """So many injectors, of which the first ones are done."""
    return [
        JointAt(f"Injector {n}", str(n), "within" if n <= done else "to do", now=n == now) for n in range(1, count + 1)
    ]


def text(count: int, now: int, done: int, width: int) -> str:
    """The line without its tones."""
    return "".join(part for part, _ in drawn(joints(count, now, done), width))


def test_the_joint_at_hand_stands_by_name_and_between_bars() -> None:
    """Marks are those of the map: done, at hand, to do."""
    assert "Injector 2    ●1  ┃2┃  ·3" == text(3, 2, 1, 78)


def test_a_joint_done_has_the_mark_of_its_bolts() -> None:
    """Clicked is not read, and a concession is seen from the next joint."""
    row = [JointAt("Injector 1", "1", "clicked", now=False), JointAt("Injector 2", "2", "concession", now=False)]

    assert "○1  ◆2" == "".join(part for part, _ in drawn(row, 78))


def test_a_joint_done_before_and_at_hand_again_is_at_hand() -> None:
    """A bolt that is started over brings the work back to its joint."""
    assert "Injector 1    ┃1┃  ●2  ·3" == text(3, 1, 2, 78)


def test_of_more_joints_than_fit_it_is_told_how_many_are_done() -> None:
    """Forty hubs do not stand in a line of 80 columns, and none of them is cut."""
    assert "Injector 8    7 of 40 joints done" == text(40, 8, 7, 78)
