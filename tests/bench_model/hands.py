"""What a person answers to each kind of question; never from its words."""

from collections.abc import Callable
from fractions import Fraction

from bench_model import parts, pulls
from bench_model.amounts import in_unit, is_torque, nearest, newton_metres, written
from bench_model.choices import keys, value_of, values
from bench_model.joint import Stage, judged
from bench_model.tools import INSTRUMENTS, Tool
from bench_model.walk import Prompt, Reply, StuckError
from bench_model.worker import Worker


def answer(worker: Worker, prompt: Prompt) -> str:
    """The line to type."""
    if prompt["part"] is not None:
        return parts.part(worker, prompt)
    kind = str(prompt["prompt"])
    if kind not in KINDS:
        raise StuckError(f"a prompt of a kind that is not in the manual: {kind}")
    worker.dropped()
    worker.doing = kind
    return KINDS[kind](worker, prompt)


def _start_sheet(worker: Worker, prompt: Prompt) -> str:
    there = keys(prompt)
    if "+" in there:
        return "+"
    if prompt["group"] is not None and set(values(prompt)) == {"yes", "no"}:
        said = worker.random.choice(("yes", "yes", "yes", "no"))
        worker.after.append(lambda: worker.says_new(str(prompt["group"]), said))
        return values(prompt)[said]
    if any(key.isdigit() for key in there):
        return worker.random.choice([key for key in there if key.isdigit()])
    return "12"


def _take_tool(worker: Worker, prompt: Prompt) -> str:
    options = [(str(choice["key"]), value_of(choice)) for choice in prompt["choices"]]
    tools = worker.bench.tools
    usable = [(key, id) for key, id in options if id not in str(worker.intent.get("refused tools", ""))]
    measuring = any(one in tools and tools[one].kind in INSTRUMENTS for _, one in options)
    if measuring:  # nobody takes a micrometer to a gap
        can = ("m1", "not-listed") if _a_length(worker.stage(prompt)) else ("d1", "f1", "not-listed")
        usable = [(key, id) for key, id in usable if id in can]
    weights = [8, 5, 3] + [1] * len(usable)
    if not usable:
        raise StuckError("no tool that can be picked up")
    key, id = worker.random.choices(usable, weights[: len(usable)])[0]
    worker.intent["chosen"] = id
    gauge = id in tools and tools[id].kind == "angle gauge"
    if measuring:
        worker.after.append(lambda: worker.bench.measuring.update({int(prompt["stage"]): id if id in tools else None}))
        _best_first(worker, prompt, [one for _, one in options])
        return key

    def taken() -> None:
        if id in tools and not gauge:
            tools[id].adapter = None
        if gauge or id not in tools:
            worker.bench.gauge = id if gauge else None
        else:
            worker.bench.torque = id
            if tools[id].failed:
                worker.find("TROUBLE", "failed-and-taken", f"{id} failed its check", "taken up", "out of service")

    worker.after.append(taken)
    _trouble_last(worker, prompt, [id for _, id in options])
    return key


def refused(worker: Worker, reply: Reply) -> None:
    """Remember a tool that cannot do it, so that another one is chosen; nothing of the answer was done."""
    chosen = worker.intent.get("chosen")
    if worker.doing == "take_tool" and chosen:
        worker.intent["refused tools"] = f"{worker.intent.get('refused tools', '')} {chosen}"
        if "adapter chosen" in worker.intent:
            worker.intent["refused adapters"] = (
                f"{worker.intent.get('refused adapters', '')} {worker.intent['adapter chosen']}"
            )
    if reply.prompt is not None and reply.prompt["part"] is None:
        worker.dropped()


def _best_first(worker: Worker, prompt: Prompt, offered: list[str]) -> None:
    """Asked once a stage: first what reaches and is fine enough, last of what can be taken whatever is not listed."""
    worker.counted["offers"] += 1
    held = worker.bench.measuring.get(int(prompt["stage"]), "")
    if held is None or (held and not worker.bench.tools[held].in_trouble):
        worker.find("TOOLS", "measuring-asked-twice", f"{held} in hand at {prompt['id']}", offered, "once a stage")
    best = "m1" if _a_length(worker.stage(prompt)) else "d1"
    first = offered[0] if not worker.bench.tools[best].in_trouble else best
    after = set(offered[offered.index("not-listed") + 1 :])  # those alone that cannot reach
    cannot = {"d1", "f1"} if best == "m1" else {"m1"}
    if first != best or after != cannot & set(offered) or any(one[0] in "wgr" for one in offered):
        told = f"{best} first, not-listed last of those that can, then {sorted(cannot)}"
        worker.find("TOOLS", "measuring-order", f"at {prompt['id']}", offered, told)


