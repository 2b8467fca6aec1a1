"""The time of a bolt on a paper form: its own, where one stands beside it, else from when on its round was done."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "run"))
sys.path.insert(0, str(Path(__file__).parents[1] / "run" / "on_form"))

from msgspec.structs import replace
from small_joints import READING, bolts, measure, procedure, tighten
from typed_forms import Form

from clampbook.record.pages.telling import Telling
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.planning import plan
from walks import frozen


def typed(over: str = "") -> tuple[Form, dict[str, Any]]:
    """Four bolts from 8:00 on: 8:20 stands beside the second, 8:10 beside the fourth; then the gap, once, at 9:00."""
    head = bolts(4)
    form = Form(plan(procedure((head,), (tighten(head), measure(2))), "invented", late=True), READING)
    times = iter(("8:00", "8:30", "9:00"))
    while not isinstance(form.prompt, ask.Ended):
        prompt = form.prompt
        if isinstance(prompt, ask.PaperTime):
            form.takes(a.PaperTime(f"2026-03-02 {next(times)}"))
            continue
        if isinstance(prompt, ask.Tighten) and prompt.where.position == "2":
            form.takes(a.PaperTime("8:20"))
        if isinstance(prompt, ask.Tighten) and prompt.where.position == "4":
            form.takes(a.PaperTime("8:10", out_of_order=True))
        too_much = isinstance(prompt, ask.Tighten) and prompt.where.position == over
        form.takes(a.Value("34") if too_much else form.steady())
    return form, tomllib.loads(build(*frozen(form)).decode())


def test_the_record_has_the_time_beside_a_row_and_that_of_its_round_after_it() -> None:
    """Bolt 3 was not done at 8:20; the form does not say when."""
    _, record = typed()

    told = [(row["position"], row.get("time_on_form"), row.get("on_form_since")) for row in record["reading"][:4]]
    assert [
        ("1", None, None),
        ("2", "2026-03-02T08:20:00.000+01:00", None),
        ("3", None, "2026-03-02T08:00:00.000+01:00"),
        ("4", "2026-03-02T08:10:00.000+01:00", None),
    ] == told


def test_the_report_invents_no_time() -> None:
    """A time that stands beside no bolt is told as the beginning of its round; the gap has the only time there is."""
    form, record = typed()
    telling = Telling(record, stages=form.plan.stages)

    assert ["from 08:00", "08:20", "from 08:00", "08:10", "09:00"] == [telling.made(row) for row in record["reading"]]


def test_a_deviation_has_the_time_of_its_row_too() -> None:
    """Bolt 3 was over, and no time stands beside it: it was not done at 8:20."""
    form, record = typed(over="3")
    telling = Telling(record, stages=form.plan.stages)

    told = [telling.made_at_line(row) for row in record["deviation"] if row.get("position") == "3"]
    assert ["from 08:00"] == told


def test_when_it_was_typed_in_is_told_by_one_clock() -> None:
    """The form began in summer time; whoever typed it in did not travel back by an hour."""
    form, _ = typed()
    form.events[0] = replace(form.events[0], offset="+02:00")

    record = tomllib.loads(build(*frozen(form)).decode())

    assert ["+01:00", "+01:00"] == [record[each][-6:] for each in ("typed_from", "typed_to")]
    assert record["typed_from"] < record["typed_to"]
