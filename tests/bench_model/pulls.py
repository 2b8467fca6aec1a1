"""Pulls: what a hand does when a torque, a turn or a recheck is asked for."""

from dataclasses import replace
from fractions import Fraction
from math import ceil, floor, log10

from bench_model.amounts import in_unit, is_torque, newton_metres, written
from bench_model.bolts import Bolt
from bench_model.choices import keys, positions_of, values
from bench_model.joint import Stage, judged, with_drag
from bench_model.walk import Prompt
from bench_model.worker import Worker


def window_of(worker: Worker, stage: Stage, position: str) -> tuple[Fraction, Fraction, Fraction]:
    """Low, target and high in N·m at a fastener, its prevailing torque added where the rule says so."""
    if stage.stretch is not None:
        assert stage.target is not None and stage.never_above is not None
        return Fraction(0), stage.target, stage.never_above
    if stage.kind == "recheck" and stage.low is None:
        stage = _as_tightened(worker, stage, position)
    drag = worker.drags.get(position) if stage.kind in ("tighten", "recheck") else None
    return with_drag(stage, worker.joint.group_of(position), drag, worker.joint.unit)


def _as_tightened(worker: Worker, stage: Stage, position: str) -> Stage:
    """A recheck without a window of its own is judged by that of the tightening it looks at again.

    That is the latest tightening of its group before it at the same torque; else the latest one, in proportion, with
    four digits in the sheet's unit and never wider than it is.
    """
    group = worker.joint.group_of(position).name
    before = [
        one for one in worker.joint.stages if one.group == group and one.kind == "tighten" and one.low is not None
    ]
    before = [one for one in before if worker.follow_up or one.number < stage.number]
    assert before and stage.target is not None
    same = [one for one in before if one.target == stage.target]
    if same:
        return replace(stage, low=same[-1].low, high=same[-1].high)
    last = before[-1]
    assert last.low is not None and last.high is not None and last.target is not None
    share, unit = stage.target / last.target, worker.joint.unit
    low, high = in_unit(last.low * share, unit), in_unit(last.high * share, unit)
    low, high = ceil(low / _step(low)) * _step(low), floor(high / _step(high)) * _step(high)
    return replace(stage, low=newton_metres(low, unit), high=newton_metres(high, unit))


def _step(value: Fraction) -> Fraction:
    """The last of four digits of a torque."""
    return Fraction(10) ** (floor(log10(value)) - 3)


def reading_to_type(worker: Worker, prompt: Prompt, want: str = "within") -> Fraction:
    """What the tool shows at the end of a pull that comes out as wanted."""
    stage, tool, position = worker.stage(prompt), worker.tool(), str(prompt["position"])
    low, target, high = window_of(worker, stage, position)
    told = prompt.get("window") or [None, None]
    if worker.joint.guarded and stage.stretch is None and all(told):
        low, high = max(low, _end(told[0])), min(high, _end(told[1]))
        target = min(max(target, low), high)
    if stage.stretch is not None:
        return _towards_stretch(worker, stage, worker.bolts[position])
    if want == "over":
        return tool.nearest_line(high * Fraction(worker.random.randint(104, 118), 100)) + tool.step
    if want == "under":
        return tool.nearest_line(low * Fraction(worker.random.randint(75, 95), 100)) - tool.step
    return worker.bench.reading_of(tool, low, target, high, worker.random)


def _end(told: dict[str, object]) -> Fraction:
    return newton_metres(Fraction(str(told["value"])), str(told["unit"]))


def _towards_stretch(worker: Worker, stage: Stage, bolt: Bolt) -> Fraction:
    assert stage.target is not None and stage.never_above is not None
    tool = worker.tool()
    before = bolt.held or stage.target * Fraction(9, 10)
    return tool.nearest_line(min(before * Fraction(21, 20), stage.never_above - newton_metre_of(worker)))


def newton_metre_of(worker: Worker) -> Fraction:
    """One scale line of the tool in hand, in N·m at the fastener."""
    return worker.tool().at_bolt(worker.tool().step)


def tighten(worker: Worker, prompt: Prompt, want: str = "within") -> str:
    """Pull, and say what came of it."""
    stage, tool, position = worker.stage(prompt), worker.tool(), str(prompt["position"])
    if "+" in keys(prompt):
        return click(worker, prompt, [position])
    shown = reading_to_type(worker, prompt, want)
    if worker.done_already is not None:
        shown = Fraction(worker.done_already)
    typed = written(shown, tool.step)
    _pulled(worker, prompt, stage, position, shown, typed)
    return typed


def _pulled(worker: Worker, prompt: Prompt, stage: Stage, position: str, shown: Fraction, typed: str) -> None:
    tool = worker.tool()
    low, _, high = window_of(worker, stage, position)
    at_bolt = tool.at_bolt(shown)
    verdict = judged(at_bolt, low, high) if not worker.joint.guarded else None
    if stage.stretch is not None:
        verdict = "over" if at_bolt > high else None
    facts = {"tool": tool.id, "adapter": tool.adapter, "shown": shown, "typed": typed, "unit": tool.unit}
    worker.note("pull", prompt, position=position, at_bolt=at_bolt, verdict=verdict, **facts)
    why = f"{typed} {tool.unit} told at {prompt['id']}, window to {float(high):.3f} N·m"
    bolt = worker.bolts[position]
    worker.after.append(lambda: bolt.pulled(at_bolt, high, why))
    worker.after.append(lambda: setattr(bolt, "reached_high", high))
    if stage.stretch is not None:
        worker.after.append(lambda: _stretched(stage, bolt))


