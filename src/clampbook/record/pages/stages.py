"""The work, stage by stage: chart, readings, clicks, and what does not count any more."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from decimal import Decimal

from msgspec.structs import replace

from clampbook.figures import Ends
from clampbook.procedure.both_units import converted, other_unit
from clampbook.procedure.model import Measure, Stage
from clampbook.procedure.naming import own
from clampbook.record.figures import rounded
from clampbook.record.pages import laid, panels, stage_words
from clampbook.record.pages.blocks import Beside, Block, Chart, Heading, Plain, Sentences, Table
from clampbook.record.pages.chart import chart, place, value_of
from clampbook.record.pages.marks import marked
from clampbook.record.pages.not_counted import not_counted
from clampbook.record.pages.rounds_of_a_form import ends
from clampbook.record.pages.telling import Row, Telling, as_typed, lasted, listed, number, quantity, signed
from clampbook.run.fold.acts import TOO_FAR_APART
from clampbook.run.kinds.wait import moment
from clampbook.run.plan import Plan
from clampbook.text import started

KINDS = (
    "prevailing torque",
    "pull",
    "stretch",
    "slot",
    "turn",
    "final torque",
    "measurement",
    "recheck",
    "backing off",
    "loosening",
    "application",
)
_WORDS = {"final torque": "Last torque", "prevailing torque": "Prevailing torque", "stretch": "Stretch"}
_DEVIATION = 2  # significant digits of a standard deviation
_OF_THE_STAGE = ("pull", "turn", "recheck", "measurement")
_CLICKED = ("clicked", "confirmed together")
_STROKE = "earlier stroke"
_FIGURES = ("mean", "standard_deviation", "least", "most")
_COUNTS, _VOID = "counts", "void"
_BAD = ("bad pull", "wrong position")
_MOST_BESIDE, _MOST_SIGNS = 16, 48  # rows of a table beside its chart, and signs of all their names
_LINE, _LOWEST, _HIGHEST = 10.5, 40.0, 120.0  # heights in points: of a row, and of a chart beside a table
_HOW_TO_READ = (
    "Charts, in the order of the work: grey band the window, dashed line the target. "
    f"{marked('within')}, {marked('under')}, {marked('over')}, {marked('by concession')}{{}}. "
    "What is ringed no longer counts. A click has no number and is in no chart.",
)


def stages(plan: Plan, telling: Telling) -> Iterator[Block]:
    """One part for each stage of the plan, in its order; how charts are read is told where there is one."""
    yield Heading("Readings by stage")
    by_stage = list(_by_stages(plan, telling))
    if any(isinstance(each, Chart) for block in by_stage for each in _each(block)):
        yield _how_to_read(telling)
    yield from by_stage


def _each(block: Block) -> Iterator[Plain]:
    """A block, or those that stand beside each other in it."""
    if isinstance(block, Beside):
        for column in block.columns:
            yield from column
    else:
        yield block


def _how_to_read(telling: Telling) -> Sentences:
    outcomes = {row["outcome"] for row in telling.rows("reading")}
    apart = f", {marked(TOO_FAR_APART)}" if TOO_FAR_APART in outcomes else ""
    return Sentences(tuple(line.format(apart) for line in _HOW_TO_READ), quiet=True, sticky=True)


def _by_stages(plan: Plan, telling: Telling) -> Iterator[Block]:
    pulls, looks, waits = (_by_stage(telling.rows(name)) for name in ("reading", "inspection", "wait"))
    planned = {step.stage for step in plan.steps}
    for stage in plan.stages:
        yield _heading(plan, stage)
        found = [
            *_sample(telling, stage),
            *_rounds(plan, telling, stage, pulls[stage.number]),
            *_looks(telling, looks[stage.number]),
            *_waits(telling, waits[stage.number]),
            *_adjusted(telling, stage),
        ]
        yield from found or [Sentences((_nothing(stage, planned),))]


def _sample(telling: Telling, stage: Stage) -> Iterator[Block]:
    """Tell which positions were drawn, by whom and with which number, and that all others were not looked at."""
    for row in telling.rows("sample"):
        if row["stage"] == stage.number:
            added = row.get("added", ())
            more = f" After a failure also {listed(added)}." if added else ""
            did = "who had done none of the work" if row["independent"] == "yes" else "who had done the work"
            said = f"Sample of {len(row['drawn']) + len(added)} from {row['of']}: {listed(row['drawn'])}.{more}"
            drawn = f"Drawn by {row['inspector_name']}, {did}, with the number {row['number']}; {telling.at(row)}."
            yield Sentences((f"{said} {drawn}",), sticky=True)


def _heading(plan: Plan, stage: Stage) -> Heading:
    text = f"{plan.numbered[stage.number]}  {stage_words.wants(stage, plan.unit)}"
    return Heading(text, stage_words.aside(stage, plan), level=2)


def _nothing(stage: Stage, planned: set[int]) -> str:
    if stage.number not in planned and stage.trial_skip:
        return "Left out in a trial assembly."
    return "Not done: nothing in the daybook."


def _by_stage(rows: Sequence[Row]) -> defaultdict[int, list[Row]]:
    found: defaultdict[int, list[Row]] = defaultdict(list)
    for row in rows:
        if not row.get("work") and not row.get("before_starting_over"):
            found[row["stage"]].append(row)
    return found


def _rounds(plan: Plan, telling: Telling, stage: Stage, rows: Sequence[Row]) -> Iterator[Block]:
    rounds = stage_words.rounds(stage)
    for number_ in sorted({row["round"] for row in rows}):
        here = [row for row in rows if row["round"] == number_]
        kinds = [kind for kind in KINDS if any(row["kind"] == kind for row in here)] or [_BAD[0]]
        lost = [row for row in here if row["standing"] not in (_COUNTS, _STROKE) or row["kind"] in _BAD]
        for kind in kinds:
            of_round = [f"Round {number_} of {rounds}"] if rounds > 1 else []
            named = [_WORDS[kind]] if kind in _WORDS else ["Pull"] if "prevailing torque" in kinds else []
            if of_round or named:
                yield Heading(". ".join([*of_round, *named]), level=3)
            if kind == kinds[0] and (told := ends(telling, here)):
                yield Sentences(told, sticky=True)
            yield from _kind(plan, telling, [row for row in here if row["kind"] == kind])
            yield from not_counted(telling, [row for row in lost if row["kind"] in (kind, *_lost_with(kind, kinds))])


def _lost_with(kind: str, kinds: Sequence[str]) -> tuple[str, ...]:
    """Bad pulls, and those on another position, stand with the work of the stage, not with what is measured before."""
    return _BAD if kind == next((each for each in kinds if each != "prevailing torque"), kinds[0]) else ()


def _kind(plan: Plan, telling: Telling, rows: Sequence[Row]) -> Iterator[Block]:
    """Readings first, with their chart and figures; then clicks, each under its own words."""
    kept = _in_order(plan, [row for row in rows if row["standing"] == _COUNTS and row["kind"] not in _BAD])
    numbers = [row for row in kept if value_of(row) is not None]
    clicks = [row for row in kept if row["outcome"] in _CLICKED]
    others = [row for row in kept if value_of(row) is None and row["outcome"] not in _CLICKED]
    yield from _without(telling, kept)
    if numbers:
        yield from _numbers(plan, telling, numbers, [row for row in rows if row["standing"] not in (_STROKE, _VOID)])
    if clicks:
        yield from panels.of_clicks(telling, clicks)
    if others:
        yield from panels.of_work(telling, others)


def _numbers(plan: Plan, telling: Telling, numbers: Sequence[Row], charted: Sequence[Row]) -> Iterator[Block]:
    """Chart and figures, with their table beside them where that is small enough, else below."""
    order = list(dict.fromkeys(map(place, numbers)))
    target = plan.steps[plan.index_of[numbers[0]["step"]]].target
    aimed = target is not None and numbers[0]["kind"] in ("pull", "turn", "recheck")
    drawn = chart(charted, order, str(target) if aimed else None)
    table = panels.of_readings(telling, numbers, _planned(plan, numbers[0]))
    figures = list(_figures(telling, numbers[0]))
    half = laid.narrow(table, _MOST_BESIDE)
    if drawn is not None and half is not None and sum(len(name) + 1 for name in order) <= _MOST_SIGNS:
        high = min(max(_LINE * (len(numbers) + 1), _LOWEST), _HIGHEST)
        yield Beside(((replace(drawn, height=high), *figures), tuple(half)))
        return
    yield from [drawn] if drawn is not None else []
    yield from figures
    yield from table


def _without(telling: Telling, kept: Sequence[Row]) -> Iterator[Block]:
    """The positions that stand in no table below: accepted without it."""
    for group in telling.rows("group"):
        for figures in group.get("stage", ()):
            place = figures["stage"], figures["round"], figures["what"]
            missing = figures.get("accepted_without_at")
            if missing and kept and place == (kept[0]["stage"], kept[0]["round"], kept[0]["kind"]):
                yield Sentences((f"◆ By concession without it: {', '.join(map(own, missing))}.",), sticky=True)


def _planned(plan: Plan, row: Row) -> Ends | None:
    """The window that stands in the heading; None for what is read beside the pull of its stage."""
    return plan.steps[plan.index_of[row["step"]]].window if row["kind"] in _OF_THE_STAGE else None


def _in_order(plan: Plan, rows: Sequence[Row]) -> list[Row]:
    """The rows in the order of the sheet, whatever was done again later."""
    return sorted(rows, key=lambda row: plan.index_of.get(row["step"], 0))


def _figures(telling: Telling, row: Row) -> Iterator[Plain]:
    """Mean and range of the kept readings, as the record holds them."""
    for group in telling.rows("group"):
        for figures in group.get("stage", ()):
            if (figures["stage"], figures["round"], figures["what"]) == (row["stage"], row["round"], row["kind"]):
                count, unit = figures["readings"], figures.get("unit")
                if count > 1:
                    said = [f"{count} readings: {_middle(figures)}, {_range(figures, unit)}."]
                    other = other_unit(unit) if unit else None
                    if unit and other:
                        there = {key: converted(figures[key], unit, other) for key in _FIGURES}
                        said.append(f"In {other}: {_middle(there)}, {_range(there, other)}.")
                    yield Sentences(tuple(said), small=True, sticky=True)


def _range(figures: Row, unit: str | None) -> str:
    read = number if unit is None or other_unit(unit) else as_typed  # a length has more digits than a torque
    return f"{read(figures['least'])} to {quantity(read(figures['most']), unit)}"


def _middle(figures: Row) -> str:
    """Mean and standard deviation, to the same decimals: those of the deviation's two digits, or of a reading's."""
    mean, deviation = Decimal(figures["mean"]), Decimal(figures["standard_deviation"])
    short = rounded(deviation, _DEVIATION) if deviation else number(figures["least"])
    decimals = min(_decimals(short), _decimals(figures["mean"]))
    spread = short if deviation else f"{deviation:.{decimals}f}"
    return f"mean {signed(f'{mean:.{decimals}f}')}, standard deviation {spread}"


def _decimals(text: str) -> int:
    return len(text.partition(".")[2])


def _looks(telling: Telling, rows: Sequence[Row]) -> Iterator[Block]:
    """Answers to what was looked at; at a hold point with whoever looked."""
    told = [
        (
            own(row.get("position") or "") or row.get("set") or "",
            f"{row['answer']}, {_as_expected(row)}",
            _looked_at(telling, row),
        )
        for row in rows
    ]
    if any(where for where, _, _ in told):
        yield Table(head=("Pos.", "Answer", "Looked at"), widths=(0, 1, 2), rows=tuple(told))
    elif told:
        yield Sentences(tuple(f"{started(answer)}. {looked}" for _, answer, looked in told))


def _looked_at(telling: Telling, row: Row) -> str:
    by = inspected_by(telling, row)
    return (
        f"{by}; {telling.at(row)}, entered by {telling.name(row['by'])}"
        if by
        else f"{telling.at(row)}, {telling.by(row)}"
    )


def _as_expected(row: Row) -> str:
    if row["as_expected"]:
        return "as expected"
    where = listed(row.get("not_as_expected_at", ()))
    return f"not as expected{f' at {where}' if where else ''}"


def inspected_by(telling: Telling, row: Row) -> str:
    """Whoever looked at a hold point, what the name stands for, and how it was given."""
    if "inspector_name" not in row:
        return ""
    reason = f": {row['reason']}" if row.get("reason") else ""
    return f"{row['inspector_name']}, {row['meaning']} ({telling.given_as(row)}){reason}"


def _adjusted(telling: Telling, stage: Stage) -> Iterator[Block]:
    """Each time that the procedure, or a decision beyond it, led back from here as far as it is adjusted from."""
    if not isinstance(stage, Measure) or not stage.adjust:
        return
    here = f"{stage.number}."
    for row in telling.rows("decision"):
        if row.get("time") and str(row["step"]).startswith(here):
            at = f" at {row['position']}" if row.get("position") else ""
            back = f"back to stage {telling.stage(row['back_to_stage'])}"
            told = f"Adjusted{at}, time {row['time']} of {stage.adjust.at_most}: {back}."
            yield Sentences((f"{told} {telling.at(row)}, {telling.by(row)}.",))


def _waits(telling: Telling, rows: Sequence[Row]) -> Iterator[Block]:
    for row in rows:
        yield Sentences((f"{_waited(row)}; {telling.at(row)}, {telling.by(row)}.",))


def _waited(row: Row) -> str:
    """Tell how long it was, of how much; that it was cut short comes first."""
    if row["ended"] != "waited":
        return f"Cut short: {row.get('reason') or 'no reason given'}"
    whole = f"{lasted(row['lasts_seconds'])}, from {moment(row.get('counted_from'))}"
    if "passed_seconds" not in row:
        return f"Waited of {whole}"
    passed, lasts = (Decimal(row[key]) for key in ("passed_seconds", "lasts_seconds"))
    if passed >= lasts:
        return f"Waited {lasted(row['passed_seconds'])} of {whole}"
    return f"Cut short after {lasted(row['passed_seconds'])} of {whole}, {lasted(str(lasts - passed))} too early"
