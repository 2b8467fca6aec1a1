"""Parts of an answer: which tool, which adapter, whose hands, how far, and what was intended beforehand."""

from collections.abc import Callable

from bench_model import pulls
from bench_model.choices import keys, positions_of, values
from bench_model.several import joint_of
from bench_model.tools import ADAPTERS, COSINES, LENGTH, MULTIPLIERS
from bench_model.walk import Prompt, StuckError
from bench_model.worker import Part, Worker


def part(worker: Worker, prompt: Prompt) -> str:
    """A part of an answer: as intended, else as one does."""
    name = str(prompt["part"])
    wanted: Part | None = worker.intent.get(name)
    if callable(wanted):
        return wanted(worker, prompt)
    there = values(prompt)
    if wanted is not None:
        return there.get(wanted, wanted)
    if name in PARTS:
        return PARTS[name](worker, prompt)
    if there:
        return worker.random.choice(list(there.values()))
    raise StuckError(f"a part that the model does not know: {prompt['prompt']}.{name}")


def _adapter(worker: Worker, prompt: Prompt) -> str:
    there = values(prompt)
    chosen = worker.random.choice(list(there))
    tried = worker.intent.get("refused adapters", "")
    if chosen in str(tried):
        chosen = next(iter(there))
    id = chosen if chosen in ADAPTERS or chosen in MULTIPLIERS else None
    worker.intent["adapter chosen"] = chosen
    wanted = worker.stage(prompt).adapter if prompt["position"] is not None else None
    if wanted is not None and set(there) != {"a3"}:
        worker.find("AIM", "other-adapters", f"{wanted} at {prompt['id']}", sorted(there), "a3 alone")
    tool = worker.bench.tools.get(str(worker.intent.get("chosen", "")))

    def mounted() -> None:
        if tool is not None:
            tool.adapter, tool.angle = id, 0

    worker.after.append(mounted)
    return there[chosen]


def _length(_worker: Worker, _prompt: Prompt) -> str:
    return str(LENGTH)


def _angle(worker: Worker, _prompt: Prompt) -> str:
    """Straight on, or to the side; back to another tool where this one will not do either way."""
    tool = worker.bench.tools[str(worker.intent["chosen"])]
    tried = str(worker.intent.pop("angles tried", ""))
    if len(tried) > 4:
        worker.dropped()
        return "*"
    worker.intent["angles tried"] = f"{tried}+"
    angle = 90 if tool.lever is None or len(tried) > 3 else worker.random.choice(list(COSINES))
    worker.after.append(lambda: setattr(tool, "angle", angle))
    return str(angle)


def _unit(worker: Worker, prompt: Prompt) -> str:
    there, tool = values(prompt), worker.tool()
    unit = tool.unit.lower()
    return next(key for value, key in there.items() if value.lower() == unit)


def _scope(worker: Worker, prompt: Prompt) -> str:
    there = values(prompt)
    chosen = worker.random.choice(list(there))
    group = worker.group(prompt).positions
    positions = {"group": group, "joint": _of_its_joint(worker, str(prompt["position"]))}.get(chosen, ())
    if chosen == "neighbours":
        worker.after.append(lambda: _who_else(worker, group))
    if prompt["position"] in positions:
        others = set(positions) - {str(prompt["position"])}
        worker.after.append(lambda: over_again(worker, {one for one in others if _something_to_undo(worker, one)}))
    return there[chosen]


def _back_to(worker: Worker, prompt: Prompt) -> str:
    """Back from a gate to an earlier stage: the groups that were pulled since start over."""
    there = values(prompt)
    chosen = worker.random.choice(list(there))
    since = worker.joint.stages[int(chosen) - 1 : worker.stage(prompt).number]
    own = str(prompt.get("joint", ""))
    groups = {each.group for each in since if each.kind in ("tighten", "turn", "recheck") and each.group is not None}
    groups = {name for name in groups if name.startswith(own)}
    members = {one for one in worker.bolts if worker.joint.group_of(one).name in groups}
    worker.after.append(lambda: over_again(worker, {one for one in members if _something_to_undo(worker, one)}))
    measured = worker.stage(prompt)
    if measured.back_to is not None and int(chosen) <= measured.back_to:  # as far as adjusting goes: one time more
        worker.after.append(lambda: worker.adjusted.update([measured.number]))
    return there[chosen]


def _something_to_undo(worker: Worker, position: str) -> bool:
    """A fastener that is as it came, put in by hand, has nothing to start over from."""
    bolt = worker.bolts[position]
    return not bolt.loose or bolt.worked or bolt.begun


