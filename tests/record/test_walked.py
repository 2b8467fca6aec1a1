"""Runs that were really walked: the record arrives at what the walk itself counted."""

from __future__ import annotations

import tomllib
from hashlib import sha256
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from bench import Bench
from clampbook.ledger.lines import NOTHING_BEFORE, digest
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run.plan import encode
from clampbook.run.progress import standing

from .head import PROCEDURE, a_plan


def record(bench: Bench) -> dict[str, Any]:
    """The record of what was walked so far."""
    plan = encode(bench.plan)
    lines: list[bytes] = []
    for event in bench.events:
        if isinstance(event, e.Opened):
            hashes = {"procedure_sha256": sha256(PROCEDURE).hexdigest(), "plan_sha256": sha256(plan).hexdigest()}
            event = replace(event, **hashes)
        before = digest(lines[-1]) if lines else NOTHING_BEFORE
        fields = e.fields(event) | {"seq": event.seq, "prev": before}
        lines.append(msgspec.json.encode(fields, order="sorted"))
    return tomllib.loads(build(PROCEDURE, plan, b"".join(line + b"\n" for line in lines)).decode())


def spent(bench: Bench) -> dict[str, tuple[int, int]]:
    """Attempts and tightenings of each position as the walk counted them."""
    found = {position: standing(bench.session.progress, position) for position in bench.plan.group_of}
    return {position: (state.attempt, state.tightenings) for position, state in found.items()}


def recorded(found: dict[str, Any]) -> dict[str, tuple[int, int]]:
    """The same as the record has it."""
    return {row["position"]: (row["attempts"], row["tightenings"]) for row in found["position"]}


def test_a_run_as_the_sheet_wants_it_ends_done_everywhere() -> None:
    """Every position is done, and nothing is left to do."""
    bench = Bench(a_plan())
    bench.steadily()

    found = record(bench)

    assert {"done"} == {row["state"] for row in found["position"]}
    assert spent(bench) == recorded(found)


@pytest.mark.parametrize("choice", ["from the beginning", "new fastener"])
@pytest.mark.parametrize("scope", ["fastener", "group", "joint"])
def test_starting_over_counts_as_the_walk_counts(choice: str, scope: str) -> None:
    """Attempts and tightenings agree right after the decision, and at the end."""
    bench = Bench(a_plan())
    bench.steadily(ask.Turn)
    assert isinstance(bench.answer(a.Value("97 °")), Accepted)
    assert isinstance(bench.answer(a.Resolve(choice, scope=scope)), Accepted)
    assert spent(bench) == recorded(record(bench))

    bench.steadily()

    found = record(bench)
    assert spent(bench) == recorded(found)
    assert {"done"} == {row["state"] for row in found["position"]}


def test_a_walk_that_is_broken_off_anywhere_has_a_record() -> None:
    """Line by line, what was written so far makes a record, and it counts as the walk does."""
    bench = Bench(a_plan())
    for _ in range(200):
        assert spent(bench) == recorded(record(bench))
        if isinstance(bench.prompt, ask.Ended):
            break
        if isinstance(bench.prompt, ask.Wait):
            bench.wait(601)
        assert isinstance(bench.answer(bench.steady()), Accepted)

    assert isinstance(bench.prompt, ask.Ended)
