"""The tools of a book for one demand, best first, each with its reasons in sentences and numbers."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from clampbook.figures import show_judging
from clampbook.tools.adapting import of_kind
from clampbook.tools.against import clause, left_by
from clampbook.tools.aim import Aim
from clampbook.tools.certificate import certified_at
from clampbook.tools.demand import Circumstances, Demand
from clampbook.tools.fitness import Fitness, Margin, fitness, fitness_and_margin, place_on_scale, standing, useful_span
from clampbook.tools.label import of_the_lever
from clampbook.tools.lever import NoReach, cosine, no_lever, reach
from clampbook.tools.measuring import margin, measures, uncertainty, within
from clampbook.tools.model import MEASURING, WORKING, Adapter, Stock, Tool
from clampbook.tools.setting import on_tool
from clampbook.tools.state import due_on, state
from clampbook.units import show, show_span


class Ranked(Struct, frozen=True):
    """A tool at its place: how it fits, how its error stands to the window, how probably it holds it, what it aims at.

    `last`: something happened to it, so that whoever takes it all the same takes any other that needs a reason first.
    `adapter` is the way of taking it that is looked at; where there are several, `ways` has each, straight on first.
    `at_right_angle` is how it would fit where the adapter changes nothing, as long as nobody has measured the adapter.
    """

    tool: Tool
    fit: Fitness
    margin: Margin | None = None
    probability: float | None = None
    last: bool = False
    aim: Aim | None = None
    adapter: Adapter | None = None
    ways: tuple[Ranked, ...] = ()
    at_right_angle: Fitness | None = None

    @property
    def open(self) -> bool:
        """True where only the length and angle of its adapter will tell whether it suits."""
        return self.fit.cannot is None and self.at_right_angle is not None and not self.at_right_angle.suits

    @property
    def may_suit(self) -> bool:
        """True where nothing but its adapter will tell whether somebody has to give a reason."""
        return self.open and not self.fit.against

    @property
    def suitable(self) -> bool:
        """True where nobody has to give a reason for taking it, as far as can be told."""
        return self.fit.suits and not self.open


Looked = tuple[tuple[Tool, Circumstances], ...]


def looked_at(stock: Stock, today: date | None = None) -> Looked:
    """The working tools of a book with their state on a day; references are left out, for they tighten nothing."""
    return tuple((tool, _at(stock, tool, today)) for tool in stock.tools if tool.kind != "reference")


def rank(tools: Looked, demand: Demand, adapters: Iterable[Adapter] = ()) -> tuple[Ranked, ...]:
    """Every tool, best first: what suits, then what needs a reason, then what cannot. One that could not straight on,
    through an adapter that nobody has measured, stands just before these. A tool that suits straight on is taken so;
    else with the first of these adapters that it suits with, or that it can be taken with. Where the demand names an
    adapter, only with one that is of its kind, the one that suits best.
    What measures stands where something is measured, and nowhere else.

    Of those that need a reason the ones that something happened to come last. Among those that suit alike the one goes
    first that holds the window most probably; else the order of the file stands.
    """
    with_these = tuple(adapters)
    meant = (each for each in tools if _meant(each[0], demand))
    return tuple(sorted((_best_way(tool, demand, at, with_these) for tool, at in meant), key=order))


def _meant(tool: Tool, demand: Demand) -> bool:
    return measures(tool, demand.unit) if demand.need == "measure" else tool.kind not in MEASURING


def _best_way(tool: Tool, demand: Demand, at: Circumstances, adapters: tuple[Adapter, ...]) -> Ranked:
    straight = ranked(tool, demand, at)
    if tool.kind not in WORKING or demand.need == "angle":
        return straight
    if demand.adapter is not None:
        ways = tuple(through(tool, demand, at, adapter) for adapter in of_kind(adapters, demand.adapter))
        if not ways:
            return replace(straight, fit=Fitness(cannot=f"{tool.name}: no {demand.adapter} in tools.toml"))
        return replace(min(ways, key=order), ways=ways)
    longer = [each for each in adapters if not (each.known and isinstance(reach(tool, each), NoReach))]
    longer = [each for each in longer if each.known or tool.lever is not None]
    if not longer:
        return straight
    ways = (straight, *(through(tool, demand, at, adapter) for adapter in longer))
    known = [way for way in ways if way.fit.cannot is None and way.at_right_angle is None]
    first = next((way for way in known if way.suitable), known[0] if known else straight)
    return replace(first, ways=ways)


def through(tool: Tool, demand: Demand, at: Circumstances, adapter: Adapter) -> Ranked:
    """One tool with this adapter. Of one whose length or angle are asked for only then no torque can be told yet, but
    for that of one at 90°, which changes nothing."""
    if adapter.known:
        return ranked(tool, demand, replace(at, adapter=adapter))
    fit, unchanged = (
        fitness(tool, replace(demand, unit=None), replace(at, adapter=adapter)),
        ranked(tool, replace(demand, adapter=None), at),
    )
    if fit.cannot is None and tool.lever is None and adapter.offset is not None and cosine(adapter.offset) != 0:
        fit = Fitness(cannot=no_lever(tool, adapter).sentence)
    elif fit.cannot is None and tool.lever is None:  # at 90° only, which is known
        fit = replace(fit, cannot=unchanged.fit.cannot, against=unchanged.fit.against)
    fit = replace(fit, notes=(*fit.notes, *_at_right_angle(tool, fit, unchanged.fit)))
    return Ranked(tool, fit, last=unchanged.last, adapter=adapter, at_right_angle=unchanged.fit)


def _at_right_angle(tool: Tool, fit: Fitness, unchanged: Fitness) -> Iterable[str]:
    """Tell what there is to know before an adapter is measured."""
    if tool.lever is None:
        yield f"{tool.name}: no lever in tools.toml, so only at 90°"
    if unchanged.cannot is not None:
        yield f"{unchanged.cannot}, if at 90°"
    yield from (f"{tool.name}: {clause(each)}, if at 90°" for each in unchanged.against if each not in fit.against)


def order(ranked: Ranked) -> tuple[int, bool, int, int, Decimal, bool, int, float]:
    """Sort key of a ranking, smallest first; of tools that cannot show all that may have to be read the one that
    shows most of it."""
    fit, lost = ranked.fit, ranked.fit.reads_from or Decimal(0)
    unchanged = fit if ranked.at_right_angle is None else ranked.at_right_angle
    likely = 0.0 if ranked.probability is None else -round(ranked.probability, 2)
    only_if_turned = ranked.open and unchanged.cannot is not None
    return (
        2 if fit.cannot is not None else 1 if only_if_turned else 0,
        ranked.last,
        max(len(fit.against), len(unchanged.against)),
        1 if ranked.open else 0,
        lost,
        ranked.adapter is not None,
        len(fit.notes),
        likely,
    )


def _at(stock: Stock, tool: Tool, today: date | None) -> Circumstances:
    use = stock.use(tool.id)
    return Circumstances(today=today, use=use, state=None if today is None else state(tool, today, use))


def ranked(tool: Tool, demand: Demand, at: Circumstances) -> Ranked:
    """One tool for one demand."""
    fit, away, aim = fitness_and_margin(tool, demand, at)
    found = standing(tool, at)
    last = found is not None and found.last
    likely = within(tool, demand) if demand.need == "measure" else probability(tool, demand, away, aim)
    return Ranked(tool, fit, away, likely, last, aim, at.adapter)


def probability(tool: Tool, demand: Demand, away: Margin | None, aim: Aim | None) -> float | None:
    """Probability that one pull lies in the window (JCGM 106:2012); None where the tool's deviation is not known.

    A tool that failed its last check keeps no limit to work with, and so has no margin either.
    """
    if away is None:
        return None
    from clampbook.tools.uncertainty import applied, probability_within  # loads the normal distribution

    sure = applied(tool, float(away.mark), ratio=0.0 if aim is None else float(aim.through.unsure))
    if sure is None:
        return None
    low, high = (None if end is None else float(end) for end in demand.window)
    return probability_within(float(away.applied), (low, high), sure.percent / 100 * float(away.applied))


def reasons(ranked: Ranked, demand: Demand) -> tuple[str, ...]:
    """List why the tool stands where it stands, in clauses behind its name: what rules it out or wants a reason, what
    is noted, and its figures.
    """
    fit, own = ranked.fit, f"{ranked.tool.name}: "
    if fit.cannot is not None:
        return (fit.cannot.removeprefix(own),)
    if ranked.at_right_angle is not None:
        asked = () if ranked.adapter is None else (of_the_lever(ranked.adapter),)
        return (*map(clause, fit.against), *asked, *(told.removeprefix(own) for told in fit.notes))
    return (*map(clause, fit.against), *(told.removeprefix(own) for told in fit.notes), *_figures(ranked, demand))


def _figures(ranked: Ranked, demand: Demand) -> Iterable[str]:
    tool, away = ranked.tool, ranked.margin
    if demand.need == "measure":
        yield from _certain(tool, demand)
    elif demand.need != "angle" and tool.kind in WORKING:
        yield from _place_on_scale(ranked)
    guarded = ranked.aim is not None and ranked.aim.guarded
    if ranked.aim is not None and guarded:
        yield f"must show {show_judging(*ranked.aim.window, ranked.aim.unit)} (narrowed window)"
    if away is not None:
        error, leaves = show(away.error, away.unit), show(away.leaves, away.unit)
        by = ", by its certificate" if certified_at(tool, away.mark) is not None else ""
        may = f"may be off by {error} (±{away.percent} %{by})"
        yield f"{may}, the {'whole ' * guarded}window leaves {leaves}, {away.ratio:.1f} times that"
    elif tool.kind in WORKING and tool.permissible_deviation is None and demand.need != "angle":
        yield "its permissible deviation is not known"
    if ranked.probability is not None:
        yield f"{_percent(ranked.probability)} likely to be within"
    if (day := due_on(tool)) is not None:
        yield f"calibration due {day}"


def _certain(tool: Tool, demand: Demand) -> Iterable[str]:
    """Yield what its certificate leaves open beside the window; that it says nothing of it."""
    away = margin(tool, demand)
    if away is not None:
        leaves = f"{left_by(demand.judges)} leaves {show(away[1], tool.unit)}"
        yield f"uncertain by {show(away[0], tool.unit)}, {leaves}"
    elif uncertainty(tool, demand) is None:
        yield "its uncertainty is not known"


def _place_on_scale(ranked: Ranked) -> Iterable[str]:
    aim = ranked.aim
    if aim is None or aim.mark is None or aim.target is None:
        return
    tool, span = ranked.tool, useful_span(ranked.tool)
    best = place_on_scale(tool, on_tool(aim.target, aim.unit, tool, aim.through)) == "best"  # else a note tells it
    where = f", in its working range ({show_span(*span, tool.unit)})" if span and best else ""
    yield f"{_verb(tool)} {show(aim.mark, tool.unit)}{where}"


def _verb(tool: Tool) -> str:
    return "set to" if tool.kind == "setting" else "stop at"


def _percent(probability: float) -> str:
    """A probability as people read it; never a round hundred where something is left."""
    percent = Decimal(str(probability * 100)).quantize(Decimal("0.1"))
    if percent >= 100:
        return "more than 99.9 %"
    return f"{percent} %"
