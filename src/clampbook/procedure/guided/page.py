"""A procedure file from answers: it reads like the manual's page, and says in comments what is still to be written."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator
from decimal import Decimal

import tomli_w

from clampbook.procedure.guided.answers import Answers
from clampbook.procedure.guided.placing import rows
from clampbook.procedure.guided.tolerance import share_of_the_last
from clampbook.procedure.sheet import NEWEST_FORMAT
from clampbook.text import printable
from clampbook.units import Kind, UnitFault, number, parse

_AT_MOST = 4  # rounds of a recheck before a person decides; common practice, no source
_COMMENT = 44  # the column at which a comment beside a key begins
Lines = Iterator[str]


def page(answers: Answers, unit: str | None = None) -> str:
    """The whole file. What was left out stands as a comment in its place, and no value of it is made up. `unit` is that
    of a file in which no torque was typed."""
    parts = (
        _head(answers, unit_of(answers) or unit),
        _layout(answers),
        _group(answers),
        _stages(answers),
        _after_the_work(answers),
    )
    return "\n".join(line for part in parts for line in part)


def unit_of(answers: Answers) -> str | None:
    """The torque unit of the procedure: that of the first torque that was typed."""
    for text in (answers.target, *(answers.rounds or ())):
        with contextlib.suppress(UnitFault):
            if text is not None:
                return parse(text, Kind.TORQUE).unit
    return None


def _head(answers: Answers, unit: str | None) -> Lines:
    yield f"# {printable(answers.title or 'A joint without a name yet')}."
    yield "# Written from answers. Compare each line with the manual before you"
    yield "# release it. What begins with # is a comment: where the manual has such"
    yield "# a line, remove the # and write its value."
    yield ""
    yield f"format = {NEWEST_FORMAT}"
    yield from _key("title", answers.title, '"Coupling flange"', "which joint this is")
    yield _line("revision", answers.revision or "A")
    yield _line("status", "draft")
    yield from _key("source", answers.source, '"Manual, page, and day"', "left out")
    yield from _key("unit", unit, '"N·m"', "as the manual has it")
    yield _aside('cautions = ["Eye protection on."]', "read before the work")
    yield ""
    yield "# What the start checklist asks: the equipment, and the parts that are"
    yield "# counted or have a lot."
    yield "# [[ask]]"
    yield '# name = "Serial number"'
    yield '# is = "equipment"'
    yield "# required = true"
    yield "#"
    yield "# [[part]]"
    yield '# name = "Gasket"'
    yield '# record = "lot"'
    yield ""


def _layout(answers: Answers) -> Lines:
    yield "# The picture of the joint. Compare where number 1 stands, and which way"
    yield "# they are counted."
    drawn = rows(answers)
    if answers.placed == "circle" and answers.how_many:
        yield "[layout]"
        yield f"circle = {answers.how_many}"
        yield _aside('first = "top"', "or right, bottom, left")
        yield _aside("clockwise = true", "or false")
    elif drawn is not None:
        yield "[layout]"
        yield from _list("rows", drawn)
    else:
        yield "# [layout]"
        yield _aside('rows = ["1 3 5", "2 4 6"]', "left out; or circle = 12")
        yield ""
        return
    yield _aside('seen_from = "above"', "from where one looks")
    yield _aside('edges = { left = "front" }', "or above, below, right")
    yield ""


def _group(answers: Answers) -> Lines:
    yield "# The fasteners."
    yield "[[group]]"
    yield _line("name", answers.fasteners or "Bolts")
    if rows(answers) is None and not (answers.placed == "circle" and answers.how_many):
        yield from _key("positions", _span(answers), '"1-12"', "left out: how many")
    yield from _key("thread", answers.thread, '"M12"', "left out")
    yield from _key("property_class", answers.property_class, '"8.8"', "left out")
    yield from _key("lubrication", answers.lubrication, '"engine oil"', "left out; or dry")
    if answers.nut_factor is not None:
        yield f"nut_factor = [{', '.join(map(_plain, answers.nut_factor))}]"
    else:
        yield _aside("nut_factor = [0.16, 0.22]", "left out: lowest, highest")
    if answers.clamped is not None:
        yield from _list("clamped", answers.clamped)
    else:
        yield _aside('clamped = ["72 mm aluminium"]', "left out: from the head on")
    yield from _key("target", answers.target, '"70 N·m"', "left out: what 100 % is")
    yield from _order(answers)
    yield from _key("fastener", answers.fastener, '"new every time"', "or use again")
    yield _aside('prepare = ["Threads and faces clean."]', "done before the first pull")
    yield ""


def _order(answers: Answers) -> Lines:
    if answers.order is None:
        yield _aside('sequence = "cross"', "left out; or spiral")
    elif answers.order != "written out":
        yield _line("sequence", answers.order)
    elif answers.written_order is not None:
        yield _line("order", answers.written_order)
    else:
        yield _aside('order = "3, 4, 1, 2"', "left out: each once")


def _stages(answers: Answers) -> Lines:
    yield "# What is done, in this order."
    stages = [*_pulled(answers), *_after_the_pulls(answers)]
    for step, stage in enumerate(stages, 1):
        yield from stage
        yield _aside(f'manual = "step {step}"', "its place in the manual")
        yield ""
    left_out = [short for short, there in _further(answers) if not there]
    if left_out:
        yield f"# Left out: {', '.join(left_out)}."
        yield "# Add a [[stage]] in its place where the manual has one."
        yield ""


def _further(answers: Answers) -> Iterator[tuple[str, bool]]:
    """Stages beside those to a torque, and whether they are there."""
    yield "turns", answers.angles is not None
    yield "wait", answers.wait is not None
    if answers.torques and answers.angles is None:
        yield "recheck", answers.recheck is not None
    yield "inspection", answers.look is not None


def _pulled(answers: Answers) -> Iterator[list[str]]:
    """Rounds to a torque, then turns."""
    count, share = len(answers.torques), share_of_the_last(answers)
    for round_, torque in enumerate(answers.torques, 1):
        told = f"# Round {round_} of {count}."
        if share is not None and round_ < count:
            about = f"the same share as {printable(answers.within or '')} at the end"
            worked_out = f"{_line('within', share).ljust(_COMMENT - 1)} # {about}"
            yield [told, *_stage("tighten", ("to", torque)), worked_out]
        else:
            last = _key("within", answers.within, '"±5 %"', "left out: how far off")
            yield [told, *_stage("tighten", ("to", torque)), *last]
    if not answers.torques:
        to = _aside('to = "30 N·m"', "left out: to which torque")
        yield ["# [[stage]]", '# do = "tighten"', to, '# within = "±2 N·m"']
    for turn, angle in enumerate(answers.angles or (), 1):
        told = f"# Turn {turn} of {len(answers.angles or ())}, from where the last stage left it."
        within = _key("within", answers.angle_within, '"+4° −0°"', "left out: how far off")
        by_mark = _aside('judged_by = "mark"', "where no angle gauge fits")
        yield [told, *_stage("turn", ("by", angle)), *within, by_mark]


def _after_the_pulls(answers: Answers) -> Iterator[list[str]]:
    """A wait, a recheck, an inspection."""
    if answers.wait is not None:
        yield list(_stage("wait", ("for", answers.wait), ("since", "last pull")))
    if answers.recheck is not None and answers.last_torque is not None:
        more = ["until_still = true", f"at_most = {_AT_MOST}"] if answers.recheck == "until none moves" else []
        yield [*_stage("recheck", ("at", answers.last_torque), ("method", "tighten on")), *more]
    if answers.look is not None:
        by = (("by", "another person"),) if answers.looker == "another person" else ()
        yield list(_stage("inspect", ("ask", answers.look), *by))


def _after_the_work(answers: Answers) -> Lines:
    yield "# Who signs at the end."
    yield "# [sign_off]"
    yield '# assembler = "required"'
    yield '# inspector = "required, another person"'
    yield ""
    if answers.after is None and answers.or_use is None:
        yield "# What is due later."
        yield "# [[follow_up]]"
        yield '# title = "Recheck after the first run"'
        yield '# after = "30 d"'
        return
    yield "# What is due later, by time or by use, if sooner."
    yield "[[follow_up]]"
    yield _line("title", _due(answers))
    yield from _key("after", answers.after, '"30 d"', "left out")
    yield from _key("or_use", answers.or_use, '"10 h"', "left out; or 50 km")
    stage: Iterable[str] = ()
    if answers.later == "recheck" and answers.last_torque is not None:
        stage = _stage("recheck", ("at", answers.last_torque), ("method", "tighten on"), table="follow_up.stage")
    elif answers.later == "look" and answers.look is not None:
        stage = _stage("inspect", ("ask", answers.look), table="follow_up.stage")
    for line in stage:
        yield from ("", line) if line.startswith("[[") else (line,)


def _due(answers: Answers) -> str:
    """The name of the follow-up, by what is done."""
    verb = {"recheck": "Recheck", "look": "Inspect"}.get(answers.later or "", "Look again at")
    return f"{verb}: {answers.fasteners or 'Bolts'}"


def _stage(do: str, *keys: tuple[str, str], table: str = "stage") -> Lines:
    yield f"[[{table}]]"
    yield _line("do", do)
    for key, text in keys:
        yield _line(key, text)


def _key(key: str, answer: str | None, example: str, about: str) -> Lines:
    """The key with its answer, else a comment with an example."""
    yield _line(key, answer) if answer is not None else _aside(f"{key} = {example}", about)


def _aside(line: str, about: str) -> str:
    """A line that is not in force, and what it is for."""
    return f"# {line}".ljust(_COMMENT - 1) + f" # {about}"


def _line(key: str, text: str) -> str:
    return tomli_w.dumps({key: text}).rstrip("\n")


def _list(key: str, texts: Iterable[str]) -> Lines:
    yield tomli_w.dumps({key: list(texts)}).rstrip("\n")


def _span(answers: Answers) -> str | None:
    """The positions by their first and last number, where no picture has them."""
    count = answers.how_many
    return None if not count else "1" if count == 1 else f"1-{count}"


def _plain(text: str) -> str:
    """A number as TOML has it, always with a point."""
    try:
        value: Decimal = number(text)
    except UnitFault:
        return tomli_w.dumps({"x": text}).partition("= ")[2].rstrip("\n")
    return str(float(value))
