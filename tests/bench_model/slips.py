"""What clumsy hands do instead of what was asked, and how they own up to it."""

from collections.abc import Callable
from fractions import Fraction

from bench_model import pulls
from bench_model.amounts import in_unit, nearest, written
from bench_model.bolts import Bolt
from bench_model.choices import keys, values
from bench_model.joint import judged, round_of
from bench_model.walk import Prompt
from bench_model.worker import Worker

VOIDED = ("pull", "click", "turn", "turn by mark", "recheck", "correction")
Slip = Callable[[Worker, Prompt], str | None]


def slip(worker: Worker, prompt: Prompt) -> str | None:
    """Something goes wrong now and then; None where nothing does."""
    if prompt["part"] is not None or worker.slips_left <= 0 or worker.done_already is not None:
        return None
    if worker.random.random() > worker.clumsy:
        return None
    kind = str(prompt["prompt"])
    chosen = worker.random.choice(SLIPS.get(kind, ANYWHERE) + ANYWHERE)
    worker.dropped()
    worker.intent = {}
    worker.doing = kind
    line = chosen(worker, prompt)
    if line is not None:
        worker.slips_left -= 1
        worker.odd.append((chosen.__name__.strip("_"), str(prompt["id"])))
    else:
        worker.dropped()
        worker.intent = {}
    return line


def _over(worker: Worker, prompt: Prompt) -> str | None:
    if prompt["unit"] is None or worker.stage(prompt).stretch is not None:
        return None
    made = {"tighten": pulls.tighten, "turn": pulls.turn, "recheck": pulls.recheck}
    return made[str(prompt["prompt"])](worker, prompt, "over")


def _under(worker: Worker, prompt: Prompt) -> str | None:
    if prompt["unit"] is None or worker.stage(prompt).stretch is not None:
        return None
    made = {"tighten": pulls.tighten, "turn": pulls.turn, "recheck": pulls.recheck}
    return made[str(prompt["prompt"])](worker, prompt, "under")


def _under_and_under_again(worker: Worker, prompt: Prompt) -> str | None:
    """It does not come up to its torque: at the third time in a row the program asks."""
    if prompt["prompt"] != "tighten" or any(note.step == prompt["id"] for note in worker.notes):
        return None
    line = _under(worker, prompt)
    if line is not None:
        worker.unders = (str(prompt["id"]), 1)
    return line


def under_again(worker: Worker, prompt: Prompt) -> str | None:
    """The next of three unders in a row; a row where the program asks too early, or not at all."""
    if worker.unders is None or prompt["part"] is not None:
        return None
    step, count = worker.unders
    if prompt["prompt"] == "decide":
        if count < 3:
            worker.find(
                "FASTENER", "under-asked-early", f"{count} unders at {step}", prompt["text"], "asked at the third"
            )
        worker.unders = None
        return None
    if prompt["prompt"] != "tighten" or prompt["id"] != step or prompt["unit"] is None:
        worker.unders = None
        return None
    if count == 3:
        worker.find(
            "FASTENER", "third-under-not-asked", f"3 unders at {step}", prompt["text"], "does it ever reach it?"
        )
        worker.unders = None
        return None
    worker.dropped()
    worker.intent, worker.doing, worker.unders = {}, "tighten", (step, count + 1)
    return pulls.tighten(worker, prompt, "under")


def _off_scale(worker: Worker, prompt: Prompt) -> str | None:
    """More than the tool can show was typed: it is asked again, and then the number is read with more care."""
    if prompt["unit"] is None or prompt["prompt"] not in ("tighten", "recheck"):
        return None
    if worker.stage(prompt).stretch is not None:
        return None
    tool = worker.tool()
    made = {"tighten": pulls.tighten, "recheck": pulls.recheck}
    worker.retype = f"{made[str(prompt['prompt'])](worker, prompt)} {tool.unit}"
    return written(nearest(tool.high * Fraction(worker.random.randint(11, 30), 10), tool.step), tool.step)


