"""The person at the bench: what they know, what they did, what they are about to do."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from random import Random
from typing import Any

from bench_model.bolts import Bolt
from bench_model.joint import Group, Joint, Stage
from bench_model.tools import INSTRUMENTS, Bench, Tool
from bench_model.walk import Prompt

Part = str | Callable[["Worker", Prompt], str]


@dataclass
class Note:
    """One thing done to one fastener, as a careful helper writes it on paper beside the bench."""

    kind: str
    step: str | None
    position: str | None
    tool: str | None = None
    adapter: str | None = None
    shown: Fraction | None = None
    typed: str | None = None
    unit: str | None = None
    set_to: Fraction | None = None
    at_bolt: Fraction | None = None
    angle: Fraction | None = None
    verdict: str | None = None
    unmoved: bool = False
    counts: bool = True
    why_not: str | None = None
    line: int = 0
    again: bool = False
    typing: str = ""
    pulling: str | None = None


@dataclass(frozen=True)
class Row:
    """A discrepancy: to whom it belongs, what was done, what was said, what is true."""

    owner: str
    short: str
    done: str
    said: str
    true: str


@dataclass
class Worker:
    """All that one job carries along. `left` is how the step at hand was left at the last break."""

    random: Random
    joint: Joint
    clumsy: float
    bench: Bench = field(default_factory=Bench)
    bolts: dict[str, Bolt] = field(default_factory=dict)
    notes: list[Note] = field(default_factory=list)
    pending: list[Note] = field(default_factory=list)
    after: list[Callable[[], None]] = field(default_factory=list)
    before: list[Note] = field(default_factory=list)
    before_after: list[Callable[[], None]] = field(default_factory=list)
    intent: dict[str, Part] = field(default_factory=dict)
    doing: str | None = None
    left: str = "not_started"
    correcting: dict[str, Part] | None = None
    put_right: Callable[[], None] | None = None
    must_be_loose: set[str] = field(default_factory=set)
    starts_over: str | None = None
    found_unfit: str | None = None  # while it starts over already
    unders: tuple[str, int] | None = None
    retype: str | None = None
    breaks_left: int = 2
    done_already: str | None = None
    follow_up: bool = False
    rows: list[Row] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    counted: Counter[str] = field(default_factory=Counter)
    odd: list[tuple[str, str]] = field(default_factory=list)
    slips_left: int = 4
    new: list[tuple[str, str]] = field(default_factory=list)  # groups, and what was said of their one-use fasteners
    adjusted: Counter[int] = field(default_factory=Counter)  # how often, by the stage that measures
    concessions: int = 0
    accepted: set[str] = field(default_factory=set)  # as they are, and have not started over since
    often: set[str] = field(default_factory=set)  # of them those tightened more often than allowed
    lines: dict[str, int] = field(default_factory=dict)
    drags: dict[str, Fraction] = field(default_factory=dict)
    lengths: dict[str, Fraction] = field(default_factory=dict)
    measured: dict[str, list[Fraction]] = field(default_factory=dict)

    def find(self, owner: str, short: str, done: str, said: object, true: object) -> None:
        """A discrepancy was found."""
        if all((row.owner, row.short) != (owner, short) for row in self.rows):
            self.rows.append(Row(owner, short, done, str(said)[:600], str(true)[:400]))

    def stage(self, prompt: Prompt) -> Stage:
        """The stage that a prompt belongs to."""
        return self.joint.stage(str(prompt["id"]), self.follow_up)

    def group(self, prompt: Prompt) -> Group:
        """The group of the fastener that a prompt names."""
        return self.joint.group_of(str(prompt["position"]))

    def bolt(self, prompt: Prompt) -> Bolt:
        """The fastener that a prompt names."""
        return self.bolts[str(prompt["position"])]

    def tool(self) -> Tool:
        """The torque tool in hand."""
        assert self.bench.torque is not None, "no torque tool was picked up"
        return self.bench.tools[self.bench.torque]

    def next_run(self) -> None:
        """The same joint comes to the bench again: tools back on the shelf, bolts as they were left."""
        self.notes, self.follow_up, self.bench.torque, self.bench.gauge = [], True, None, None
        self.bench.measuring = {}
        self.slips_left, self.breaks_left, self.drags = 1, 1, {}
        self.concessions, self.accepted, self.often, self.new = 0, set(), set(), []

    def accepts(self, prompt: Prompt) -> None:
        """A second person accepts it as it is: a fastener, or something that is at none."""
        self.concessions += 1
        if prompt["position"] is not None:
            self.accepted.add(str(prompt["position"]))
            self.often.update([str(prompt["position"])] if "tightenings" in str(prompt["text"]) else [])

    def adjusts(self, stage: Stage) -> None:
        """Once more from an earlier stage: what was accepted counts no more where it is loosened fully on the way."""
        self.adjusted.update([stage.number])
        way = self.joint.stages[(stage.back_to or 1) - 1 : stage.number]
        groups = {each.group for each in way if each.kind == "loosen" and each.fully}
        again = {one for one in self.accepted - self.often if self.joint.group_of(one).name in groups}
        self.accepted -= again

    def says_new(self, group: str, said: str) -> None:
        """Whether all one-use fasteners of a group are new: asked until they are, and never once they are."""
        if (group, "yes") in self.new:
            self.find("ONE-USE", "asked-twice", f"{group}: all new", "asked again", "once")
        self.new.append((group, said))

    def fits_new(self) -> list[str]:
        """Groups whose one-use fasteners are fitted in this run, in their order."""
        fitted = {stage.group for stage in self.joint.stages if stage.kind in ("tighten", "turn", "align")}
        if self.follow_up:
            return []
        groups = (one for one in self.joint.groups if one.one_use and one.name in fitted)
        return list(dict.fromkeys(one.written or one.name for one in groups))

    def all_new(self, prompt: Prompt) -> None:
        """No work is asked for before all one-use fasteners are new."""
        lacking = [name for name in self.fits_new() if (name, "yes") not in self.new]
        if lacking:
            self.find("ONE-USE", "work-with-old-ones", f"{lacking} not said to be new", prompt["text"], "a stop")

    def ended(self, outcome: str | None) -> None:
        """Accepted is what somebody accepted, and done is what nobody had to."""
        self.counted["endings"] += 1
        if outcome == "accepted" and not self.concessions:
            self.find("ENDING", "accepted-by-nobody", "no concession was made", outcome, "done")
        if outcome == "done" and self.accepted:
            self.find("ENDING", "done-and-conceded", f"accepted: {sorted(self.accepted)}", outcome, "accepted")

    def now(self, prompt: Prompt) -> None:
        """The person takes the tool that the question names."""
        named = prompt["tool"]
        if named in self.bench.tools:
            if self.bench.tools[named].kind in INSTRUMENTS:
                return  # which one that must be is known
            if self.bench.tools[named].kind == "angle gauge":
                self.bench.gauge = named
            else:
                self.bench.torque = named

    def note(self, kind: str, prompt: Prompt, **facts: Any) -> Note:
        """Something is done now; it gets its line when the answer is stored."""
        position = facts.pop("position", prompt["position"])
        made = Note(kind, prompt["id"], position, typing=self.bench.typing, pulling=self.bench.pulling, **facts)
        self.pending.append(made)
        return made

    def stored(self, lines: list[int]) -> None:
        """The answer stands in the daybook at the last of these lines; what was done before it at the first."""
        line = lines[-1]
        for note in self.before:
            note.line = lines[0]
            self.notes.append(note)
        for act in self.before_after:
            act()
        self.before, self.before_after = [], []
        for note in self.pending:
            note.line = line
            self.notes.append(note)
            if note.position is not None and note.kind not in ("broken", "void") and not note.again:
                self.bolts[note.position].worked = True
        for act in self.after:
            act()
        if self.doing in ("tighten", "turn", "recheck", "confirm"):
            self.done_already, self.left = None, "not_started"
        self.pending, self.after, self.intent, self.doing = [], [], {}, None

    def dropped(self) -> None:
        """The answer was not taken: nothing of it was written down, so nothing of it is put right either."""
        if self.pending:
            self.correcting = self.put_right = None
        self.pending, self.after, self.before, self.before_after = [], [], [], []


def make_worker(random: Random, joint: Joint, clumsy: float) -> Worker:
    """A person before a joint: every bolt fitted by hand, but for those that the procedure loosens first."""
    worker = Worker(random, joint, clumsy)
    for group in joint.groups:
        for position in group.positions:
            drag = Fraction(random.randint(15, 40), 10)
            worker.bolts[position] = Bolt(position, Fraction(random.randint(9450, 9550), 100), drag)
            worker.bolts[position].loose = not _found_tight(joint, group)
    return worker


def _found_tight(joint: Joint, group: Group) -> bool:
    first = next((stage for stage in joint.stages if stage.group == group.name and stage.kind != "measure"), None)
    return first is not None and first.kind == "loosen" and first.fully
