"""A filled paper form typed back: the same readings, deviations and clamp loads as the walk of the same work.

The form is what the walk left; somebody who knows nothing else types it in. What was walked is walked from outside.
"""

from __future__ import annotations

import os
import shutil
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bench_model.bench_book import make_book
from bench_model.choices import keys, values
from bench_model.job import Job, new_job, walked
from bench_model.paper import Typist, rows_of, type_in
from bench_model.starting import Starter
from bench_model.walk import Prompt, Reply, Time, Walk, run_command
from clampbook.demo import make, samples

JOBS = int(os.environ.get("CLAMPBOOK_LATE_JOBS", "8"))
POUND_FOOT = 1.355818  # N·m (NIST SP 811, appendix B.8)
MOST = 600  # answers
# Of the head: question and step -> what is typed there first, line by line.
OVERS_AND_SKIPS = {
    ("tighten", "2.1/12"): ["* 3", "1"],  # no room for the tool, done at the end of the round
    ("turn", "5.1/4"): ["97"],  # over
    ("decide", "5.1/4"): ["1", "1"],  # started over with a new bolt, this one alone
    ("turn", "5.2/9"): ["98"],
    ("decide", "5.2/9"): ["3", "1", "Okke"],  # a concession
}
Script = dict[tuple[str, str], list[str]]
Record = dict[str, Any]


@pytest.fixture(scope="module")
def starter() -> Iterator[Starter]:
    """Starts the program."""
    found = Starter()
    yield found
    found.close()


def readings(record: Record) -> list[tuple[Any, ...]]:
    """What was read, clicked, turned and measured where, with what, and how it was judged."""
    keys_of = ("step", "position", "attempt", "kind", "standing", "value", "unit", "tool", "adapter", "set_to")
    figures = ("at_fastener", "sum", "result", "window_from", "window_to", "set_to_at_fastener", "spread_of_points")
    told = {"confirmed together": "clicked"}  # each bolt has a tick of its own on a form
    return [
        (*(row.get(key) for key in (*keys_of, *figures)), told.get(row["outcome"], row["outcome"]))
        for row in record["reading"]
    ]


def record_of(book: Path, run: str) -> Record:
    """The record of a run."""
    return tomllib.loads((book / "runs" / run / "record.toml").read_text("utf-8"))


