"""What is refused before a record is made: files that are damaged, or that do not belong together."""

import hashlib
import tomllib

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from clampbook.ledger.lines import NOTHING_BEFORE, digest
from clampbook.record.frozen import read
from clampbook.record.record import build
from clampbook.run import events as e
from clampbook.run.plan import encode
from clampbook.work.frozen import RecordFault

from .daybooks import Daybook, a_full_run
from .head import PROCEDURE, a_plan

ABSURD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-5, 10**6),
    st.text(max_size=8),
    st.sampled_from(["1.1/1", "6.1/11", "-", "NaN", "1E+99", "over", "concession", "w5", "2026-03-02T08:00:00Z"]),
    st.lists(st.sampled_from(["1", "99", "x", None]), max_size=3),
)


def a_run() -> Daybook:
    """Three lines."""
    day = Daybook()
    day.reading("1.1/1", "30.1")
    day.reading("1.1/2", "30.4")
    return day


def refused(day: Daybook, *, procedure: bytes = PROCEDURE, plan: bytes | None = None, data: bytes | None = None) -> str:
    """The sentence with which the files are refused."""
    with pytest.raises(RecordFault) as caught:
        build(procedure, encode(day.plan) if plan is None else plan, day.data if data is None else data)
    return caught.value.sentence


class TestDaybook:
    """Every line must be there, whole, and in its place."""

    def test_an_empty_daybook_makes_no_record(self) -> None:
        """Nothing was written down."""
        assert "is empty" in refused(a_run(), data=b"")

    def test_a_torn_last_line_is_named(self) -> None:
        """It is never guessed what it would have said."""
        assert "line 3: the line was never finished" in refused(a_run(), data=a_run().data[:-5])

    def test_a_changed_line_is_named(self) -> None:
        """A value changed afterwards breaks the chain."""
        day = a_run()
        day.reading("1.1/3", "30.0")

        assert "line 2: this line was changed" in refused(day, data=day.data.replace(b'"30.1"', b'"30.2"'))

    def test_a_missing_line_is_named(self) -> None:
        """A line that was taken out leaves a gap."""
        day = a_run()

        assert "line 2" in refused(day, data=day.lines[0] + b"\n" + day.lines[2] + b"\n")

    def test_a_line_of_an_unknown_kind_is_named(self) -> None:
        """A chain that holds says nothing about what stands in it."""
        day = a_run()
        line = msgspec.json.decode(day.lines[-1]) | {"event": "magic", "seq": 4}
        line["prev"] = hashlib.sha256(day.lines[-1]).hexdigest()
        day.lines.append(msgspec.json.encode(line, order="sorted"))

        assert "line 4: this is no line of a run" in refused(day)

    def test_a_daybook_that_does_not_begin_with_opened_is_refused(self) -> None:
        """The first line holds who, what and the hashes."""
        day = Daybook()
        day.lines.clear()
        day.add(e.Noted, text="no beginning")

        assert "line 1: a run begins with the line that opens it" in refused(day)

    def test_a_newer_format_is_told_apart_from_damage(self) -> None:
        """A later program writes lines that this one does not know."""
        assert "has format 3, this version knows 2" in refused(Daybook(daybook=3))

    def test_a_step_that_the_plan_does_not_have_is_named(self) -> None:
        """Line and step, so that the mistake can be found."""
        day = a_run()
        day.reading("9.9/99", "30.1")

        assert "line 4: the plan has no step '9.9/99'" in refused(day)

    def test_a_correction_of_a_later_line_is_refused(self) -> None:
        """Only what was written before can be put right."""
        day = a_run()
        day.add(e.Voided, step="1.1/1", attempt=1, of=77, cause="bad pull")

        assert "names line 77" in refused(day)

    @pytest.mark.parametrize("value", ["many", "NaN", "1E+999999", "Infinity", ""])
    def test_a_reading_that_is_no_number_is_named(self, value: str) -> None:
        """Nobody counts with what no tool can show."""
        day = a_run()
        day.reading("1.1/3", value)

        assert "is no measured number" in refused(day)

    @pytest.mark.parametrize(
        "time", [{"at": "noon"}, {"at": "2026-03-02T08:00:00"}, {"offset": "here"}, {"offset": ""}]
    )
    def test_a_line_without_a_time_is_named(self, time: dict[str, str]) -> None:
        """A time without its zone would be another one on another machine."""
        day = Daybook()
        day.add(e.Noted, text="when?", **time)

        assert "line 2: " in refused(day) and "are no time" in refused(day)


class TestFiles:
    """The three files are those that the first line names."""

    def test_another_procedure_is_refused(self) -> None:
        """The frozen file is held by its hash."""
        assert "procedure.toml is not the file that this run was opened with" in refused(a_run(), procedure=b"x")

    def test_another_plan_is_refused(self) -> None:
        """So is the plan."""
        assert "plan.json is not the file" in refused(a_run(), plan=b"{}")

    def test_a_plan_that_cannot_be_read_is_refused(self) -> None:
        """A run that froze something else than a plan makes no record."""
        day = Daybook(plan_sha256=hashlib.sha256(b"{}").hexdigest())

        assert "plan.json cannot be read as a plan" in refused(day, plan=b"{}")

    def test_a_newer_plan_is_told_apart_from_damage(self) -> None:
        """A plan of a later program names its format."""
        newer = b'{"plan":3}'
        day = Daybook(plan_sha256=hashlib.sha256(newer).hexdigest())

        assert "plan.json has format 3" in refused(day, plan=newer)

    def test_a_plan_whose_steps_name_no_stage_is_refused(self) -> None:
        """A plan must hold together before anything is counted by it."""
        plan = a_plan()

        assert "plan.json, step '1.1/1': there is no stage 1" in refused(Daybook(replace(plan, stages=())))

    @given(st.data())
    @settings(max_examples=200, deadline=None)
    def test_lines_that_say_something_absurd_give_a_sentence(self, data: st.DataObject) -> None:
        """Also where the chain holds, because somebody wrote it anew."""
        day = a_full_run()
        fields = [msgspec.json.decode(line) for line in day.lines]
        for _ in range(data.draw(st.integers(1, 4))):
            line = data.draw(st.sampled_from(fields))
            key = data.draw(st.sampled_from(sorted(line)))
            line[key] = data.draw(ABSURD)
        before = NOTHING_BEFORE
        lines: list[bytes] = []
        for number, line in enumerate(fields, start=1):
            lines.append(msgspec.json.encode(line | {"seq": number, "prev": before}, order="sorted"))
            before = digest(lines[-1])

        try:
            text = build(PROCEDURE, encode(day.plan), b"".join(line + b"\n" for line in lines))
        except RecordFault as fault:
            assert fault.sentence.startswith(("daybook.jsonl", "procedure.toml", "plan.json"))
        else:
            assert len(lines) == tomllib.loads(text.decode())["lines"]

    @given(st.integers(min_value=0), st.binary(min_size=1, max_size=3))
    @settings(max_examples=150, deadline=None)
    def test_any_damage_gives_a_sentence(self, place: int, rubbish: bytes) -> None:
        """Whatever is written over the daybook, a person is told; the last line's own hash is known to nobody yet."""
        day = a_run()
        at = place % (len(day.data) - len(day.lines[-1]) - 1)
        data = day.data[:at] + rubbish + day.data[at + len(rubbish) :]

        try:
            read(PROCEDURE, encode(day.plan), data)
        except RecordFault as fault:
            assert fault.sentence.startswith(("daybook.jsonl", "procedure.toml", "plan.json"))
        else:
            assert day.data == data
