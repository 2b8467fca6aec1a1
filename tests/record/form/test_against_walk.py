"""The form beside the walk of the same procedure: the same window and the same setting at every pull."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from bench import G1, Bench
from clampbook.procedure.reader import read, read_file
from clampbook.record.form.blocks import StageHead
from clampbook.record.form.chosen import choice, taken
from clampbook.record.paper_form import blocks
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run.asked import words
from clampbook.run.plan import Plan
from clampbook.run.planning import plan
from clampbook.tools.model import Stock, Tool

ROOT = Path(__file__).parents[3]
OTHERWISE = {
    "engine-mounts",
    "fuel-unions",
    "injector-clamps",
}  # a window moved up by what a nut prevails, a setting with an adapter
SAMPLES = [
    *(path for path in sorted((ROOT / "procedures").glob("*.toml")) if path.stem not in OTHERWISE),
    *sorted((ROOT / "tests").glob("[!c]*.toml")),
]
W20 = Tool(
    id="w20",
    name="W20",
    kind="setting",
    unit="N·m",
    minimum=Decimal(1),
    maximum=Decimal(300),
    resolution=Decimal("0.1"),
)
READS = Tool(
    id="w21",
    name="W21",
    kind="indicating",
    unit="N·m",
    minimum=Decimal(1),
    maximum=Decimal(300),
    resolution=Decimal("0.1"),
)


def pulls(of: Plan, tool: Tool) -> list[ask.Tighten | ask.Recheck]:
    """What is asked of somebody with this tool to whom nothing goes wrong, from the first pull to the last."""
    run, found = Bench(of, (tool, READS, G1)), list[ask.Tighten | ask.Recheck]()
    for _ in range(1000):
        now = run.prompt
        pull = now.pull if isinstance(now, ask.Confirm) else now
        if isinstance(pull, ask.Tighten | ask.Recheck):
            found.append(pull)
        if isinstance(now, ask.Finished | ask.SignOff):
            return found
        if isinstance(now, ask.Wait):
            run.wait(float(now.lasts) + 1)
        assert isinstance(run.answer(run.steady()), Accepted), now
    raise AssertionError("it never ends")


def heads(of: Plan, tool: Tool) -> dict[int, StageHead]:
    """The heads on a form with this tool, by each stage they are of."""
    stock = Stock((tool, READS, G1))
    chosen = taken(of, [choice(tool.name, stock)], stock, None)
    found = [each for each in blocks(of, chosen) if isinstance(each, StageHead)]
    return {int(number): each for each in found for number in each.text.partition("  ")[0].split(", ")}


def agree(of: Plan, tool: Tool) -> list[tuple[int, str]]:
    """Each pull of the walk has its window and its setting in the head of its own stage, to the last figure. Gives the
    stages and what is set there."""
    on_paper, walked, found = heads(of, tool), pulls(of, tool), list[tuple[int, str]]()
    assert walked
    for pull in walked:
        if pull.aim.tool != tool or pull.aim.target is None:
            continue
        head, shown = on_paper[of.numbered[pull.where.stage]], words(pull)
        window = next(line for line in shown.matters if line.startswith("window "))
        to_a_stretch = window.replace("window at most", "never above")
        assert f"{window} (" in head.aside or f"{to_a_stretch} (" in head.aside
        assert shown.hand is not None
        assert [line for line in head.lines if tool.name in line and f" {shown.hand.text} N·m" in line]
        found.append((of.numbered[pull.where.stage], shown.hand.text))
    return found


@pytest.mark.parametrize("tool", (W20, READS), ids=lambda tool: tool.kind)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_window_and_setting_of_every_pull_are_those_of_its_stage(path: Path, tool: Tool) -> None:
    """Who pulls by the form pulls as in the walk."""
    agree(plan(read_file(path)[0], "walked"), tool)


@pytest.mark.parametrize("walk", ("one after the other", "interleaved"))
@pytest.mark.parametrize("tool", (W20, READS), ids=lambda tool: tool.kind)
def test_of_several_joints_each_stage_has_its_own_setting(tool: Tool, walk: str) -> None:
    """Two injectors with two bolts each, tightened three times with a wait between: four pulls a stage."""
    before, stages = (ROOT / "tests" / "injectors.toml").read_text().split("[[stage]]", 1)
    torques = ("25", "40", "60")
    work = [f'do = "tighten"\nto = "{each} N·m"\nwithin = "±2 N·m"\n' for each in torques]
    work.insert(1, stages.split("[[stage]]")[1])
    text = before.replace("count = 6", f'count = 2\nwalk = "{walk}"') + "".join(f"[[stage]]\n{each}\n" for each in work)

    found = agree(plan(read(text.encode()), "injectors"), tool)

    assert [(1, "25")] * 4 + [(3, "40")] * 4 + [(4, "60")] * 4 == sorted(found)
