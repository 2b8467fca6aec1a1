"""A job through the full screen, beside the same answers through JSON: what is shown, held against what is said."""

import contextlib
import json
import os
import re
import shutil
import sys
import tempfile
import time
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from random import Random

import pexpect
import pyte

from bench_model import hands
from bench_model.bench_book import make_book
from bench_model.choices import positions_of
from bench_model.figures_read import Eye
from bench_model.joint import Joint
from bench_model.procedures import random_joint
from bench_model.starting import Starter
from bench_model.walk import Prompt, Reply, StuckError, Time, Walk
from bench_model.worker import Worker, make_worker

SIZES = ((80, 24), (120, 36), (40, 15))
PATIENCE = 12.0
PULLS = ("tighten", "turn", "recheck", "confirm")


class Screen:
    """The program in a terminal of its own."""

    def __init__(self, book: Path, args: list[str], columns: int, rows: int) -> None:
        self.screen = pyte.Screen(columns, rows)
        self.stream = pyte.Stream(self.screen)
        # Where these stand they are believed, whatever the size of the terminal.
        kept = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES")}
        env = {**kept, "TERM": "xterm-256color"}
        command = ["-m", "clampbook", "walk", *args, "--book", str(book)]
        self.child = pexpect.spawn(
            sys.executable, command, dimensions=(rows, columns), env=env, encoding="utf-8", timeout=5
        )
        self.child.delaybeforesend = None

    def lines(self, seconds: float = 0.1) -> list[str]:
        """What stands there, after so many seconds at most."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            try:
                self.stream.feed(self.child.read_nonblocking(65536, 0.05))
            except pexpect.TIMEOUT:
                break
            except pexpect.EOF:
                break
        return [str(line) for line in self.screen.display]

    def type(self, keys: str) -> None:
        """Press keys, one after the other, as fingers do."""
        for key in keys:
            self.child.send(key)
            self.lines(0.12)

    def close(self) -> None:
        """The window is closed."""
        with contextlib.suppress(pexpect.ExceptionPexpect):
            self.child.close(force=True)


@dataclass
class Watched:
    """What one job on the screen came to."""

    seed: int
    size: tuple[int, int]
    worker: Worker
    compared: int = 0
    answers: int = 0
    stuck: str | None = None
    log: list[str] = field(default_factory=list)
    typed: str = ""
    again: int = 0
    before: str | None = None


def small_joint(seed: int) -> tuple[Random, Joint]:
    """A joint that fits a test: few steps, no waiting."""
    for attempt in range(200):
        random = Random(seed * 1000 + attempt)
        joint = random_joint(random, seed)
        steps = sum(stage.rounds * 3 for stage in joint.stages)
        if steps <= 15 and all(stage.kind != "wait" and not stage.hold_point for stage in joint.stages):
            return random, joint
    raise AssertionError("no small joint")


def watch(seed: int, size: tuple[int, int], books: tuple[Path, Path], starter: Starter, eye: Eye) -> Watched:
    """Walk one job in both faces at once."""
    random, joint = small_joint(seed)
    for book in books:
        (book / "procedures" / f"bench-{seed}.toml").write_text(joint.text(), encoding="utf-8")
    seen = Watched(seed, size, make_worker(random, joint, 0.0))
    args = [f"bench-{seed}", "--as", "ines"]
    if "[joints]" in joint.text():
        args += ["--only", "all"]  # a script is not asked which
    screen = Screen(books[1], args, *size)
    try:
        with Walk(starter, books[0], args, Time().clock()) as walk:
            _both(seen, screen, walk, eye)
        _same_daybook(seen, *books)
    except StuckError as why:
        seen.stuck = str(why)
    finally:
        screen.close()
    return seen


def _both(seen: Watched, screen: Screen, walk: Walk, eye: Eye) -> None:
    reply: Reply = walk.first
    worker = seen.worker
    while reply.prompt is not None and seen.answers < 120:
        prompt = reply.prompt
        if prompt["part"] is None and prompt["prompt"] not in ("take_tool", "decide", "start_sheet", "return_tool"):
            worker.now(prompt)
        shown_at = time.monotonic()
        if not _shown(seen, screen, prompt, eye):
            return
        line = hands.answer(worker, prompt)
        if line == "+" and prompt["prompt"] in (*PULLS, "loosen"):
            time.sleep(max(0.0, 2.2 * len(positions_of(prompt)) - (time.monotonic() - shown_at)))
        time.sleep(0.4)
        seen.typed = line if line == "+" else line + "\r"
        screen.type(seen.typed)
        seen.before = " ".join(str(prompt["text"]).split())
        seen.log.append(f"{prompt['text']} > {line}")
        reply = walk.say(line)
        seen.answers += 1
        if reply.stored is not None:
            worker.stored(reply.lines)
        elif reply.refused is not None and worker.doing == "take_tool":
            hands.refused(worker, reply)  # another one is taken, as at the pipe
        elif reply.refused is not None:
            seen.stuck = f"refused on the way: {reply.refused}"
            return


def _shown(seen: Watched, screen: Screen, prompt: Prompt, eye: Eye) -> bool:
    """Wait until the screen shows what JSON says; a row for what it never shows."""
    end = time.monotonic() + PATIENCE
    wrong: list[tuple[str, str]] = []
    lines: list[str] = []
    while time.monotonic() < end:
        lines = screen.lines(0.4)
        wrong = _differences(seen, prompt, lines, eye)
        late = time.monotonic() > end - PATIENCE + 3
        if wrong and late and seen.before is not None and seen.before in " ".join(" ".join(lines).split()):
            screen.type(seen.typed)
            seen.again += 1
            seen.before = None
        if not wrong:
            seen.compared += 1 + len(prompt["choices"])
            return True
    picture = "\n" + "\n".join(line.rstrip() for line in lines)
    for short, true in wrong:
        said = json.dumps({key: value for key, value in prompt.items() if value}, ensure_ascii=False)
        name = f"{short}-{seen.size[0]}x{seen.size[1]}"
        seen.worker.find("SCREENS", name, f"seed {seen.seed}: {said[:500]}", picture, true)
    return not any(short == "sentence" for short, _ in wrong)


def _differences(seen: Watched, prompt: Prompt, lines: list[str], eye: Eye) -> list[tuple[str, str]]:
    flat = " ".join(" ".join(lines).split())
    wide = seen.size[0] >= 80
    wrong = []
    sentence = " ".join(str(prompt["text"]).split())
    if wide and sentence not in flat:
        return [("sentence", sentence)]
    if not wide and prompt["position"] is not None and str(prompt["position"]) not in re.findall(r"\w+", flat):
        return [("sentence", f"position {prompt['position']}")]
    if not wide and prompt["position"] is None and " ".join(sentence.split()[:2]) not in flat:
        return [("sentence", sentence)]
    listed = [choice for choice in prompt["choices"] if str(choice["key"]).isdigit()]
    for choice in listed[: 3 if wide else 1]:
        start = " ".join(str(choice["text"]).split()[:2])
        if start not in flat:
            wrong.append(("choices", f"choice {choice['key']}: {choice['text']}"))
            break
    wrong += _figure(prompt, lines, flat, eye)
    if wide and prompt["prompt"] in PULLS and prompt["part"] is None:
        wrong += _window(prompt, flat)
    return wrong


def _figure(prompt: Prompt, lines: list[str], flat: str, eye: Eye) -> list[tuple[str, str]]:
    told = prompt["set_tool_to"] or prompt.get("stop_at")
    if told is None or prompt["part"] is not None or prompt["prompt"] not in (*PULLS, "set_tool"):
        return []
    # A click's number stands below its sentence, that of a reading in it; first the sentence, so that it counts first.
    said = " ".join((str(prompt["text"]), *(line for line in prompt["details"] if " set to " in line)))
    digits = re.search(rf"(\d+(?:\.\d+)?) {re.escape(told['unit'])}", said)
    if digits is None or Fraction(digits.group(1)) != Fraction(str(told["value"])):
        return [("sentence-figure", f"{told}")]
    wrong = []
    read = eye.reads(lines, digits.group(1))
    if read is not None:
        wrong.append(("large-figure", f"{digits.group(1)}, not {read}"))
    if told["unit"] not in flat:
        wrong.append(("unit", told["unit"]))
    return wrong


def _window(prompt: Prompt, flat: str) -> list[tuple[str, str]]:
    numbers = [Fraction(number) for number in re.findall(r"\d+(?:\.\d+)?", flat)]
    for end, sign in zip(prompt["window"] or (), (1, -1), strict=False):
        if end is None:
            continue
        value = Fraction(str(end["value"]))
        if not any(0 <= sign * (number - value) <= Fraction(1, 10) for number in numbers):
            return [("window", f"{end['value']} {end['unit']}")]
    return []


def _same_daybook(seen: Watched, *books: Path) -> None:
    written = [_events(book) for book in books]
    seen.compared += len(written[0])
    for line, (one, other) in enumerate(zip(*written, strict=False), start=1):
        if one != other:
            seen.worker.find("SCREENS", "daybook-differs", f"seed {seen.seed}, line {line}", other, one)
            return


def _events(book: Path) -> list[dict[str, object]]:
    passing = {"at", "prev", "run", "series", "book", "log_head", "offset", "clock", "noted", "unit", "gap"}
    runs = [run for run in (book / "runs").iterdir() if run.name[0] != "."]
    lines = (runs[0] / "daybook.jsonl").read_text(encoding="utf-8").splitlines()
    events = [{key: value for key, value in json.loads(line).items() if key not in passing} for line in lines]
    return [event for event in events if event["event"] not in ("map_turned", "resumed", "paused")]


def watch_all(seeds: list[int], sizes: tuple[tuple[int, int], ...] = SIZES) -> list[Watched]:
    """Some jobs through the full screen, each at the next of the sizes."""
    with tempfile.TemporaryDirectory() as place:
        book = make_book(Path(place) / "book")
        starter = Starter()
        seen, eye = [], Eye()
        for number, seed in enumerate(seeds):
            one, other = (shutil.copytree(book, Path(place) / f"{seed}-{side}") for side in ("json", "screen"))
            seen.append(watch(seed, sizes[number % len(sizes)], (one, other), starter, eye))
        starter.close()
    return seen
