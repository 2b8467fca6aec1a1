"""What may never be ordered, whatever was answered before: held against the bolt as it is."""

from fractions import Fraction

from bench_model.amounts import nearest
from bench_model.bolts import Bolt
from bench_model.choices import positions_of
from bench_model.joint import Stage
from bench_model.pulls import window_of
from bench_model.walk import Prompt
from bench_model.worker import Worker

PULLS = ("tighten", "turn", "recheck", "confirm")


def look_at(worker: Worker, prompt: Prompt) -> None:
    """Hold an order against the bolts before anybody obeys it."""
    if prompt["part"] is not None or prompt["prompt"] not in (*PULLS, "loosen", "measure"):
        return
    if prompt["id"] is None or prompt["position"] is None:
        return
    worker.all_new(prompt)
    stage = worker.stage(prompt)
    if prompt["prompt"] == "confirm" and stage.kind != "tighten":
        return
    for position in positions_of(prompt):
        _one(worker, prompt, stage, worker.bolts[position])


def _one(worker: Worker, prompt: Prompt, stage: Stage, bolt: Bolt) -> None:
    kind, text = str(prompt["prompt"]), str(prompt["text"])
    where = f"{kind} at {prompt['id']}, bolt {bolt.position}"
    worker.counted["orders"] += 1
    if kind in PULLS and bolt.over and stage.kind in ("tighten", "turn", "recheck"):
        worker.find(
            "FASTENER", f"{kind}-above-window", f"{where}: {bolt.why_over}", text, "over: loosen fully, or concede"
        )
    if kind == "turn" and bolt.loose:
        worker.find("FASTENER", "turn-on-loose", f"{where}: loosened, not tightened since", text, "not snug: no turn")
    if kind == "turn" and bolt.begun_untold and prompt["part"] is None:
        worker.find(
            "FASTENER",
            "begun-turn-not-asked",
            f"{where}: begun before the break",
            text,
            "asked first how far it is turned",
        )
        bolt.begun_untold = False
    if kind in PULLS and worker.must_be_loose:
        left = [p for p in sorted(worker.must_be_loose) if not worker.bolts[p].loose and not worker.bolts[p].broken]
        worker.must_be_loose = set()
        if left:
            worker.find(
                "FASTENER",
                "start-over-not-all-loose",
                f"start over, then {where}; not loosened: {left}",
                text,
                "all of its scope are loosened first",
            )
    if kind in PULLS and bolt.broken:
        worker.find("FASTENER", f"{kind}-on-broken", where, text, "it is broken: a new one first")
    if kind == "turn":
        _remainder(worker, prompt, stage, bolt)
    if kind in ("tighten", "turn", "recheck", "confirm", "loosen"):
        _said_with_it(worker, prompt, bolt, kind)
    if kind in ("tighten", "recheck", "confirm") and not worker.joint.guarded and stage.stretch is None:
        _mark_to_stop_at(worker, prompt, stage, bolt)


def _remainder(worker: Worker, prompt: Prompt, stage: Stage, bolt: Bolt) -> None:
    begun = bolt.turned if bolt.turning == prompt["id"] else Fraction(0)
    told = prompt["turned"]
    if told is not None and (Fraction(str(told["value"])), told["unit"]) != (begun, "°"):
        done = f"bolt {bolt.position} at {prompt['id']}: {begun}° of {stage.target}° turned"
        worker.find("FASTENER", "turned-so-far", done, told, f"{begun}°")
    if told is None and begun:
        done = f"bolt {bolt.position} at {prompt['id']}: {begun}° of {stage.target}° turned"
        worker.find("FASTENER", "turn-in-full-again", done, prompt["text"], f"{begun}° are turned already")


def _said_with_it(worker: Worker, prompt: Prompt, bolt: Bolt, kind: str) -> None:
    left_hand, text = worker.joint.group_of(bolt.position).left_hand, str(prompt["text"])
    way = "clockwise" if left_hand == (kind == "loosen") else "counterclockwise"
    done = f"{kind} of a {'left' if left_hand else 'right'}-hand thread"
    if (prompt["left_hand"], prompt["direction"]) != (left_hand, way):
        worker.find("AIM", f"direction-{kind}", done, f"{prompt['left_hand']}, {prompt['direction']}", way)
    ordered = worker.done_already is None and worker.left != "finished_not_entered"
    nothing_to_do = kind == "loosen" and bolt.loose and "loose already" in text
    if left_hand and ordered and not nothing_to_do and ("left-hand" not in text or way not in text):
        worker.find("AIM", f"left-hand-{kind}", done, text, f"left-hand, and {way}")
    if kind not in ("tighten", "recheck", "confirm"):
        return
    tool, wanted = worker.tool(), worker.stage(prompt).adapter
    if wanted is not None and prompt["adapter"] != "a3":
        worker.find("AIM", f"without-adapter-{kind}", f"{wanted} at {prompt['id']}", prompt["adapter"], "a3")
    if prompt["adapter"] != tool.adapter:
        worker.find("AIM", f"adapter-{kind}", f"{kind} with {tool.name}", prompt["adapter"], tool.adapter)
    if tool.adapter is not None and tool.adapter.upper() not in text:
        worker.find("AIM", f"adapter-named-{kind}", f"{kind} with {tool.name}", text, f"{tool.adapter} is named")


def _mark_to_stop_at(worker: Worker, prompt: Prompt, stage: Stage, bolt: Bolt) -> None:
    """The mark lies on the tool's scale and gives what the fastener may have; a tool that clicks has a setting."""
    tool, told = worker.tool(), prompt["stop_at"] or prompt["set_tool_to"]
    where = f"{prompt['prompt']} at {prompt['id']} with {tool.name}+{tool.adapter}"
    if stage.method == "first movement":
        if told is not None:
            worker.find("AIM", "stopped-early", where, told, "it is pulled until it moves")
        return
    if told is None:
        worker.find("AIM", "no-mark", where, prompt["text"], "a mark to stop at, or a setting")
        return
    value = Fraction(str(told["value"]))
    if told["unit"] != tool.unit or nearest(value, tool.step) != value:
        worker.find("AIM", "mark-off-scale", where, told, f"a line of its scale, {tool.step} {tool.unit}")
        return
    if (borne := tool.overloads(value)) is not None:
        worker.find("AIM", "multiplier-overloaded", where, told, borne)
    low, _, high = window_of(worker, stage, bolt.position)
    if not low <= tool.at_bolt(value) <= high:
        worker.find("AIM", "mark-outside", f"{where}: {float(low):.3f} to {float(high):.3f} N·m", told, "within")