def _moved(worker: Worker, prompt: Prompt) -> str | None:
    return pulls.recheck(worker, prompt, "moved")


def _bad_pull(worker: Worker, prompt: Prompt) -> str | None:
    if "-" not in keys(prompt) or prompt["prompt"] == "confirm":
        return None
    bolt = worker.bolt(prompt)
    turn = prompt["prompt"] == "turn"
    facts = {} if turn else {"tool": worker.tool().id, "adapter": worker.tool().adapter}
    worker.note("bad pull", prompt, counts=False, why_not="bad pull", **facts)

    def done() -> None:
        bolt.pulled(None, None, "")
        if turn:
            bolt.lost_mark = True

    worker.after.append(done)
    worker.intent = {"clicked": "no", "value": "-", "shown": "-"}
    _from_the_beginning(worker, prompt)
    return "-"


def _bad_pull_with_value(worker: Worker, prompt: Prompt) -> str | None:
    if prompt["unit"] is None or "-" not in keys(prompt) or prompt["prompt"] != "tighten":
        return None
    stage, tool, bolt = worker.stage(prompt), worker.tool(), worker.bolt(prompt)
    want = worker.random.choice(("under", "within", "over"))
    if stage.stretch is not None:
        return None
    shown = pulls.reading_to_type(worker, prompt, want)
    low, _, high = pulls.window_of(worker, stage, bolt.position)
    at_bolt, typed = tool.at_bolt(shown), written(shown, tool.step)
    verdict = judged(at_bolt, low, high)
    facts = {"tool": tool.id, "adapter": tool.adapter, "shown": shown, "typed": typed, "unit": tool.unit}
    worker.note("bad pull", prompt, at_bolt=at_bolt, counts=False, why_not="bad pull", verdict=verdict, **facts)
    why = f"bad pull, {typed} {tool.unit} told at {prompt['id']}, window to {float(high):.3f} N·m"
    worker.after.append(lambda: bolt.pulled(at_bolt, high, why))
    worker.intent = {"value": typed, "shown": typed}
    _from_the_beginning(worker, prompt)
    return f"- {typed}"


def _from_the_beginning(worker: Worker, prompt: Prompt) -> None:
    """Where the procedure says so, a bad pull starts its fastener over, unless there is something to decide first."""
    position = str(prompt["position"])
    if worker.group(prompt).after_bad_pull == "from the beginning":
        worker.after.append(lambda: setattr(worker, "starts_over", position))


def _mistyped(worker: Worker, prompt: Prompt) -> str | None:
    if prompt["unit"] is None or worker.stage(prompt).stretch is not None:
        return None
    tool, bolt = worker.tool(), worker.bolt(prompt)
    truth = pulls.reading_to_type(worker, prompt)
    wrong = pulls.reading_to_type(worker, prompt, worker.random.choice(("under", "over", "within")))
    known = worker.random.choice(("tool_shows_it", "second_person", "from_memory"))
    _, _, high = pulls.window_of(worker, worker.stage(prompt), bolt.position)
    held, typed = bolt.held, written(wrong, tool.step)
    facts = {"tool": tool.id, "adapter": tool.adapter, "shown": wrong, "typed": typed, "unit": tool.unit}
    worker.note("pull", prompt, at_bolt=tool.at_bolt(wrong), why_not="corrected", **facts)
    why = f"{typed} {tool.unit} told at {prompt['id']}, window to {float(high):.3f} N·m"
    worker.after.append(lambda: bolt.pulled(tool.at_bolt(wrong), high, why))

    def put_right() -> None:
        if bolt.over and known == "from_memory":
            return
        bolt.held, bolt.over = held, False
        bolt.pulled(tool.at_bolt(truth), high, why)

    worker.correcting = {"value": written(truth, tool.step), "known": known}
    worker.put_right = put_right
    return typed


