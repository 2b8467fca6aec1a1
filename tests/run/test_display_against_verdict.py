"""Nothing that is shown contradicts the verdict: a random search over windows, units, tools, adapters, guards and
readings near a limit.

Whoever reads the screen is played here: numbers are read off the sentences and compared as a person would. What is
true is worked out beside the program, in fractions, from the legal sizes of the units and the lever.
"""

from __future__ import annotations

import dataclasses
import os
import random
import re
from decimal import Decimal
from fractions import Fraction

from small_joints import bench_for, bolts, tighten, window

from bench import Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Unsure
from clampbook.run.asked import details, sentence
from clampbook.run.lines import stored
from clampbook.tools.model import Adapter, Tool
from clampbook.units import Quantity

CASES = int(os.environ.get("CLAMPBOOK_DISPLAY_CASES", "2000"))
# N·m each: NIST SP 811, appendix B.8 (exact by the definitions of pound, foot and standard gravity)
SIZE = {
    "N·m": Fraction(1),
    "lbf·ft": Fraction("1.3558179483314004"),
    "lbf·in": Fraction("0.1129848290276167"),
    "kgf·m": Fraction("9.80665"),
    "cN·m": Fraction(1, 100),
}
COSINE = {0: Fraction(1), 60: Fraction(1, 2), 90: Fraction(0), 120: Fraction(-1, 2)}
STEPS = ("0.01", "0.05", "0.1", "0.2", "0.25", "0.5", "1", "2", "5")
NUMBER = r"−?[0-9]+(?:\.[0-9]+)?"
WORDS = {"Within": "within", "Under": "under", "Over": "over"}
Ends = tuple[Fraction | None, Fraction | None]


def test_nothing_that_is_shown_contradicts_the_verdict() -> None:
    """0 contradictions; CLAMPBOOK_DISPLAY_CASES=50000 searches longer."""
    found = [(number, told) for number in range(CASES) for told in Case(number).contradictions()]

    assert [] == found[:5]


