"""The tools on the model's shelf, and what they do to a bolt."""

from dataclasses import dataclass, field
from fractions import Fraction
from random import Random

from bench_model.amounts import in_unit, lines_within, nearest, newton_metres


@dataclass
class Tool:
    """One tool: what stands on it, and what it is set to in truth."""

    id: str
    kind: str
    unit: str
    low: Fraction
    high: Fraction
    step: Fraction
    lever: int | None = None
    directions: str | None = None
    one_unit: bool = True
    set_to: Fraction | None = None
    adapter: str | None = None
    angle: int = 0  # at which the adapter stands to the lever
    in_trouble: bool = False
    failed: bool = False
    zero_bad: bool = False
    pulls: int = 0

    @property
    def name(self) -> str:
        """As it is marked."""
        return self.id.upper()

    def factor(self) -> Fraction:
        """Torque at the fastener for one of the tool's own, with the adapter that stands on it."""
        if self.adapter in MULTIPLIERS:
            return MULTIPLIERS[self.adapter].ratio
        if self.adapter is None or self.lever is None:  # without a lever nothing stands on it but at a right angle
            return Fraction(1)
        return (self.lever + ADAPTERS[self.adapter] * COSINES[self.angle]) / Fraction(self.lever)

    def at_bolt(self, shown: Fraction) -> Fraction:
        """N·m at the fastener for what the tool shows or is set to."""
        return newton_metres(shown, self.unit) * self.factor()

    def shown_for(self, torque: Fraction) -> Fraction:
        """What the tool would have to show for so many N·m at the fastener."""
        return in_unit(torque / self.factor(), self.unit)

    def overloads(self, shown: Fraction) -> str | None:
        """What the multiplier on it would have to bear beyond what is marked on it; None where it has none, or does."""
        on_it = MULTIPLIERS.get(self.adapter or "")
        if on_it is None:
            return None
        into, out = newton_metres(shown, self.unit), self.at_bolt(shown)
        if into <= on_it.takes and out <= on_it.gives:
            return None
        return (
            f"{float(into):.2f} of {on_it.takes} N·m go into {self.adapter}, {float(out):.2f} of {on_it.gives} come out"
        )

    def lines(self, low: Fraction, high: Fraction) -> tuple[Fraction, Fraction] | None:
        """First and last scale line whose torque at the fastener lies in a window of N·m."""
        return lines_within(self.shown_for(low), self.shown_for(high), self.step)

    def nearest_line(self, torque: Fraction) -> Fraction:
        """The scale line nearest to so many N·m at the fastener."""
        return nearest(self.shown_for(torque), self.step)


@dataclass(frozen=True)
class Multiplier:
    """Gears between tool and fastener, with the most that may go in and come out, in N·m."""

    ratio: Fraction
    takes: int
    gives: int


MULTIPLIERS = {"x1": Multiplier(Fraction(4), 12, 45), "x2": Multiplier(Fraction(5, 2), 30, 60)}
OPEN_END, LENGTH = "open end, 19 mm", 62  # asked for by its kind, and measured at the bench
ADAPTERS = {"a1": 60, "a2": -40, "a3": LENGTH}
COSINES = {0: Fraction(1), 60: Fraction(1, 2), 90: Fraction(0)}
INSTRUMENTS = ("micrometer", "dial gauge", "feeler gauges")


def _tool(id: str, kind: str, unit: str, low: str, high: str, step: str, **more: object) -> Tool:
    made = Tool(id, kind, unit, Fraction(low), Fraction(high), Fraction(step))
    for key, value in more.items():
        setattr(made, key, value)
    return made


def shelf() -> dict[str, Tool]:
    """All tools, fresh from the shelf."""
    made = (
        _tool("w1", "setting", "N·m", "4", "40", "0.5"),
        _tool("w2", "setting", "lbf·ft", "20", "100", "0.1"),
        _tool("w3", "indicating", "N·m", "2", "60", "0.1"),
        _tool("w4", "indicating", "lbf·in", "40", "900", "1"),
        _tool("w5", "indicating", "lbf·ft", "10", "100", "0.1"),
        _tool("w6", "indicating", "N·m", "20", "200", "0.5", lever=400),
        _tool("w7", "setting", "N·m", "20", "120", "0.5", lever=420, directions="clockwise"),
        _tool("w8", "setting", "kgf·m", "1", "12", "0.05", lever=500),
        _tool("g1", "angle gauge", "°", "0", "360", "1"),
        _tool("r1", "reference", "N·m", "4", "200", "0.01"),
        _tool("f1", "feeler gauges", "mm", "0.05", "1", "0.05"),
        _tool("d1", "dial gauge", "mm", "0", "10", "0.01"),
        _tool("m1", "micrometer", "mm", "75", "100", "0.01"),
    )
    return {tool.id: tool for tool in made}


def shelf_text() -> str:
    """tools.toml of the same."""
    lines = []
    for tool in shelf().values():
        lines += ["[[tool]]", f'id = "{tool.id}"', f'name = "{tool.name}"', f'kind = "{tool.kind}"']
        lines += [f'unit = "{tool.unit}"', f'resolution = "{float(tool.step):g} {tool.unit}"'.replace(" °", "°")]
        lines += [f'serial = "BM-{tool.name}"']
        if tool.kind != "angle gauge":
            lines += [f'range = ["{float(tool.low):g} {tool.unit}", "{float(tool.high):g} {tool.unit}"]']
            lines += ["calibrated_on = 2026-09-30", "interval_months = 12"]
        if tool.kind in ("setting", "indicating"):
            lines += [f'iso_6789 = "{"II A" if tool.kind == "setting" else "I C"}"']
        if tool.lever is not None:
            lines += [f'lever = "{tool.lever} mm"']
        if tool.directions is not None:
            lines += [f'directions = "{tool.directions}"']
        if tool.kind == "reference":
            lines += ['uncertainty = "0.5 %"']
        lines.append("")
    for id, length in ADAPTERS.items():
        what = 'is = ["Open end 19mm", "open end, 3/4 in"]' if id == "a3" else f'extension = "{length} mm"'
        lines += ["[[adapter]]", f'id = "{id}"', f'name = "{id.upper()}"', what, ""]
    for id, one in MULTIPLIERS.items():
        most = f'max_torque = "{one.gives} N·m"\nmax_torque_in = "{one.takes} N·m"'
        ratio = f'ratio = {float(one.ratio)}\nratio_uncertainty = "1.5 %"'
        lines += ["[[adapter]]", f'id = "{id}"', f'name = "{id.upper()}"', ratio, most, ""]
    return "\n".join(lines)


@dataclass
class Bench:
    """What lies within reach, and whose hands there are."""

    tools: dict[str, Tool] = field(default_factory=shelf)
    torque: str | None = None
    gauge: str | None = None
    measuring: dict[int, str | None] = field(default_factory=dict)  # what serves a stage, None where it is not listed
    typing: str = "ines"
    pulling: str | None = None

    def reading_of(self, tool: Tool, low: Fraction, target: Fraction, high: Fraction, random: Random) -> Fraction:
        """What an honest hand gets: most of the time near the target, now and then near a limit."""
        found = tool.lines(low, high)
        first, last = found if found else (tool.nearest_line(target), tool.nearest_line(target))
        count = int((last - first) / tool.step)
        if random.random() < 0.2:
            return random.choice((max(first, tool.low), min(last, tool.high)))
        middle = tool.nearest_line(target)
        reached = (
            middle + random.randint(-2, 2) * tool.step if count > 4 else first + random.randint(0, count) * tool.step
        )
        return min(max(reached, first, tool.low), last, tool.high)
