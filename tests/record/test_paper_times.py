"""The time of a bolt on a paper form: its own, where one stands beside it, else from when on its round was done."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "run"))
sys.path.insert(0, str(Path(__file__).parents[1] / "run" / "on_form"))

from msgspec.structs import replace
from small_joints import READING, SETTING, bolts, measure, procedure, tighten
from typed_forms import Form

from bench import resolved
from clampbook.archive.pulls import pulls
from clampbook.record.pages.blocks import Sentences, Table
from clampbook.record.pages.pages import blocks
from clampbook.record.pages.telling import Telling
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.planning import plan
from walks import frozen

from .flat import flat


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


Times = dict[tuple[int, bool], str | None]


def with_times(times: Times, *, over: str = "") -> tuple[Form, dict[str, Any]]:
    """Three bolts in two stages, with the times of each, its beginning and its end (True); None is a blank. Bolt `over`
    is over in the second stage, and started over from 8:40 on."""
    head = bolts(3)
    stages = (tighten(head), tighten(head, 2))
    form = Form(plan(procedure((head,), stages), "invented", late=True), READING)
    left, again = dict(times), iter(("8:40", "8:45"))
    while not isinstance(form.prompt, ask.Ended):
        match form.prompt:
            case ask.PaperTime(where=where, until=until):
                text = left.pop((where.stage, until), None) if (where.stage, until) in left else next(again)
                form.takes(a.PaperTime(text, blank=text is None))
                continue
            case ask.Tighten(where=ask.Where(stage=2, attempt=1, position=at)) if at == over:
                given: a.Answer = a.Value("34")
            case ask.Decide(choices=choices):
                given = resolved(next(way for way in choices if way.choice == "from the beginning"))
            case ask.SignOff(role="inspector"):
                given = a.Sign(form.by, undated=True)
            case _:
                given = form.steady()
        form.takes(given)
    return form, tomllib.loads(build(*frozen(form)).decode())


STEADY: Times = {(1, False): "2026-03-02 8:00", (1, True): "8:10", (2, False): "8:15", (2, True): "8:50"}


def clock(row: dict[str, Any], key: str) -> str | None:
    """Give the time of day under a key."""
    return row[key][11:16] if key in row else None


def test_the_end_of_a_round_stands_beside_its_rows() -> None:
    """In the record, and above the readings of its stage in the report."""
    form, record = with_times(STEADY)

    assert ["08:10"] * 3 + ["08:50"] * 3 == [clock(row, "on_form_until") for row in record["reading"]]
    files = frozen(form)
    said = [
        line
        for each in flat(blocks(form.plan, record, {"daybook.jsonl": files[2]}))
        if isinstance(each, Sentences)
        for line in each.lines
    ]
    assert {"On the form from 08:00 to 08:10.", "On the form from 08:15 to 08:50."} <= set(said)


def test_a_bolt_after_one_that_was_started_over_has_the_times_of_its_round() -> None:
    """Bolt 2 was started over at 8:40; bolt 3 was not done from then on."""
    _, record = with_times(STEADY, over="2")

    second = [row for row in record["reading"] if row["stage"] == 2]
    told = [(row["position"], row["attempt"], clock(row, "on_form_until")) for row in second]
    assert [("1", 1, "08:50"), ("2", 1, "08:50"), ("2", 2, None), ("3", 1, "08:50")] == told
    assert ("08:15", "08:45") == (clock(second[3], "on_form_since"), clock(second[2], "at"))


def test_a_round_without_a_time_has_none() -> None:
    """The time of the round before is not its own, nor its end."""
    form, record = with_times({**STEADY, (2, False): None, (2, True): None})
    telling = Telling(record, stages=form.plan.stages)

    second = [row for row in record["reading"] if row["stage"] == 2]
    assert [(True, None)] * 3 == [(row["no_time_on_form"], clock(row, "on_form_until")) for row in second]
    assert {"time not known"} == {telling.made(row) for row in second}
    assert True is next(row for row in record["tool"][0]["taken"] if row["step"] == "2.1/1")["no_time_on_form"]
    assert ["2026-03-02"] * 3 == [pull.at for pull in pulls(record) if pull.stage == "2.1"]


def test_a_bad_pull_has_the_time_of_its_round() -> None:
    """The time beside the bolt before is not its own."""
    form, record = typed(over="3")
    telling = Telling(record, stages=form.plan.stages)

    lost = [row for row in record["reading"] if row["standing"] != "counts" or row["outcome"] == "over"]
    assert ["from 08:00"] == [telling.span([row]) for row in lost]


def test_nothing_that_stands_there_has_a_time() -> None:
    """A blank is told without the time of the bolt before it."""
    head = bolts(2)
    form = Form(plan(procedure((head,), (tighten(head),)), "invented", late=True), READING)
    form.until(ask.Tighten)
    form.takes(a.PaperTime("2026-03-02 8:33"))
    form.takes(form.steady())
    form.takes(a.Blank())
    while not isinstance(form.prompt, ask.Ended):
        form.takes(form.steady())

    files = frozen(form)
    record = tomllib.loads(build(*files).decode())
    tables = [each for each in flat(blocks(form.plan, record, {"daybook.jsonl": files[2]})) if isinstance(each, Table)]
    (when,) = [row[3] for each in tables if "When, by" in each.head for row in each.rows if "bolt 2" in str(row[0])]
    assert "08:33" not in str(when)


def test_a_bad_pull_out_of_order_has_its_own_time_wherever_it_is_told() -> None:
    """Bolt 2 was pulled at 8:20, bolt 3 at 8:10 and it slipped: nothing of bolt 3 was at 8:20."""
    head = bolts(3)
    form = Form(plan(procedure((head,), (tighten(head),)), "invented", late=True), READING)
    form.until(ask.PaperTime)
    form.takes(a.PaperTime("2026-03-02 8:00"))
    form.until(ask.Tighten)
    form.takes(form.steady())
    form.takes(a.PaperTime("8:20"))
    form.takes(form.steady())
    form.takes(a.PaperTime("8:10", out_of_order=True))
    form.takes(a.BadPull("slipped", "34"))
    while not isinstance(form.prompt, ask.Ended):
        form.takes(form.steady())
    record = tomllib.loads(build(*frozen(form)).decode())

    of_bolt_3 = [row for row in record["deviation"] if row.get("position") == "3"]
    decided = [each for row in of_bolt_3 for each in row.get("decided", ())]
    told = [*of_bolt_3, *decided, *(row for row in record["decision"] if row["position"] == "3")]
    assert len(told) == 4  # out of order, a bad pull, what was decided about it, and that once more
    assert {"2026-03-02T08:10:00.000+01:00"} == {row.get("time_on_form") for row in told}
    assert {"2026-03-02T08:20:00.000+01:00"} == {row["at"] for row in told}
    telling = Telling(record, stages=form.plan.stages)
    assert {"08:10"} == {telling.made_at_line(row) for row in of_bolt_3}


def sentences(form: Form, record: dict[str, Any]) -> list[str]:
    """The sentences of its report."""
    told = flat(blocks(form.plan, record, {"daybook.jsonl": frozen(form)[2]}))
    return [line for each in told if isinstance(each, Sentences) for line in each.lines]


def test_an_end_that_was_left_blank_is_told_as_missing() -> None:
    """The first round has none, the second has; nobody takes the one for forgotten by the typist."""
    form, record = with_times({**STEADY, (1, True): None})

    assert [True] * 3 + [None] * 3 == [row.get("no_end_on_form") for row in record["reading"]]
    assert [""] * 3 + ["2026-03-02T08:50:00.000+01:00"] * 3 == [pull.until for pull in pulls(record)]
    said = sentences(form, record)
    assert "From 08:00, no end stands on the form." in said
    assert "On the form from 08:15 to 08:50." in said
    assert len([line for line in said if "no end stands" in line]) == 1


def clicked(times: dict[str, str]) -> list[str]:
    """The report of six bolts that clicked from 8:00 on, some with a time of their own."""
    head = bolts(6)
    form = Form(plan(procedure((head,), (tighten(head),)), "invented", late=True), SETTING)
    left = dict(times)
    while not isinstance(form.prompt, ask.Ended):
        prompt = form.prompt
        if isinstance(prompt, ask.PaperTime):
            form.takes(a.PaperTime("2026-03-02 8:00" if not prompt.until else "8:30"))
            continue
        if isinstance(prompt, ask.Tighten) and (own := left.pop(prompt.where.position or "", None)) is not None:
            form.takes(a.PaperTime(own))
        form.takes(form.steady())
    record = tomllib.loads(build(*frozen(form)).decode())
    return [line for line in sentences(form, record) if "clicked:" in line]


def test_a_click_with_a_time_of_its_own_keeps_it_in_the_line_of_its_round() -> None:
    """9:14 stands beside bolt 4 and nothing beside the others."""
    (line,) = clicked({"4": "8:14"})

    assert "1–6" in line
    assert ", from 08:00, 4 at 08:14. No reading." in line


def test_many_clicks_with_times_of_their_own_stand_in_a_table() -> None:
    """No line is made of five times."""
    assert [] == clicked({"1": "8:01", "2": "8:02", "3": "8:03", "4": "8:04", "5": "8:05"})


def test_how_a_chart_is_read_is_told_where_there_is_one() -> None:
    """Clicks have none."""
    form, record = with_times(STEADY)

    assert [line for line in sentences(form, record) if "grey band" in line]
    assert not [line for line in sentences(*_clicks()) if "grey band" in line]


def _clicks() -> tuple[Form, dict[str, Any]]:
    head = bolts(2)
    form = Form(plan(procedure((head,), (tighten(head),)), "invented", late=True), SETTING)
    while not isinstance(form.prompt, ask.Ended):
        form.takes(form.steady())
    return form, tomllib.loads(build(*frozen(form)).decode())
