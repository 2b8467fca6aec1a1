"""The pressure of a tensioner that is under: it was pumped up further before it was read again, and that is said."""

from __future__ import annotations

import tomllib

from small_joints import bench_for, bolts, measure, value, window

from clampbook.archive.pulls import NOTHING_SAID, OfPlan, pulls
from clampbook.record.pages.front import front
from clampbook.record.pages.stages import stages
from clampbook.record.pages.telling import Telling
from clampbook.record.record import build
from clampbook.run import answers as a
from walks import frozen


def _read(*, tensions: bool) -> tuple[str, list[str], list[str]]:
    """The report of two studs at 300 to 320 bar, of which the second was at 285 first; and why rows do not count, as
    the CSV says it with what the plan tells and without."""
    group = bolts(2, "Studs")
    limits = window("300", "320", "bar")
    pressure = measure(1, group, what="Pressure", unit="bar", window=limits, asked="each", tensions=tensions)
    run = bench_for(group, pressure)
    value(run, "310")
    value(run, "285")
    run.answer(a.Resolve("measure again"))
    value(run, "305")
    run.steadily()
    record = tomllib.loads(build(*frozen(run)).decode())
    telling = Telling(record, stages=run.plan.stages)
    pages = str([*front(run.plan, telling, None), *stages(run.plan, telling)])
    of_plan = OfPlan(tensioned=(1,) if tensions else ())
    return (
        pages,
        [each.standing for each in pulls(record, of_plan)],
        [each.standing for each in pulls(record, NOTHING_SAID)],
    )


def test_a_tensioned_stud_was_pumped_up() -> None:
    """On page one, at its stage, and in the CSV."""
    pages, standing, by_the_record = _read(tensions=True)

    assert "pump up and read again" in pages
    assert "pumped up, read again" in pages
    assert ["counts", "pumped up, read again", "counts"] == standing
    assert ["counts", "measured again", "counts"] == by_the_record


def test_any_other_pressure_was_only_measured_again() -> None:
    """Such as that of an oil line: nobody pumped."""
    pages, standing, _ = _read(tensions=False)

    assert "pump" not in pages
    assert "measure again" in pages
    assert ["counts", "measured again", "counts"] == standing
