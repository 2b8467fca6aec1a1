"""A tool in lines for its page: its state, what it is, what is known of its use; and the help of that page."""

from __future__ import annotations

from datetime import date

from clampbook.check.wording import marked
from clampbook.text import counted
from clampbook.tools.model import SHOWN_BY, Stock, Tool, Use, one_use, way_word
from clampbook.tools.permitted import allowed_by, signed
from clampbook.tools.state import STATE_WORDS, STATES, due_by, state
from clampbook.units import plain, show


def due_lines(stock: Stock, today: date) -> tuple[str, ...]:
    """Tell what tools need until the end of this month, what is past first."""
    return tuple(each.says for each in due_by(stock, today))


def summary(stock: Stock, today: date) -> str:
    """Tell how many tools there are, and how many of them are in which state."""
    words = [STATE_WORDS[state(tool, today, stock.use(tool.id)).word] for tool in stock.tools]
    lightest_first = dict.fromkeys(STATE_WORDS[word] for word in reversed(STATES))
    states = ", ".join(f"{words.count(word)} {word}" for word in lightest_first if word in words)
    return f"{counted(len(words), 'tool')}: {states}" if words else "no tools yet"


def facts(tool: Tool, use: Use) -> tuple[str, ...]:
    """Tell what its entry and the book's log say of it; what nobody wrote is left out."""
    return tuple(
        filter(
            None,
            (
                f"scale lines every {show(tool.resolution, tool.unit)}" if tool.resolution is not None else "",
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
    by = f" ({by})" if (by := allowed_by(tool.permissible_from, tool.iso_type, tool.iso_class)) else ""
    return f"permissible deviation ±{plain(tool.permissible_deviation)} %{by}"


def _calibration(tool: Tool) -> str:
    parts = []
    if tool.calibrated_on is not None:
        parts.append(f"calibrated on {tool.calibrated_on}")
    if tool.interval_months is not None:
        parts.append(f"every {tool.interval_months} months")
    if tool.calibration_due is not None:
        parts.append(f"calibration due {tool.calibration_due}")
    if tool.certificate is not None:
        parts.append(f"certificate {tool.certificate}")
    if tool.uncertainty is not None:
        by = show(tool.uncertainty, tool.unit) if tool.kind in SHOWN_BY else f"{plain(tool.uncertainty)} %"
        parts.append(f"uncertainty ±{by} (k = {plain(tool.coverage)})")
    if tool.points:
        parts.append(f"certified at {', '.join(plain(point.at) for point in tool.points)} {tool.unit}")
    return ", ".join(parts) if parts or tool.kind in ("angle gauge", "marks") else "no calibration known"


def _pulls(tool: Tool, use: Use) -> str:
    if not use.pulls and tool.interval_pulls is None:
        return ""
    since = " since its calibration" if tool.calibrated_on is not None else ""
    of = f", {tool.interval_pulls} allowed" if tool.interval_pulls is not None else ""
    return f"{counted(use.pulls, one_use(tool.kind))}{since}{of}"


def _last_check(tool: Tool, use: Use) -> str:
    check = use.last_check
    if check is None:
        return ""
    worst = "" if check.worst is None else f", worst {signed(check.worst, tool.permissible_deviation)}"
    return f"last check {check.on}, {check.series}: {marked(check.verdict)}{worst}"


def _build(tool: Tool) -> list[str]:
    parts = []
    if tool.lever is not None:
        parts.append(f"lever {show(tool.lever.value, tool.lever.unit)}")
    if tool.directions != "both":
        parts.append(f"{way_word(tool.directions)} only")
    if tool.reads_angle and tool.kind != "angle gauge":
        parts.append("shows angle too")
    if tool.gives != "click":
        parts.append("slips" if tool.gives == "slip" else "breaks over")
    if tool.follower_needle:
        parts.append("follower needle")
    if tool.only_unit:
        parts.append(f"only {tool.unit} on its scale")
    if tool.wound_down:
        to = f" to {show(tool.wound_down_to, tool.unit)}" if tool.wound_down_to is not None else ""
        parts.append(f"wind down{to} after use")
    if tool.serial is not None:
        parts.append(f"no. {tool.serial}")
    return parts


HELP_LINES = (
    "# The picture of its checks",
    "Each group is one check, its points from the lowest torque to the highest. ● passed, ! failed, ? undecided.",
    "│ reaches from the lowest reading to the highest. The dashed lines are what is allowed.",
    "A tool that was adjusted shows two groups, as found and as left.",
    "",
    "# Actions",
    "Check against a reference: the open check is resumed if there is one.",
    "Take out of service: no run offers the tool, and its label says so. A failed check does the same.",
    "Return to service: after a failed check only a passed one does this.",
    "Add pulls done elsewhere: they count towards calibration.",
    "List affected work: every run and reading since its last passed check, corrected for how far it is off.",
    "",
    "# Keys",
    "Type a number, then Enter. PgUp and PgDn turn a long page. Esc or * goes back.",
    "F1 help, F2 actions, F4 dark or bright.",
)