def _stretched(stage: Stage, bolt: Bolt) -> None:
    assert stage.target is not None and bolt.held is not None
    share = bolt.held / stage.target
    bolt.stretch = min(Fraction(round(float(share) * 13), 100), Fraction(17, 100))


def click(worker: Worker, prompt: Prompt, positions: list[str]) -> str:
    """One click each, at what the tool is set to in truth."""
    stage = worker.stage(prompt)
    for position in positions:
        _clicked(worker, prompt, stage, position)
    return "+"


def _clicked(worker: Worker, prompt: Prompt, stage: Stage, position: str) -> None:
    tool, bolt = worker.tool(), worker.bolts[position]
    _, _, high = window_of(worker, stage, position)
    at_bolt = None if tool.set_to is None else tool.at_bolt(tool.set_to)
    facts = {"tool": tool.id, "adapter": tool.adapter, "unit": tool.unit, "set_to": tool.set_to}
    worker.note("click", prompt, position=position, at_bolt=at_bolt, **facts)
    why = f"clicked at {tool.set_to} {tool.unit} at {prompt['id']}"
    worker.after.append(lambda: bolt.pulled(at_bolt, high, why))
    worker.after.append(lambda: setattr(bolt, "reached_high", high))


def confirm(worker: Worker, prompt: Prompt) -> str:
    """Several at once, each with one click; or a caution that is read."""
    if prompt["id"] is None or worker.stage(prompt).kind != "tighten" or prompt["set_tool_to"] is None:
        return "+"
    return click(worker, prompt, positions_of(prompt))


def turn(worker: Worker, prompt: Prompt, want: str = "within") -> str:
    """Turn, in one go or in strokes."""
    stage, bolt = worker.stage(prompt), worker.bolt(prompt)
    assert stage.low is not None and stage.high is not None
    begun = bolt.turned if bolt.turning == prompt["id"] else Fraction(0)
    if "+" in keys(prompt):
        worker.note("turn by mark", prompt)
        worker.after.append(lambda: _turned(worker, bolt, prompt, stage.target or Fraction(0), True))
        return "+"
    rest_low, rest_high = int(stage.low - begun), int(stage.high - begun)
    angle = Fraction(worker.random.randint(max(rest_low, 1), max(rest_high, 1)))
    if want == "over":
        angle = Fraction(max(rest_high, 0) + worker.random.randint(1, 12))
    elif rest_low > 15 and (want == "under" or (stage.strokes and worker.random.random() < 0.4)):
        angle = Fraction(worker.random.randint(5, rest_low - 3))
    if worker.done_already is not None:
        angle = Fraction(worker.done_already)
    total = begun + angle
    verdict = judged(total, stage.low, stage.high)
    gauge = worker.bench.gauge
    worker.note("turn", prompt, tool=gauge, typed=str(angle), unit="°", angle=total, shown=angle, verdict=verdict)
    worker.after.append(lambda: _turned(worker, bolt, prompt, angle, verdict != "under"))
    return str(angle)


def _turned(worker: Worker, bolt: Bolt, prompt: Prompt, angle: Fraction, finished: bool) -> None:
    stage = worker.stage(prompt)
    total = (bolt.turned if bolt.turning == prompt["id"] else Fraction(0)) + angle
    bolt.turned, bolt.turning = total, str(prompt["id"])
    bolt.pulled(None, None, "")
    if stage.high is not None and total > stage.high:
        bolt.over, bolt.why_over = True, f"turned {total}° at {prompt['id']}"
    if finished:
        bolt.held = None


def recheck(worker: Worker, prompt: Prompt, want: str = "within") -> str:
    """A recheck: a reading where the tool gives one, else whether it moved."""
    stage, tool, position = worker.stage(prompt), worker.tool(), str(prompt["position"])
    low, _, high = window_of(worker, stage, position)
    if prompt["unit"] is not None and is_torque(prompt["unit"]):
        shown = reading_to_type(worker, prompt, want)
        typed = written(shown, tool.step)
        facts = {"tool": tool.id, "adapter": tool.adapter, "shown": shown, "typed": typed, "unit": tool.unit}
        verdict = None if worker.joint.guarded else judged(tool.at_bolt(shown), low, high)
        worker.note("recheck", prompt, at_bolt=tool.at_bolt(shown), verdict=verdict, **facts)
        bolt, at_bolt = worker.bolt(prompt), tool.at_bolt(shown)
        worker.after.append(lambda: bolt.pulled(at_bolt, high, f"{typed} {tool.unit} told at recheck {prompt['id']}"))
        return typed
    there = values(prompt)
    if "moved" not in there and "+" in keys(prompt):
        return "+"
    facts = {"tool": tool.id, "adapter": tool.adapter, "set_to": tool.set_to, "unit": tool.unit}
    worker.note("recheck", prompt, **facts)
    moved = want == "moved" and "moved" in there
    return there["moved" if moved else "still"] if "still" in there else keys(prompt)[0]