def _of_its_joint(worker: Worker, position: str) -> tuple[str, ...]:
    return tuple(each for each in worker.bolts if joint_of(each) == joint_of(position))


def over_again(worker: Worker, positions: set[str]) -> None:
    """These start over: all are loosened before any is tightened."""
    worker.must_be_loose.update(positions)
    worker.accepted -= positions
    for position in positions:
        worker.bolts[position].attempts += 1
        worker.bolts[position].worked = False


def starts_over(worker: Worker, prompt: Prompt) -> None:
    """After a bad pull its fastener starts over, where that is the procedure's rule and nobody is asked."""
    position, worker.starts_over = worker.starts_over, None
    if position is not None and (prompt["prompt"] != "decide" or prompt["position"] != position):
        over_again(worker, {position})


def _who_else(worker: Worker, group: tuple[str, ...]) -> None:
    """Who counts as a neighbour is the picture's business; their attempts are not counted here."""
    worker.accepted -= set(group)
    for position in group:
        worker.bolts[position].attempts_sure = False


def person(worker: Worker, prompt: Prompt) -> str:
    """Somebody else than the one at the keyboard."""
    there = values(prompt)
    if worker.intent.get("chosen") == "concession":
        at_it = {name for note in worker.notes for name in (note.typing, note.pulling)}
        at_it |= {worker.bench.typing, worker.bench.pulling}
        free = [key for value, key in there.items() if value not in at_it]
        return worker.random.choice(free) if free else "Vera"
    others = [key for value, key in there.items() if value not in (worker.bench.typing, "nobody")]
    return worker.random.choice(others or list(there.values()))


def _tool(worker: Worker, prompt: Prompt) -> str:
    there = values(prompt)
    tried = str(worker.intent.get("refused tools", ""))
    options = [value for value in there if value not in tried] or list(there)
    worker.intent["chosen"] = worker.random.choice(options)
    return there[str(worker.intent["chosen"])]


def _again(worker: Worker, _prompt: Prompt) -> str:
    """What is off the scale is typed once more, with its unit."""
    typed = str(worker.intent.get("value", worker.intent.get("reached", "")))
    return typed if " " in typed else f"{typed} {worker.tool().unit}"


def _done_up_to(worker: Worker, prompt: Prompt) -> str:
    there = values(prompt)
    positions = [value for value in there if value in worker.bolts]
    done = positions[: worker.random.randint(0, len(positions))]
    if worker.intent.get("item") == "pulled_another" and _next_after(prompt, done) == worker.intent["position"]:
        done = []  # it was pulled in place of the first
    if not done:
        return there["none_of_them"]
    aside, worker.pending, after, worker.after = worker.pending, [], worker.after, []
    pulls.click(worker, prompt, done)
    worker.before, worker.before_after = worker.pending, worker.after
    shown = positions_of(prompt)
    for note in aside:
        if note.position == shown[0]:
            note.position = shown[shown.index(done[-1]) + 1]
    worker.pending, worker.after = aside, after
    return there[done[-1]]


def _next_after(prompt: Prompt, done: list[str]) -> str | None:
    """The first fastener of a block that is not done yet."""
    return next((each for each in positions_of(prompt) if each not in done), None)


def _turned_so_far(worker: Worker, prompt: Prompt) -> str:
    """Asked how far a turn came before the break: nobody knows."""
    bolt = worker.bolt(prompt)
    worker.after.append(lambda: setattr(bolt, "begun_untold", False))
    return values(prompt)["not_known"]


def _nobody(_worker: Worker, prompt: Prompt) -> str:
    return "-" if "-" in keys(prompt) else keys(prompt)[0]


def _number(worker: Worker, _prompt: Prompt) -> str:
    """Any number that comes to mind."""
    return str(worker.random.randint(0, 10**6))


def _moved(worker: Worker, prompt: Prompt) -> str:
    """Nothing moved, or something: where the first movement was to be read, nothing within the window says it then."""
    there = values(prompt)
    chosen = worker.random.choice(list(there))
    if chosen == "still" and worker.stage(prompt).method == "first movement":
        for note in worker.pending:
            if note.kind == "recheck" and note.verdict == "within":
                note.verdict = None
                note.unmoved = True
    return there[chosen]


PARTS: dict[str, Callable[[Worker, Prompt], str]] = {
    "again": _again,
    "back to": _back_to,
    "degrees": _turned_so_far,
    "unit": _unit,
    "adapter": _adapter,
    "adapter_length": _length,
    "adapter_angle": _angle,
    "person": person,
    "done_by": _nobody,
    "scope": _scope,
    "done up to": _done_up_to,
    "tool": _tool,
    "number": _number,
    "moved": _moved,
}