def _first_high(worker: Worker, position: str) -> Fraction | None:
    """The most that the first torque of a fastener allows, which is what one is judged by that has reached none."""
    group = worker.joint.group_of(position).name
    first = next((each for each in worker.joint.stages if each.group == group and each.kind == "tighten"), None)
    return None if first is None else pulls.window_of(worker, first, position)[2]


def _another_position(worker: Worker, prompt: Prompt) -> str | None:
    if prompt["prompt"] not in ("tighten", "recheck", "confirm") or prompt["position"] is None:
        return None
    stage, tool = worker.stage(prompt), worker.tool()
    if stage.stretch is not None:
        return None
    others = [bolt for bolt in worker.bolts.values() if bolt.position != prompt["position"]]
    other = worker.random.choice(others)
    low, target, high = pulls.window_of(worker, stage, str(prompt["position"]))
    setting = prompt["unit"] is None
    shown = tool.set_to if setting else worker.bench.reading_of(tool, low, target, high, worker.random)
    if shown is None:
        return None
    typed = written(shown, tool.step)
    facts: dict[str, object] = {"tool": tool.id, "adapter": tool.adapter, "unit": tool.unit}
    facts |= {"set_to": shown} if setting else {"shown": shown, "typed": typed}
    worker.note("click" if setting else "pull", prompt, position=other.position, at_bolt=tool.at_bolt(shown), **facts)
    limit = other.reached_high if other.reached_high is not None else _first_high(worker, other.position)
    if _is_next(worker, prompt, other):
        limit = pulls.window_of(worker, stage, other.position)[2]
    why = f"{typed} {tool.unit} told for another position, its own window to {limit and float(limit)} N·m"
    worker.after.append(lambda: other.pulled(tool.at_bolt(shown), limit, why))
    worker.intent = {"item": "pulled_another", "position": other.position, "value": "+" if setting else typed}
    worker.intent |= {"tool": tool.id, "clicked": "yes"}
    return "*"


def _is_next(worker: Worker, prompt: Prompt, other: Bolt) -> bool:
    """Whether the step at hand is the other one's next too: all before it is done there, and this one is not."""
    stage, own = worker.stage(prompt), worker.joint.group_of(other.position)
    if own.name != stage.group or worker.group(prompt).name != own.name:
        return False
    done = {str(note.step).split("/")[0] for note in worker.notes if note.position == other.position and note.counts}
    before = {
        f"{one.number}.{number}"
        for one in worker.joint.stages[: stage.number]
        if one.group == own.name and one.kind in ("tighten", "turn", "loosen")
        for number in range(1, one.rounds + 1)
    }
    here = str(prompt["id"]).split("/")[0]
    later = {f"{stage.number}.{number}" for number in range(round_of(str(prompt["id"])), stage.rounds + 1)}
    return here not in done and before - later <= done


def _wrong_unit(worker: Worker, prompt: Prompt) -> str | None:
    if prompt["unit"] is None or prompt["prompt"] != "tighten" or worker.stage(prompt).stretch is not None:
        return None
    tool = worker.tool()
    other = worker.random.choice([unit for unit in ("N·m", "lbf·ft", "kgf·m") if unit != tool.unit])
    shown = pulls.reading_to_type(worker, prompt)
    worker.intent = {"slip": "refused"}
    return f"{written(in_unit(tool.at_bolt(shown), other), Fraction(1, 10))} {other}"


def _item(name: str) -> Slip:
    def chosen(worker: Worker, _prompt: Prompt) -> str | None:
        worker.intent = {"item": name}
        return "*"

    chosen.__name__ = name
    return chosen


def _broken(worker: Worker, prompt: Prompt) -> str | None:
    if prompt["position"] is None:
        return None
    worker.intent = {"item": "broken", "reached": worker.random.choice(("-", "12 N·m", "20 lbf·ft")), "unit": "N·m"}
    note = worker.note("broken", prompt, counts=False, why_not="broken")
    worker.after.append(lambda: setattr(worker.bolts[str(note.position)], "broken", True))
    return "*"