def _a_length(stage: Stage) -> bool:
    """The whole bolt is measured, not a gap."""
    return stage.stretch is not None or stage.low == 94


def _trouble_last(worker: Worker, prompt: Prompt, offered: list[str]) -> None:
    """A tool that was dropped stands behind every other one that can do the work."""
    tools = [worker.bench.tools[id] for id in offered if id in worker.bench.tools]
    worker.counted["offers"] += 1
    for place, tool in enumerate(tools):
        behind = [one.id for one in tools[place:] if not one.in_trouble and _can_do(worker, prompt, one)]
        if tool.in_trouble and behind:
            worker.find("TROUBLE", "trouble-not-last", f"{tool.id} was dropped, at {prompt['id']}", offered, behind)


def _can_do(worker: Worker, prompt: Prompt, tool: Tool) -> bool:
    """Whether a tool with a good zero reaches the target the right way round, or clicks where a click will do."""
    stage = worker.stage(prompt)
    if tool.zero_bad:
        return False
    if tool.kind == "setting" and (stage.kind != "tighten" or stage.stretch is not None):
        return False
    if prompt["target"] is None or (tool.directions is not None and worker.group(prompt).left_hand):
        return False
    target = newton_metres(Fraction(str(prompt["target"]["value"])), str(prompt["target"]["unit"]))
    return tool.low <= in_unit(target, tool.unit) <= tool.high


def _set_tool(worker: Worker, prompt: Prompt) -> str:
    tool = worker.tool()
    asked = prompt["set_tool_to"]
    value = Fraction(str(asked["value"]))
    if nearest(value, tool.step) != value or asked["unit"] != tool.unit:
        worker.find(
            "AIM", "setting-off-scale", f"{tool.name} reads in {tool.unit}", asked, f"a line of its scale, {tool.step}"
        )
    if (borne := tool.overloads(value)) is not None:
        worker.find("AIM", "multiplier-overloaded-set", f"{tool.name}+{tool.adapter} at {prompt['id']}", asked, borne)
    stage = worker.stage(prompt)
    if prompt["position"] is not None and stage.kind == "tighten" and not worker.joint.guarded:
        low, _, high = pulls.window_of(worker, stage, str(prompt["position"]))
        if not low <= tool.at_bolt(value) <= high:
            done = f"{tool.name}+{tool.adapter} at {prompt['id']}: {float(low):.3f} to {float(high):.3f} N·m"
            worker.find("AIM", "setting-outside", done, asked, f"gives {float(tool.at_bolt(value)):.3f} N·m")
    tool.set_to = value
    return written(value, tool.step)


def _zero(_worker: Worker, prompt: Prompt) -> str:
    return values(prompt).get("good", "1")


def _put_back(worker: Worker, prompt: Prompt) -> str:
    """What is put back is in hand no longer."""
    bench, tool = worker.bench, prompt["tool"]

    def away() -> None:
        bench.torque = None if bench.torque == tool else bench.torque
        bench.gauge = None if bench.gauge == tool else bench.gauge
        bench.measuring = {stage: held for stage, held in bench.measuring.items() if held != tool}

    worker.after.append(away)
    return _first(worker, prompt)


def _first(_worker: Worker, prompt: Prompt) -> str:
    there = keys(prompt)
    if "+" in there:
        return "+"
    digits = [key for key in there if key.isdigit()]
    if digits:
        return digits[0]
    raise StuckError(f"no key that a person would press: {prompt}")


