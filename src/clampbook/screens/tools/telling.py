"""A tool in lines for its page: its state, what it is, what is known of its use; and the help of that page."""

from __future__ import annotations

from datetime import date

from clampbook.tools.label import adapter_words, in_a_line
from clampbook.tools.model import Adapter, Stock, Tool, Use
from clampbook.tools.permitted import in_short
from clampbook.tools.state import due_by, state
from clampbook.units import plain, show

_WORDS = 17  # columns of states in the list


def row(tool: Tool, use: Use, today: date, names: int) -> str:
    """One line of the list, its name in so many columns: name, state, what it is, and what speaks against it."""
    found = state(tool, today, use)
    told = f" · {'; '.join(found.because)}" if found.because else ""
    return f"{tool.name:<{names}} {found.word:<{_WORDS}} {in_a_line(tool)}{told}"


def adapter_row(adapter: Adapter, names: int) -> str:
    """One line of the list for an adapter."""
    told = adapter_words(adapter).removeprefix(f"{adapter.name}, ")
    return f"{adapter.name:<{names}} {'adapter':<{_WORDS}} {told}"


def due_lines(stock: Stock, today: date) -> tuple[str, ...]:
    """Tell what tools want until the end of this month, what is past first."""
    return tuple(each.says for each in due_by(stock, today))


def summary(stock: Stock, today: date) -> str:
    """Tell how many tools there are, and how many of them are in which state."""
    words = [state(tool, today, stock.use(tool.id)).word for tool in stock.tools]
    counted = ", ".join(f"{words.count(word)} {word}" for word in dict.fromkeys(sorted(words, key=_weight)))
    tools = "1 tool" if len(words) == 1 else f"{len(words)} tools"
    return f"{tools}: {counted}" if words else "no tool yet"


def _weight(word: str) -> int:
    from clampbook.tools.state import STATES

    return [*reversed(STATES)].index(word)  # type: ignore[arg-type]


def facts(tool: Tool, use: Use) -> tuple[str, ...]:
    """Tell what its entry and the book's log say of it; what nobody wrote is left out."""
    return tuple(
        filter(
            None,
            (
                f"in steps of {show(tool.resolution, tool.unit)}" if tool.resolution is not None else "",
                _deviation(tool),
                _calibration(tool),
                _pulls(tool, use),
                _last_check(tool, use),
                ", ".join(_build(tool)),
                tool.note,
            ),
        )
    )


def _deviation(tool: Tool) -> str:
    if tool.permissible_deviation is None:
        return ""
    by = f" ({tool.permissible_from})" if tool.permissible_from else ""
    return f"may deviate by {plain(tool.permissible_deviation)} % either way{by}"


def _calibration(tool: Tool) -> str:
    parts = []
    if tool.calibrated_on is not None:
        parts.append(f"calibrated on {tool.calibrated_on}")
    if tool.interval_months is not None:
        parts.append(f"every {tool.interval_months} months")
    if tool.certificate is not None:
        parts.append(f"certificate {tool.certificate}")
    if tool.uncertainty is not None:
        parts.append(f"known to {plain(tool.uncertainty)} % (k = {plain(tool.coverage)})")
    return ", ".join(parts) if parts or tool.kind in ("angle gauge", "marks") else "no calibration is known"


def _pulls(tool: Tool, use: Use) -> str:
    if not use.cycles and tool.interval_cycles is None:
        return ""
    since = " since its calibration" if tool.calibrated_on is not None else ""
    of = f", {tool.interval_cycles} are allowed" if tool.interval_cycles is not None else ""
    return f"{use.cycles} pulls{since}{of}"


def _last_check(tool: Tool, use: Use) -> str:
    check = use.last_check
    if check is None:
        return ""
    worst = "" if check.worst is None else f", worst {plain(in_short(check.worst, tool.permissible_deviation))} %"
    return f"last check on {check.on}, {check.series}: {check.verdict}{worst}"


def _build(tool: Tool) -> list[str]:
    parts = []
    if tool.lever is not None:
        parts.append(f"lever {show(tool.lever.value, tool.lever.unit)}")
    if tool.directions != "both":
        parts.append(f"{tool.directions} only")
    if tool.reads_angle and tool.kind != "angle gauge":
        parts.append("shows angles too")
    if tool.follower_needle:
        parts.append("follower needle")
    if tool.only_unit:
        parts.append(f"no other unit than {tool.unit} on its scale")
    if tool.wound_down:
        to = f" to {show(tool.wound_down_to, tool.unit)}" if tool.wound_down_to is not None else ""
        parts.append(f"wound down{to} after use")
    if tool.serial is not None:
        parts.append(f"no. {tool.serial}")
    return parts


HELP_LINES = (
    "# The picture of its checks",
    "Each group of marks is one check: its points from the lowest torque to the highest. ● within, ▀ outside,",
    "? could not be decided. │ reaches from the least to the most that was read there. The dashed lines are what is",
    "permitted. As found and as left stand beside each other where the tool was adjusted.",
    "",
    "# What can be done",
    "check: against a reference of the book; a check that is open is gone on with.",
    "withdraw: it is not offered in a walk any more, and its label says so. A failed check does that by itself, and",
    "only a passed one takes it back.",
    "pulls done elsewhere: so that an interval by number of pulls counts them.",
    "what it touched: every run and reading done with it since its last passed check, with its deviation applied.",
    "",
    "# Keys",
    "A number does what stands beside it. PgUp and PgDn move a long page. Esc or * goes back.",
    "F1 this help; F2 all actions; F4 dark or bright.",
)