class Case:
    """One tool, one window, one reading; everything from its number alone."""

    def __init__(self, number: int) -> None:
        luck = self.luck = random.Random(number)
        self.sheet, self.unit = luck.choice(list(SIZE)), luck.choice(list(SIZE))
        newton_metres = Fraction(luck.randint(500, 30000), 100)
        self.target = decimal(newton_metres / SIZE[self.sheet], luck.choice((0, 1, 2)))
        wide = self.target * luck.choice((1, 2, 5, 10, 50, 100, 200)) / 1000
        low, high = self.target - rounded(wide, luck), self.target + rounded(wide, luck)
        both, one_sided = (low, high), ((self.target, high), (low, self.target), (None, high), (low, None))
        ends = luck.choice((both, both, both, *one_sided))
        least, most = (None if end is None else f"{end:f}" for end in ends)
        self.window = window(least, most, self.sheet)
        self.adapter = self._adapter() if luck.random() < 0.4 else None
        self.tool = self._tool()
        self.guarded = luck.random() < 0.3
        self.prevailing = luck.random() < 0.25
        self.stored = False

    def _adapter(self) -> Adapter:
        length = Quantity(Decimal(self.luck.randint(-100, 200)), "mm")
        return Adapter(id="a1", name="A1", extension=length, offset=Decimal(self.luck.choice(list(COSINE))))

    def _tool(self) -> Tool:
        luck = self.luck
        there = Fraction(self.target) * SIZE[self.sheet] / SIZE[self.unit]
        most = decimal(there * luck.choice((2, 3, 4)), 0) + 5
        return Tool(
            id="w5",
            name="W5",
            kind="setting" if luck.random() < 0.2 else "indicating",
            unit=self.unit,
            minimum=decimal(there / luck.choice((3, 5, 100)), 0),
            maximum=most,
            resolution=Decimal(luck.choice(STEPS)),
            lever=Quantity(Decimal(luck.randint(250, 700)), "mm"),
            permissible_deviation=luck.choice((None, Decimal(1), Decimal(2), Decimal(4))),
        )

    @property
    def ratio(self) -> Fraction:
        """What the fastener gets for what the tool shows, both in N·m."""
        if self.adapter is None:
            return Fraction(1)
        assert self.tool.lever is not None and self.adapter.extension is not None and self.adapter.offset is not None
        length = Fraction(self.tool.lever.value)
        return (length + Fraction(self.adapter.extension.value) * COSINE[int(self.adapter.offset)]) / length

    def there(self, shown: Decimal) -> Fraction:
        """At the fastener, in the sheet's unit."""
        return Fraction(shown) * SIZE[self.unit] * self.ratio / SIZE[self.sheet]

    def contradictions(self) -> list[str]:
        """Everything that does not agree, in words; most cases have a pull, some only a tool that cannot be used."""
        run = self._run()
        now = run.prompt
        assert isinstance(now, ask.TakeTool)
        way = now.offers[0].way(None if self.adapter is None else "a1")
        if way is None or way.cannot is not None:
            return self._refused("" if way is None else way.cannot or "")
        run.answer(a.TakeUp("w5", "nothing else here", None if self.adapter is None else "a1"))
        for _ in range(4):
            now = run.prompt
            if isinstance(now, ask.ZeroTool):
                run.answer(a.Zero("good"))
            elif isinstance(now, ask.SetTool):
                assert now.aim.mark is not None
                run.answer(a.ScaleShows(f"{now.aim.mark:f}", self.unit))
            elif isinstance(now, ask.Measure):
                self._typed(run, decimal(Fraction(self.tool.resolution or 1) * 3, 2))
        now = run.prompt
        return self._pull(run, now) if isinstance(now, ask.Tighten) else []

    def _run(self) -> Bench:
        nuts = bolts(1, prevailing=m.Prevailing(rule="always") if self.prevailing else None)
        stage = tighten(nuts, target=self.target, window=self.window)
        accept = "guarded" if self.guarded else "simple"
        run = bench_for(nuts, stage, tools=(self.tool,), unit=self.sheet, accept=accept)
        run.session = dataclasses.replace(run.session, adapters=() if self.adapter is None else (self.adapter,))
        return run

    def _refused(self, why: str) -> list[str]:
        """A tool that is said to have no line within the window has none."""
        if "too coarse for" not in why or self.guarded:
            return []
        step, by = Fraction(self.tool.resolution or 1), SIZE[self.sheet] / SIZE[self.unit] / self.ratio
        low, high = fractions((self.window.low, self.window.high))
        ends = None if low is None else low * by, None if high is None else high * by
        start = ends[0] if ends[0] is not None else (ends[1] or Fraction(0)) - step
        line = -(-start // step) * step
        scale = Fraction(self.tool.minimum or 0), Fraction(self.tool.maximum or 0)
        lies = judged(line, ends) == judged(line, scale) == "within"
        return [f"{why}, but {float(line)} does"] if lies else []

    def _typed(self, run: Bench, value: Decimal) -> Ends | None:
        """Typed, and once more where that is asked for; the window that was shown with that, finer than before."""
        outcome = run.answer(a.Value(f"{value:f}"))
        if not isinstance(outcome, Unsure):
            return None
        _, finer, window = outcome.unusual.partition("the window is ")
        run.answer(a.Value(f"{value:f}" if finer else f"{value:f} {self.unit}"))
        return windows(f"window {window}")[0] if finer else None

    def _pull(self, run: Bench, now: ask.Tighten) -> list[str]:
        judges, mark = fractions(now.window), now.aim.mark
        told = []
        assert mark is not None
        if judged(self.there(mark), judges) != "within" or Fraction(mark) % Fraction(self.tool.resolution or 1):
            told.append(f"the line {mark} is not within {now.window}")
        if f"{mark:f}" not in f"{sentence(now)} {details(now)}":
            told.append(f"{mark} is not in {sentence(now)!r}")
        return told if not now.reading else told + self._read(run, now, judges)

    def _read(self, run: Bench, now: ask.Tighten, judges: Ends) -> list[str]:
        value = self._near(judges)
        true = judged(self.there(value), judges)
        line = next(line for line in details(now) if line.startswith("window "))
        told, shown = [], windows(line)
        on_tool = self._typed(run, value) or (shown[0] if self._compared(shown) else None)
        if on_tool is not None and judged(Fraction(value), on_tool) != true:
            told.append(f"{value} is {true}, but {line!r} is shown")
        event = run.events[-1]
        if not isinstance(event, e.ReadingTaken):
            return [*told, f"{value} was not stored"]
        self.stored = True
        said = stored(event, run.plan, run.session.tools)
        if WORDS[said.split()[0]] != true or event.verdict != true:
            told.append(f"{value} is {true}, but {said!r}")
        if f"{value:f} " not in said:
            told.append(f"{value} was typed, but {said!r}")
        at_bolt = re.search(rf"\(({NUMBER}) [^)]*at the bolt\)", said)
        if at_bolt is not None and judged(Fraction(at_bolt[1]), judges) != true:
            told.append(f"{value} is {true}, but {said!r} is within {now.window}")
        if at_bolt is not None and judged(Fraction(at_bolt[1]), shown[-1]) != true:
            told.append(f"{value} is {true}, but {said!r} beside {line!r}")
        if judged(Fraction(event.at_fastener), fractions(texts(event.window))) != true:
            told.append(f"{value} is {true}, but {event.at_fastener} is kept beside {event.window}")
        return told + self._decided(run, value, true)

    def _decided(self, run: Bench, value: Decimal, true: str) -> list[str]:
        """Over is decided: what is shown there, with the value at the bolt where it is told."""
        now = run.prompt
        if true != "over" or not isinstance(now, ask.Decide):
            return []
        lines = details(now)
        shown = windows(lines[0])
        agree = judged(Fraction(value), shown[0]) == true or not self._compared(shown)
        told = [] if agree else [f"{value}: {lines[0]!r}"]
        there = next((line for line in lines if line.startswith("at the bolt:")), None)
        if there is not None and judged(Fraction(re.findall(NUMBER, there)[0]), shown[-1]) != true:
            told.append(f"{there!r} beside {lines[0]!r}")
        return told

    def _compared(self, shown: list[Ends]) -> bool:
        return len(shown) > 1 or self._as_shown()

    def _as_shown(self) -> bool:
        """Whether the tool shows what the fastener gets, so that one window serves for both."""
        return self.sheet == self.unit and self.adapter is None

    def _near(self, judges: Ends) -> Decimal:
        """A reading near a limit: a line of the scale, or with up to three digits more than its lines."""
        luck, step = self.luck, self.tool.resolution or Decimal(1)
        end = luck.choice([end for end in judges if end is not None])
        on_tool = end * SIZE[self.sheet] / SIZE[self.unit] / self.ratio
        if luck.random() < 0.4:
            step = step.scaleb(-luck.choice((1, 2, 3)))
        count = on_tool // Fraction(step) + luck.choice((-2, -1, 0, 0, 1, 1, 2))
        return max(int(count), 1) * step


def judged(value: Fraction, ends: Ends) -> str:
    """As a person compares."""
    if ends[0] is not None and value < ends[0]:
        return "under"
    return "over" if ends[1] is not None and value > ends[1] else "within"


def windows(line: str) -> list[Ends]:
    """The windows of a line such as "window 20.7 to 23.6 lbf·ft (28.0 to 32.0 N·m)"."""
    found: list[Ends] = []
    for part in re.split(r"[()]", line.removeprefix("window ")):
        numbers = [Fraction(each.replace("−", "-")) for each in re.findall(NUMBER, part)]
        if "at least" in part:
            found.append((numbers[0], None))
        elif "at most" in part:
            found.append((None, numbers[0]))
        elif "exactly" in part:
            found.append((numbers[0], numbers[0]))
        elif len(numbers) == 2:
            found.append((numbers[0], numbers[1]))
    return found


def fractions(ends: tuple[Decimal | None, Decimal | None]) -> Ends:
    """Exact, as they stand."""
    return None if ends[0] is None else Fraction(ends[0]), None if ends[1] is None else Fraction(ends[1])


def texts(ends: e.Ends) -> tuple[Decimal | None, Decimal | None]:
    """The window of a line as numbers."""
    return None if ends[0] is None else Decimal(ends[0]), None if ends[1] is None else Decimal(ends[1])


def decimal(value: Fraction, places: int) -> Decimal:
    """As somebody writes it, never nought."""
    return Decimal(max(round(value * 10**places), 1)).scaleb(-places)


def rounded(value: Decimal, luck: random.Random) -> Decimal:
    """A width as somebody writes it."""
    return max(round(value, luck.choice((0, 1, 2))), Decimal("0.01"))


def test_the_search_comes_to_readings() -> None:
    """Else it would say nothing: more than a third of the cases end in one."""
    reached = 0
    for number in range(100):
        case = Case(number)
        case.contradictions()
        reached += case.stored

    assert reached > 33