def _measure(worker: Worker, prompt: Prompt) -> str:
    stage = worker.stage(prompt)
    if is_torque(prompt["unit"]):
        return _torque_read(worker, prompt, stage)
    held = worker.bench.measuring.get(int(prompt["stage"]))
    if prompt["tool"] != held:
        worker.find("TOOLS", "measured-with", f"{held} in hand at {prompt['id']}", prompt["tool"], held)
    if prompt["position"] is not None and "@" not in str(prompt["id"]) and _a_length(stage):
        bolt = worker.bolt(prompt)
        length = bolt.free_length + bolt.stretch
        worker.note("length", prompt, tool=held, shown=length, typed=written(length, Fraction(1, 100)), unit="mm")
        return written(length, Fraction(1, 100))
    if stage.measured_in != "mm":
        return _counted_or_read(worker, prompt, stage)
    far = 10 if stage.adjust_at_most else 6  # some of them outside
    leaves = held == "f1"  # only what leaves make up in steps of five
    value = Fraction(
        25 + (5 * worker.random.randint(-far // 5, far // 5) if leaves else worker.random.randint(-far, far)), 100
    )
    worker.note("gap", prompt, tool=held, shown=value, typed=written(value, Fraction(1, 100)), unit="mm")
    return written(value, Fraction(1, 100))


def _counted_or_read(worker: Worker, prompt: Prompt, stage: Stage) -> str:
    """A whole number of things, or a pressure; now and then it lies outside."""
    ends = (0, 4) if stage.measured_in == "count" else (299, 321)
    value = Fraction(worker.random.randint(*ends))
    verdict = judged(value, stage.low, stage.high)  # of it alone, also where points are judged once all are there
    worker.note("gap", prompt, tool=None, shown=value, typed=str(value), unit=stage.measured_in, verdict=verdict)
    return str(value)


def _torque_read(worker: Worker, prompt: Prompt, stage: Stage) -> str:
    tool, bolt = worker.tool(), worker.bolt(prompt)
    if stage.kind in ("turn", "align"):
        assert stage.final is not None
        low, high = stage.final
        if stage.kind == "align" and bolt.held is not None:  # turned on, it has no less than before
            low = max(low, bolt.held)
        shown = worker.bench.reading_of(tool, *_middle((low, high)), worker.random)
        typed = written(shown, tool.step)
        facts = {"tool": tool.id, "adapter": tool.adapter, "shown": shown, "typed": typed, "unit": tool.unit}
        worker.note("torque after turn", prompt, **facts)
        return typed
    shown = max(tool.nearest_line(bolt.drag), tool.step)
    typed = written(shown, tool.step)
    worker.note("prevailing", prompt, tool=tool.id, adapter=tool.adapter, shown=shown, typed=typed, unit=tool.unit)
    worker.after.append(lambda: worker.drags.update({bolt.position: tool.at_bolt(shown)}))
    return typed


def _middle(ends: tuple[Fraction, Fraction]) -> tuple[Fraction, Fraction, Fraction]:
    return ends[0], (ends[0] + ends[1]) / 2, ends[1]


def _loosen(worker: Worker, prompt: Prompt) -> str:
    position = str(prompt["position"])
    bolt = worker.bolts[position]
    fully = prompt["target"] is None
    worker.note(
        "loosen", prompt, again=fully and (prompt["again"] is not None or worker.stage(prompt).kind != "loosen")
    )
    worker.after.append(bolt.loosened if fully else bolt.loosened_by)
    if fully:
        worker.after.append(lambda: _forget_drag(worker, position))
    return "+"


def _forget_drag(worker: Worker, position: str) -> None:
    worker.drags.pop(position, None)


def _back_off(worker: Worker, prompt: Prompt) -> str:
    bolt = worker.bolt(prompt)
    worker.note("back off", prompt)
    worker.after.append(bolt.loosened_by)
    return values(prompt)["done"]


def _back_at_mark(worker: Worker, prompt: Prompt) -> str:
    worker.note("back at mark", prompt)
    return values(prompt)["back"]


def _apply(worker: Worker, prompt: Prompt) -> str:
    worker.note("apply", prompt)
    return "+" if "+" in keys(prompt) else "L7"


def _align(worker: Worker, prompt: Prompt) -> str:
    there = values(prompt)
    way = worker.random.choice([each for each in ("already", "turned", "unread") if each in there])
    if way == "already":
        worker.note("slot", prompt, verdict="aligned already")
    else:
        worker.note("turn by mark", prompt)
    return there[way]


def _mark(worker: Worker, prompt: Prompt) -> str:
    worker.note("mark", prompt)
    return values(prompt)["done"]


def _wait(_worker: Worker, _prompt: Prompt) -> str:
    return "+"


def _inspect(worker: Worker, prompt: Prompt) -> str:
    there = values(prompt)
    if prompt["work"] == "new_fastener":
        worker.after.append(worker.bolt(prompt).renewed)
    return there.get("yes", keys(prompt)[0])


def _draw_sample(_worker: Worker, _prompt: Prompt) -> str:
    """Somebody who never works here inspects."""
    return "Okke"


def _step_state(worker: Worker, prompt: Prompt) -> str:
    there = values(prompt)
    if worker.left in there:
        if worker.left.startswith("started_mark"):
            bolt = worker.bolt(prompt)
            worker.after.append(lambda: setattr(bolt, "begun_untold", True))
        if worker.left == "started_not_finished" and prompt["position"] is not None:
            begun = worker.bolt(prompt)
            worker.after.append(lambda: setattr(begun, "begun", True))
        return there[worker.left]
    if "not_started" in there:
        return there["not_started"]
    raise StuckError(f"how it was left is not among the choices: {list(there)}")


def _adjusts(worker: Worker, prompt: Prompt) -> None:
    """The way back stands there as long as its times are left, and no longer."""
    if prompt["id"] is None or prompt["position"] is not None or "measure_again" not in values(prompt):
        return  # what was measured before is asked about first
    stage = worker.stage(prompt)
    if not stage.adjust_at_most:
        return
    done = worker.adjusted[stage.number]
    if ("adjust" in values(prompt)) != (done < stage.adjust_at_most):
        worker.find("CHOICES", "adjust", f"adjusted {done} times at {prompt['id']}", values(prompt), "2 times at most")


def _decide(worker: Worker, prompt: Prompt) -> str:
    there = values(prompt)
    _adjusts(worker, prompt)
    weights = {
        "pull_again": 4,
        "start_over": 4,
        "new_fastener": 2,
        "correct": 0,
        "concession": 2,
        "hold": 0,
        "abandon": 0,
    }
    weights |= {"adjust": 8, "go_back": 1, "measure_again": 4, "look_again": 3, "go_on": 3, "do_now": 6}
    options = {value: weights.get(value, 1) for value in there}
    if worker.intent.get("decide") in there:
        chosen = str(worker.intent["decide"])
    elif not any(options.values()):
        chosen = worker.random.choice(list(there))
    else:
        chosen = worker.random.choices(list(options), list(options.values()))[0]
    worker.counted["decisions"] += 1
    if chosen == "adjust":
        stage = worker.stage(prompt)
        worker.after.append(lambda: worker.adjusts(stage))
    worker.intent["chosen"] = chosen
    if chosen == "concession":
        worker.after.append(lambda: worker.accepts(prompt))
    if prompt["position"] is not None:
        bolt = worker.bolt(prompt)
        if chosen == "concession":
            worker.after += [lambda: setattr(bolt, "over", False), lambda: setattr(bolt, "begun_untold", False)]
        starting_over, worker.found_unfit = worker.found_unfit == bolt.position, None
        if chosen in ("new_fastener", "start_over", "another_washer") and not starting_over:
            worker.after.append(lambda: parts.over_again(worker, {bolt.position}))
    return there[chosen]


def _sign_off(worker: Worker, prompt: Prompt) -> str:
    """One who pulled signs; of the others who did, one after the other, or nobody more."""
    there = values(prompt)
    if "leave_others_open" in there:
        return worker.random.choice(list(there.values()))
    pulled = sorted({note.pulling or note.typing for note in worker.notes} - {""})
    return (worker.random.choice(pulled) if pulled else worker.bench.typing).capitalize()


KINDS: dict[str, Callable[[Worker, Prompt], str]] = {
    "start_sheet": _start_sheet,
    "take_tool": _take_tool,
    "set_tool": _set_tool,
    "zero_tool": _zero,
    "return_tool": _put_back,
    "tighten": pulls.tighten,
    "confirm": pulls.confirm,
    "turn": pulls.turn,
    "recheck": pulls.recheck,
    "loosen": _loosen,
    "measure": _measure,
    "inspect": _inspect,
    "draw_sample": _draw_sample,
    "back_off": _back_off,
    "back_at_mark": _back_at_mark,
    "apply": _apply,
    "mark": _mark,
    "align": _align,
    "wait": _wait,
    "step_state": _step_state,
    "decide": _decide,
    "hand_over": parts.person,
    "sign_off": _sign_off,
    "finished": _first,
}