def _void(worker: Worker, prompt: Prompt) -> str | None:
    worker.note("void", prompt, counts=False)
    worker.intent = {"item": "void"}
    last = next((note for note in reversed(worker.notes) if note.kind in VOIDED and note.counts), None)
    if last is not None:
        worker.bolts[str(last.position)].attempts_sure = False
    return "*"


def _dropped(worker: Worker, prompt: Prompt) -> str | None:
    if worker.bench.torque is None:
        return None
    tool = worker.bench.tools.get(str(prompt["tool"])) if prompt["prompt"] == "return_tool" else worker.tool()
    if tool is None:
        return None
    worker.intent = {"item": "dropped", "tool": tool.id, "then": worker.random.choice(("out", "go_on"))}
    worker.after.append(lambda: setattr(tool, "in_trouble", True))
    return "*"


def _hand_over(worker: Worker, _prompt: Prompt) -> str | None:
    person = worker.random.choice([one for one in ("ines", "tomas", "maud", "okke") if one != worker.bench.typing])
    hands = worker.random.choice(("nobody", "nobody", next(one for one in ("okke", "ines") if one != person)))
    worker.intent = {"item": "hand_over", "person": person, "done_by": hands}

    def over() -> None:
        worker.bench.typing = person
        worker.bench.pulling = None if hands == "nobody" else hands

    worker.after.append(over)
    return "*"


def _zero_wrong(worker: Worker, prompt: Prompt) -> str | None:
    tool = worker.bench.tools[str(prompt["tool"])]
    worker.after.append(lambda: setattr(tool, "zero_bad", True))
    return values(prompt).get(worker.random.choice(("wrong", "unknown")))


def _no(worker: Worker, prompt: Prompt) -> str | None:
    """Not as it should be: whether such a fastener is loose by now, nobody can tell."""
    if prompt["work"] == "look_back":
        bolt = worker.bolt(prompt)
        worker.after.append(lambda: setattr(bolt, "tightenings_sure", False))
    if prompt["work"] == "inspect":
        worker.after.append(lambda: setattr(worker, "found_unfit", str(prompt["position"])))
    return values(prompt).get("no")


def _note(_worker: Worker, prompt: Prompt) -> str | None:
    return "/ the gasket looks dry" if prompt["prompt"] != "start_sheet" else None


def _nonsense(worker: Worker, prompt: Prompt) -> str | None:
    return (
        worker.random.choice(("xyz", "+1", "", "* *", "?"))
        if prompt["prompt"] not in ("start_sheet", "apply")
        else None
    )


ANYWHERE: tuple[Slip, ...] = (_note, _hand_over, _dropped, _item("last_three"), _item("help"))
PULL: tuple[Slip, ...] = (
    *(_over, _over, _under, _bad_pull, _bad_pull_with_value, _bad_pull_with_value, _mistyped, _another_position),
    *(_another_position, _wrong_unit, _item("skip"), _broken, _item("change_tool"), _item("never_reaches")),
    *(_item("wrong_part"), _void, _nonsense, _off_scale, _under_and_under_again),
)
SLIPS: dict[str, tuple[Slip, ...]] = {
    "tighten": PULL,
    "turn": (_over, _under, _bad_pull, _item("skip"), _broken, _void, _nonsense),
    "recheck": (_over, _under, _moved, _moved, _bad_pull, _another_position, _item("skip"), _item("change_tool")),
    "confirm": (_another_position, _broken, _item("skip")),
    "zero_tool": (_zero_wrong,),
    "inspect": (_no, _nonsense),
    "loosen": (_nonsense, _broken, _item("skip")),
    "measure": (_nonsense, _void),
    "start_sheet": (_nonsense,),
    "decide": (_note,),
}
