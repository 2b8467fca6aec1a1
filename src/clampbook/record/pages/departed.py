"""The words for each deviation: what a record holds of it as facts, told in a few words for a table."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from clampbook.record.deviations import TOO_OFTEN
from clampbook.record.pages.marks import marked
from clampbook.record.pages.telling import Row, Telling, as_typed, lasted, listed, number, quantity
from clampbook.record.pages.tools import against, cause
from clampbook.record.pull_departures import STILL_MOVED
from clampbook.run.fold.departing import NOT_ALL_TICKED
from clampbook.run.fold.fastener import NOT_SNUG
from clampbook.run.fold.independence import LOOKED_BEFORE
from clampbook.run.fold.pulls import NOT_ALIGNED, THIRD_UNDER
from clampbook.run.gather.draft import bare
from clampbook.run.kinds.values import LESS_THAN_TIGHTENED, OFF_SCALE
from clampbook.run.progress import AFTER_SILENCE, COUNT_DIFFERS, MEASURED_BEFORE, NOT_NEW, TOO_FEW
from clampbook.run.questions.items import item_told
from clampbook.text import counted
from clampbook.units import show_span

_PLAIN = {  # kinds that have no facts beside their name, and those that were only decided about
    "entered late": "entered late: finished before the break",
    "mark lost": "mark lost during a turn, angle unknown",
    "clock implausible": "the clock had jumped when the run was resumed",
    "left short": "short of its mark after it was tightened again",
    "left past": "past its mark after it was tightened again",
    "moved": "moved since the run before",
    "broken": "broke",
    "stripped": "thread stripped",
    "never reaches the torque": "does not reach the torque",
    "wrong or missing part": "part wrong or missing",
    "budget used up": "had all its tightenings",
    "again at a gate": "done before the stages around it were done again",
    MEASURED_BEFORE: "measured before the stages around it were done again",
    "limit run out": "not finished within its time limit",
    "still moving": "still moved in the last round allowed",
    STILL_MOVED: "moved when last rechecked",
    "over": "still over before the next step",
    "skipped": "skipped and still to do",
    "pulled again": "pulled again after it was done",
    NOT_ALIGNED: "does not align",
    THIRD_UNDER: "still under after three pulls",
    NOT_SNUG: "not snug before its turn",
    COUNT_DIFFERS: "the count did not add up, and was corrected",
}
_LOOKED_LIKE = {
    "unit": "looked like another unit",
    "decimal place": "looked like another decimal point",
    "digits swapped": "looked like swapped digits",
    OFF_SCALE: "off its tool’s scale",
    LESS_THAN_TIGHTENED: "less than it was tightened to",
}
_CLICKED = {"no": "no click", "not known": "click not known"}


def told(telling: Telling, row: Row) -> str:
    """All that departs in one line, with the mark of what stands first."""
    return _mark(row) + words(telling, row)


def words(telling: Telling, row: Row) -> str:
    """The same without a mark."""
    return "; ".join(
        dict.fromkeys(
            (_silence(telling, row, each) or _one(telling, each)) + _put_right_before(telling, row, each)
            for each in row["departed"]
        )
    )


def _silence(telling: Telling, row: Row, each: Row) -> str:
    """For how long nothing was answered before a line; where no clock tells it, that alone."""
    if each["kind"] != AFTER_SILENCE:
        return ""
    passed = telling.silences.get(row["line"])
    return f"after {'a break' if passed is None else lasted(str(passed))} without an answer"


def _put_right_before(telling: Telling, row: Row, each: Row) -> str:
    """Name the value that was put right where a difference came into its window by it: what it was, and what it is."""
    if each["kind"] != "corrected into its window":
        return ""
    at_line = [one for one in telling.rows("reading") if one["line"] == row["line"] and one["step"] != row.get("step")]
    now = next((one for one in at_line if one["stage"] < row.get("stage", 0)), None)
    if now is None:
        return ""
    lines = (one for one in telling.rows("reading") if one["line"] == now["corrects"] and one["step"] == now["step"])
    before = next(lines, None)
    was = "" if before is None else f"{_typed(before, 'typed', 'in_all')} to "
    return f": {telling.measured(now['stage'])} {was}{_typed(now, 'typed', 'in_all')}"


def _mark(row: Row) -> str:
    for each in row["departed"]:
        mark = marked(each["kind"]).removesuffix(each["kind"])
        if mark:
            return mark
    return ""


def _one(telling: Telling, each: Row) -> str:
    if each.get("void"):
        return _voided(telling, each)
    if "of" in each:
        return _outside(telling, each)
    kind = str(each["kind"])
    if kind in _OF_TOOLS:
        found = _OF_TOOLS[kind](telling, each)
    else:
        found = _OF_FACTS[kind](each) if kind in _OF_FACTS else None
    return found or _PLAIN.get(kind, kind)


def _voided(telling: Telling, each: Row) -> str:
    line = f" (line {each['of_line']})" if each.get("of_line") else ""
    hand = f" with {telling.hand(each)}" if telling.hand(each) else ""
    return f"void{line}: {each['cause']}{hand}{_seen(each)}"


def _seen(each: Row) -> str:
    told = quantity(each.get("value") or each.get("set_to") or "", each.get("unit"))
    if each.get("value"):
        return f", showed {told}"
    if each.get("set_to"):
        clicked = each["clicked"]
        return f", clicked at {told}" if clicked == "yes" else f", set to {told}, {_CLICKED[clicked]}"
    return ""


def _outside(telling: Telling, each: Row) -> str:
    """ "pull over: 24.5 lbf·ft (33.2 N·m), window 28.0–32.0 N·m", each as the tool told it and as it is judged."""
    low, high, unit = each.get("window_from"), each.get("window_to"), each["judged_unit"]
    as_told, judged = each.get("value") or each.get("set_to"), each.get("judged")
    found = "judged by its mark" if judged is None else quantity(number(judged, low, high), unit)
    if judged is not None and _as_judged(each, judged, unit):
        found = quantity(as_typed(each["value"], low, high), unit)
    elif as_told is not None and judged is not None:
        shown = quantity(as_told, each.get("unit"))
        if each.get("adapter"):
            found = f"{shown} on {telling.hand(each)} ({found} at the fastener)"
        elif each.get("unit") != unit:
            found = f"{shown} ({found})"
        elif each.get("set_to"):
            found = shown
    clicked = "clicked at " if each.get("set_to") else ""
    return f"{each['of']} {each['kind']}: {clicked}{found}, {_window(low, high, unit)}"


def _as_judged(each: Row, judged: str, unit: str) -> bool:
    """True where what was read is what is judged: no adapter, no other unit, nothing added or taken off."""
    read = each.get("value") is not None and each.get("unit") == unit and not each.get("adapter")
    return read and Decimal(each["value"]) == Decimal(judged)


def _window(low: str | None, high: str | None, unit: str) -> str:
    ends = None if low is None else Decimal(low), None if high is None else Decimal(high)
    return "no window" if ends == (None, None) else f"window {show_span(*ends, unit, exact=True)}"


def _corrected(each: Row) -> str:
    person = f" ({each['person_name']})" if each.get("person_name") else ""
    before = f" ({each['verdict']})" if each.get("verdict") else ""
    first, now = _typed(each, "typed", "in_all_before"), _typed(each, "to", "in_all")
    return f"{each['kind']}: {first}{before} to {now}, {each['known']}{person}"


def _typed(each: Row, key: str, in_all: str) -> str:
    """Give what was typed, with its unit, and the whole turn where it was one stroke of it: "45°, 92° in all"."""
    text, unit = each.get(key), each.get("unit")
    if text is None:
        return "nothing"
    whole = f", {quantity(each[in_all], unit)} in all" if each.get(in_all) else ""
    return (quantity(text, unit) if bare(text) else text) + whole


def _from_memory(each: Row) -> str:
    told = f"{each.get('typed', 'nothing')} ({each['verdict']}) to {each['to']}"
    return f"corrected from memory alone, does not count: {told}. Line {each['stands_line']} stands"


def _spread(each: Row) -> str:
    apart, allowed = quantity(each["spread"], each["unit"]), quantity(each["allowed"], each["allowed_unit"])
    return f"readings are {apart} apart, {allowed} allowed"


def _not_done(each: Row) -> str:
    where = [listed(each.get("positions", ())), ", ".join(each.get("without_position", ()))]
    return f"not done: {counted(each['steps'], 'step')}, at {', '.join(filter(None, where))}"


def _vouched(each: Row) -> str:
    lines = ", ".join(map(str, each.get("vouched_at_lines", ())))
    return f"vouched for this work in line {lines}, worked on it from here on"


def _broken(each: Row) -> str:
    reached = f", reached {each['reached']}" if each.get("reached") else ""
    return f"{_PLAIN[each['kind']]}{reached}"


def _withdrawn(each: Row) -> str:
    who = f"withdrawn by {each['person_name']} on {each['on']}"
    return f"revision {each['revision']} {who}: {each['reason']}"


def _looked_back(each: Row) -> str | None:
    after = {"break": " after a break", "hand-over": f" when {each.get('person_name')} took over"}
    return f"not as left{after.get(each.get('after', ''), '')}"


def _looked_at(each: Row) -> str | None:
    where = f" at {listed(each['positions'])}" if each.get("positions") else ""
    return f"not as expected{where}: {each['answer']}" if "answer" in each else None


def _same_person(each: Row) -> str:
    if "role" in each:
        return f"{each['person_name']} did the work and signed as {each['role']}{_because(each)}"
    return f"inspected by the same person{_because(each)}"


def _for_others(each: Row) -> str:
    return f"{each['person_name']} did not pull and signed as {each['role']}{_because(each)}"


def _because(each: Row) -> str:
    """The reason, where one was given: a paper form may have none."""
    return f": {each['reason']}" if each.get("reason") else ""


_BLANK = {
    "prevailing torque": "no prevailing torque on the form",
    "final torque": "no last torque on the form",
    "stretch": "no stretch on the form",
    "mark": "nothing about its mark on the form",
    "tool": "no tool on the form",
    "name": "no name on the form",
    "movement": "nothing about movement on the form",
}


def _left_blank(telling: Telling, each: Row) -> str:
    """Tell what is missing on a paper form."""
    what = each["what"]
    if each.get("ticked"):
        return "ticked on the form, no number"
    if what == "setting":
        return f"no setting of {telling.tool(each['tool'])} on the form"
    if what == "adapter":
        return f"what was on {telling.tool(each['tool'])} is not on the form, judged as without an adapter"
    if each.get("item"):
        return f"nothing on the form for {item_told(str(each['item']))}"
    return _BLANK.get(what, "nothing stands on the form")


def _too_often(each: Row) -> str:
    most = each["at_most"]
    return f"adjusted more often than {'once' if most == 1 else f'{most} times'}"


def _wait(each: Row) -> str:
    if "passed_seconds" in each:
        return f"wait cut short: {lasted(each['passed_seconds'])} of {lasted(each['lasts_seconds'])}"
    return f"wait cut short: {each['reason']}"


def _unsuitable(telling: Telling, each: Row) -> str:
    """Tell which tool was used all the same, why, and what spoke against it."""
    spoke = "; ".join(against(each)) or "it does not suit"
    if "reason" not in each:
        return f"{telling.tool(each['tool'])} does not suit: {spoke}"
    return f"{telling.tool(each['tool'])} used with a reason ({each['reason']}): {spoke}"


def _dropped(telling: Telling, each: Row) -> str:
    then = f"used again: {each['reason']}" if each["used_again"] else "not used again"
    return f"{telling.tool(each['tool'])} dropped, {then}"


def _suspected(telling: Telling, each: Row) -> str:
    return f"{telling.tool(each['tool'])} suspect since line {each['since_line']}: {cause(each)}"


def _counts(each: Row) -> str | None:
    if "part" not in each:
        return None
    off = f"{each['missing']} missing" if "missing" in each else f"{each['too_many']} too many"
    return f"{each['part']}: {each['at_hand']} at hand, {each['used']} used, {each['left_over']} left over, {off}"


_OF_TOOLS: dict[str, Callable[[Telling, Row], str | None]] = {
    "zero wrong": lambda telling, each: f"{telling.tool(each['tool'])} did not read zero" if "tool" in each else None,
    "zero unknown": lambda telling, each: f"{telling.tool(each['tool'])}: zero not known" if "tool" in each else None,
    "zero not written": lambda telling, each: f"{telling.tool(each['tool'])}: zero not written on the form",
    "not on the form": _left_blank,
    "unsuitable tool": _unsuitable,
    "tool dropped": _dropped,
    "tool suspected": _suspected,
}
_OF_FACTS: dict[str, Callable[[Row], str | None]] = {
    "time out of order": lambda each: f"out of order: {each['stands'][11:16]} on the form",
    "unusual value": lambda each: (
        f"unusual value confirmed, {_LOOKED_LIKE.get(each['looked_like'], each['looked_like'])}"
    ),
    NOT_ALL_TICKED: lambda each: f"not ticked on the form: {' '.join(each['not_ticked'])}",
    "skipped": lambda each: f"skipped: {each['reason']}" if each.get("reason") else None,
    "started though withdrawn": lambda each: f"started though the procedure was withdrawn: {each['reason']}",
    "clock set back": lambda each: f"clock set back by {each['seconds']} s",
    "left out": lambda each: f"accepted without its {' and '.join(each['without'])}",
    LOOKED_BEFORE: _vouched,
    "broken": _broken,
    "stripped": _broken,
    "never reaches the torque": _broken,
    "wrong or missing part": _broken,
    "procedure withdrawn": _withdrawn,
    "not as I left it": _looked_back,
    "not as expected": _looked_at,
    "inspected by the same person": _same_person,
    "drawn by the same person": lambda each: f"sample drawn by one who did the work: {each['reason']}",
    "signed for others": _for_others,
    "wait cut short": _wait,
    TOO_OFTEN: _too_often,
    "corrected into its window": _corrected,
    "corrected": _corrected,
    "corrected from memory": _from_memory,
    "spread": _spread,
    "points outside": lambda each: f"{each['outside']} of {each['points']} outside, {each['allowed']} allowed",
    "not done": _not_done,
    COUNT_DIFFERS: _counts,
    NOT_NEW: lambda each: f"{each['group']}: not all new",
    TOO_FEW: lambda each: f"{each['part']}: {each['at_hand']} of {each['needed']} needed",
}
