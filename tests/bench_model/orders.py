"""What may never be ordered, whatever was answered before: held against the bolt as it is."""

import re
from fractions import Fraction

from bench_model.bolts import Bolt
from bench_model.choices import keys
from bench_model.joint import Stage
from bench_model.walk import Prompt
from bench_model.worker import Worker

PULLS = ("tighten", "turn", "recheck", "confirm")


def positions_of(worker: Worker, prompt: Prompt) -> list[str]:
    """The fasteners that an order is for: one, or several that are confirmed at once."""
    if prompt.get("positions"):
        return [str(position) for position in prompt["positions"]]
    if prompt["prompt"] != "confirm" or prompt["position"] is None:
        return [] if prompt["position"] is None else [str(prompt["position"])]
    group = worker.group(prompt)
    before = str(prompt["text"]).split(" of " + group.name)[0].split(":")[0].split(", round")[0]
    named = [word for word in re.findall(r"[\w]+", before) if word in group.positions]
    return list(dict.fromkeys(named)) or [str(prompt["position"])]


def look_at(worker: Worker, prompt: Prompt) -> None:
    """Hold an order against the bolts before anybody obeys it."""
    if prompt["part"] is not None or prompt["prompt"] not in (*PULLS, "loosen", "measure"):
        return
    if prompt["id"] is None or prompt["position"] is None:
        return
    stage = worker.stage(prompt)
    if prompt["prompt"] == "confirm" and stage.kind != "tighten":
        return
    for position in positions_of(worker, prompt):
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


def _remainder(worker: Worker, prompt: Prompt, stage: Stage, bolt: Bolt) -> None:
    begun = bolt.turned if bolt.turning == prompt["id"] else Fraction(0)
    if not begun or stage.low is None:
        return
    said = [prompt.get("text", ""), *prompt.get("details", [])]
    rest = stage.low - begun
    if not any(re.search(rf"(?<![\d.]){int(rest)}°", str(line)) for line in said) and rest > 0:
        done = f"bolt {bolt.position} at {prompt['id']}: {begun}° of {stage.target}° turned"
        worker.find("FASTENER", "turn-in-full-again", done, prompt["text"], f"{rest}° are left at least")


def _said_with_it(worker: Worker, prompt: Prompt, bolt: Bolt, kind: str) -> None:
    group = worker.joint.group_of(bolt.position)
    text = str(prompt["text"])
    if group.left_hand and not re.search(r"left-hand", text):
        worker.find("AIM", f"left-hand-{kind}", f"{kind} of a left-hand thread", text, "left-hand, and the direction")
    if group.left_hand and not re.search(r"clockwise", text):
        worker.find("AIM", f"direction-{kind}", f"{kind} of a left-hand thread", text, "left-hand, and the direction")
    if kind in ("tighten", "recheck", "confirm") and worker.bench.torque is not None and "unit" in prompt:
        adapter = worker.tool().adapter
        if adapter is not None and adapter.upper() not in text and (prompt["unit"] or keys(prompt)):
            done = f"{kind} with {worker.tool().name} and {adapter.upper()}"
            worker.find("AIM", f"adapter-{kind}", done, text, f"{adapter.upper()} is named at every pull")