def in_order(rows: list[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    """Rows by their steps: one that waited for its turn stands at its place on a form."""
    return sorted(rows, key=str)


def statistics(record: Record) -> list[dict[str, Any]]:
    """What each round of each group came to; each click counts alike, however it was confirmed."""
    return [
        {key: value for key, value in stage.items() if key not in ("clicked", "confirmed_together")}
        for group in record["group"]
        for stage in group["stage"]
    ]


def departed(record: Record) -> Counter[str]:
    """What departs from the procedure, by kind, where, and as far as it was told."""
    return Counter(
        f"{row.get('step')} {row.get('position')} {each['kind']} {each.get('value')} {each.get('reason')}"
        for row in record.get("deviation", ())
        for each in row["departed"]
    )


def compared(book: Path, walk: str, late: str) -> None:
    """Hold one record against the other."""
    first, second = (record_of(book, run) for run in (walk, late))
    assert second["from_paper"] is True
    assert "from_paper" not in first
    assert readings(first) == readings(second)
    assert first.get("clamp_load") == second.get("clamp_load")
    assert statistics(first) == statistics(second)
    assert first["outcome"] == second["outcome"]
    of_the_walk, of_the_form = departed(first), departed(second)
    missing = {each: count for each, count in (of_the_walk - of_the_form).items() if not _said_at_the_bench(each)}
    assert not missing
    assert not {each: count for each, count in (of_the_form - of_the_walk).items() if not _said_at_the_bench(each)}


def _said_at_the_bench(departure: str) -> bool:
    """A reason to use a tool is asked for at the bench; no form has a place for one."""
    return "unsuitable tool" in departure


class TestEachSample:
    """The procedures that come with the program."""

    @pytest.mark.parametrize("sample", [path.stem for path in samples()])
    def test_its_form_typed_back_gives_what_the_walk_gave(self, tmp_path: Path, starter: Starter, sample: str) -> None:
        """By a steady hand; and the run is sealed, and verified as intact."""
        book = tmp_path / "book"
        time = Time()
        make(book, time.now.date())
        run = steadily(starter, book, sample, time)

        time.leap(3600)
        typist = Typist(rows_of(book / "runs" / run / "daybook.jsonl"))
        late = type_in(starter, book, [sample], typist, time.clock())

        compared(book, run, late)
        assert f"{late}: sealed, intact" in run_command(starter, book, "verify", late)[0]

    def test_a_day_with_overs_and_skips_is_told_as_far_as_it_stands_there(
        self, tmp_path: Path, starter: Starter
    ) -> None:
        """What was started over is told with the same rows; that a bolt waited for its turn is on no form."""
        book = tmp_path / "book"
        time = Time()
        make(book, time.now.date())
        run = steadily(starter, book, "whinchat-pattern-c-head", time, OVERS_AND_SKIPS)

        time.leap(3600)
        typist = Typist(rows_of(book / "runs" / run / "daybook.jsonl"))
        late = type_in(starter, book, ["whinchat-pattern-c-head"], typist, time.clock())

        first, second = (record_of(book, each) for each in (run, late))
        assert in_order(readings(first)) == in_order(readings(second))
        assert first["clamp_load"] == second["clamp_load"]
        assert {"over"} < {row[-1] for row in readings(first)}
        only_at_the_bench = departed(first) - departed(second)
        assert {"2.1/12 12 skipped None no room for the tool": 1} == only_at_the_bench


class TestAnyWork:
    """Random joints, walked by the bench model."""

    @pytest.mark.parametrize("clumsy", [0.0], ids=["steady"])
    def test_a_form_typed_back_gives_what_the_walk_gave(self, tmp_path: Path, starter: Starter, clumsy: float) -> None:
        """Whatever the procedure asks for."""
        base = make_book(tmp_path / "base")
        for seed in range(JOBS):
            book = Path(shutil.copytree(base, tmp_path / str(seed)))
            job = walked(new_job(seed, book, clumsy), starter)
            compared(book, str(job.run), _typed_back(job, starter))


def _typed_back(job: Job, starter: Starter) -> str:
    job.time.leap(3600)
    typist = Typist(rows_of(job.book / "runs" / str(job.run) / "daybook.jsonl"))
    terms = [f"bench-{job.seed}", *(["--joint", job.joint.table["repeat"][-1]] if "repeat" in job.joint.table else [])]
    return type_in(starter, job.book, terms, typist, job.time.clock())


def steadily(starter: Starter, book: Path, sample: str, time: Time, script: Script | None = None) -> str:
    """Walk a sample to its end by a steady hand and by a script, with a break at each wait; gives the run's name."""
    args, left = [sample, "--as", "Ines"], {key: list(lines) for key, lines in (script or {}).items()}
    while True:
        with Walk(starter, book, args, time.clock()) as walk:
            reply, answers = walk.first, 0
            while reply.prompt is not None:
                waits = bool(reply.refused) and reply.prompt["prompt"] == "wait"
                assert waits or not reply.refused, (reply.refused, reply.prompt)
                scripted = left.get((str(reply.prompt["prompt"]), str(reply.prompt["id"])))
                line = scripted.pop(0) if scripted else steady(reply.prompt, reply)
                reply = walk.say("pause" if waits else line)
                answers += 1
                assert answers < MOST, reply.prompt
            time.told(answers)
        if reply.finished != "paused":
            return str(reply.run)
        time.leap(6 * 3600)
        args = ["--resume", str(reply.run), "--as", "Ines"]


def steady(prompt: Prompt, reply: Reply) -> str:
    """The answer of somebody to whom nothing goes wrong."""
    there, by_value, kind = keys(prompt), values(prompt), prompt["prompt"]
    if prompt["part"] == "person":
        return "Okke"
    if prompt["part"] is not None:
        return there[0]
    if kind == "sign_off":
        return "Maud" if "nspector" in str(prompt["text"]) else "Ines"
    if kind == "set_tool":
        return f"{prompt['set_tool_to']['value']} {prompt['set_tool_to']['unit']}"
    if kind in ("tighten", "turn", "measure", "recheck") and prompt["unit"] is not None:
        unit = "" if reply.unusual is None else f" {prompt['unit']}"
        return f"{_shown(prompt):.4g}{unit}"
    if kind == "start_sheet" and not any(key in there for key in ("+", "1")):
        return "20"
    return next(
        (by_value[each] for each in ("yes", "good", "still", "not_started", "explain") if each in by_value), there[0]
    )


def _shown(prompt: Prompt) -> float:
    """The middle of the window, or where the pull is to stop."""
    if prompt["stop_at"] is not None:
        return float(prompt["stop_at"]["value"])
    if "length" in str(prompt["text"]):  # of a cap bolt, before and after it was stretched by 0.16 mm
        return 95.2 if "free" in str(prompt["text"]) else 95.36
    if prompt["prompt"] == "turn":
        return float(prompt["target"]["value"]) - (prompt["turned"]["value"] if prompt["turned"] else 0)
    ends = [end for end in prompt["window"] or () if end is not None]
    if not ends:
        return 1.2
    middle = sum(end["value"] for end in ends) / len(ends)
    return float(middle / POUND_FOOT if (ends[0]["unit"], prompt["unit"]) == ("N·m", "lbf·ft") else middle)
