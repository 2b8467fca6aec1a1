"""Page one: what was done on what, from which sheet, how it ended, what was not as it should be, and the tools."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from clampbook.figures import show_day
from clampbook.record.pages.blocks import Block, Cell, Facts, Heading, Map, Sentences, Table, Title, beside
from clampbook.record.pages.departed import told
from clampbook.record.pages.headline import OUTCOMES, deviations_counted, headline, how_it_ended
from clampbook.record.pages.left_by_a_form import notices as left_by_the_form
from clampbook.record.pages.left_by_a_form import typed_in
from clampbook.record.pages.marks import marked
from clampbook.record.pages.rounds_of_a_form import nothing_stands
from clampbook.record.pages.telling import Row, Telling, corrected, day_and_time, listed, number, quantity
from clampbook.record.pages.tools import calibration, cause
from clampbook.record.sheet import ALL_NEW
from clampbook.run.gather.draft import bare
from clampbook.run.plan import Plan
from clampbook.run.questions.on_paper import NOTHING_WRITTEN
from clampbook.run.told.left_before import LEFT, at_the_bolts
from clampbook.text import counted, grouped, started

_SEALED = ("done", "accepted", "not accepted", "trial", "damaged")
_FOR_GOOD = (*_SEALED, "abandoned")

HANDED_IN = "The clock was handed in from outside: these times prove nothing."


def front(plan: Plan, telling: Telling, picture: Map | None, since: Sequence[str] = ()) -> Iterator[Block]:
    """The blocks of page one, in the order in which a reader in a hurry wants them.

    `picture` is the joint, where it is small enough for this page; `since` is what was found out after the run was
    closed: it stands in no record, and comes first.
    """
    record = telling.record
    yield Title(
        kind="Follow-up record" if plan.follow_up else "Tightening record",
        title=record["title"],
        unit=", ".join(_worked_on(telling)),
        outcome=headline(record),
        ended=_ended(record),
        notices=(
            *(f"Since this run was closed: {each}" for each in since),
            *left_by_the_form(telling),
            *_vouched(telling),
            *_notices(plan, record),
        ),
    )
    facts = tuple(_facts(plan, telling))
    if picture is None:
        yield Facts(facts, columns=2)
    else:
        yield beside((Facts(facts),), (picture,))
    yield from deviations(telling)
    yield from _tools(telling)


def _worked_on(telling: Telling) -> Iterator[str]:
    """The thing, by its name and by the answers that the archive is searched by; and which joint of it."""
    named = [telling.record[key] for key in ("equipment", "joint") if telling.record.get(key)]
    asked = [row for row in last_answers(telling) if row.get("is") == "equipment" and row["answer"] not in named]
    yield from dict.fromkeys([*named, *(f"{row['asked']} {row['answer']}" for row in asked)])


def _ended(record: Row) -> str:
    closed = f"Closed {day_and_time(record['closed_at'])}." if "closed_at" in record else "Not closed."
    told_above = record["outcome"] == "not accepted"
    reason = f" {started(record['reason'])}." if record.get("reason") and not told_above else ""
    if record["outcome"] == "damaged":
        known = f"At least {deviations_counted(record)}" if record["deviations"] else "Deviations not known"
        return f"{closed}{reason} {known}."
    counted_above = how_it_ended(record).startswith(OUTCOMES["done"])
    if record.get("from_paper"):
        closed = typed_in(record)
    return f"{closed}{reason}" if counted_above else f"{closed}{reason} {started(deviations_counted(record))}."


def _vouched(telling: Telling) -> Iterator[str]:
    """That nobody signs the seal, and each signature that was given up, by whom and why."""
    for each in telling.given.gone:
        whose = "Seal not signed" if each.number == 0 else f"No signature of {each.person.name} ({each.meaning})"
        yield f"{whose}: {each.told}."
    if telling.record["outcome"] in _SEALED and not telling.given.keyed and not telling.given.gone:
        names = "Names stand on the form" if telling.record.get("from_paper") else "Names were typed"
        yield f"{names}. Seal not signed."


def _notices(plan: Plan, record: Row) -> Iterator[str]:
    """Tell a reader what they must know before the rest."""
    if record["procedure_status"] != "released":
        why = f" ({plan.not_released})" if plan.not_released else ""
        yield f"The procedure was {'withdrawn' if record['procedure_status'] == 'withdrawn' else 'a draft'}{why}."
    if record.get("begun_despite_withdrawal"):
        yield f"Started though the procedure was withdrawn: {record['begun_despite_withdrawal']}."
    if record.get("withdrawn_on"):
        who = f"{record['withdrawn_by_name']} withdrew the procedure on {show_day(record['withdrawn_on'])}"
        yield f"During this run {who}: {record['withdrawn_because']}."
    if plan.look_again_by is not None and plan.look_again_by < record["opened_at"][:10]:
        yield f"The procedure was due for another comparison by {show_day(plan.look_again_by)}."
    for row in record.get("in_question", ()):
        last = f" to {row['until_line'] - 1}" if row.get("until_line") else " on"
        named = f"{counted(row['pulls'], 'pull')} with {row['name']} ({cause(row)})"
        yield f"In question: {named}, from line {row['since_line']}{last}."
    if record["outcome"] == "damaged":
        yield (
            f"Nothing is known after line {record['lines'] - 2} of the daybook. "
            "Numbers are the least there was. “To do” may be done."
        )
    if record.get("of_run_damaged"):
        yield f"Run {record['of_run']} had a damaged daybook. Its tightenings are not known."
    if left := tuple(at_the_bolts(plan, {how: record.get(f"of_run_left_{how}", ()) for how in LEFT})):
        yield f"Run {record['of_run']} was typed in from a paper form. {' '.join(left)}"
    for other in record.get("opened_beside", ()):
        yield f"Run {other} of this procedure was open when this one started."
    if record.get("pulled_not_signed"):
        names = record["pulled_not_signed"]
        seen = ": initials on the form, no signature." if record.get("from_paper") else " pulled and did not sign off."
        yield f"{listed(names)}{seen}"
    if record.get("joints_left_out"):
        yield f"Left out, not done in this run: {', '.join(record['joints_left_out'])}."
    if record["trial"]:
        yield "Trial assembly: no final sign-off. Its tightenings count."
    if record["outcome"] not in _FOR_GOOD:
        yield "Printed before the run ended."
    if record.get("clock"):
        yield HANDED_IN


def _facts(plan: Plan, telling: Telling) -> Iterator[tuple[str, str]]:
    record = telling.record
    revision = f"revision {record['revision']}, {record['procedure_status']}"
    yield "Procedure", f"{revision} ({plan.released})" if plan.released else revision
    if record.get("source"):
        yield "Source", record["source"]
    if record.get("accept") == "guarded":
        yield "Acceptance", "windows narrowed for the tool’s uncertainty"
    if plan.follow_up:
        then = f", there called “{record['of_follow_up']}”" if record.get("of_follow_up") else ""
        yield "Follow-up", f"{plan.follow_up}, of run {record['of_run']}{then}"
    for row in last_answers(telling):
        yield f"{row['asked']}, {ALL_NEW}" if row.get("is") == ALL_NEW else row["asked"], answered(row)
    if record.get("form"):
        yield "Paper form", f"{grouped(record['form'])} at its foot"
    if record.get("scan"):
        yield "Scan of the form", ", ".join(row["file"] for row in record["scan"])
    yield "Form begins" if telling.from_paper else "Opened", day_and_time(record["opened_at"])
    yield "People", telling.people


def last_answers(telling: Telling) -> list[Row]:
    """Each answer as it stands at the end; those that were corrected or asked again are left out."""
    gone = ("corrected_at_line", "asked_again_at_line", "left_out")
    return [row for row in telling.rows("answer") if not any(row.get(key) for key in gone)]


def answered(row: Row) -> str:
    """The answer with its unit, that it was corrected, and how much use went by since the first run."""
    unit = row.get("unit") if bare(row["answer"]) else None  # it may have been typed
    return f"{quantity(row['answer'], unit)}{corrected(row)}{_since_the_first_run(row)}"


def _since_the_first_run(row: Row) -> str:
    if "at_first_run" not in row:
        return ""
    unit = row.get("unit")
    if "since_first_run" not in row:
        return f", lower than {quantity(row['at_first_run'], unit)} at the first run"
    return f", {quantity(row['since_first_run'], unit)} since the first run"


def deviations(telling: Telling) -> Iterator[Block]:
    """Everything that departs from the procedure, with what was decided."""
    rows = telling.rows("deviation")
    yield Heading("Deviations and decisions")
    if not rows:
        yield Sentences(("None.",))
        return
    yield Table(
        head=("Where", "What", "Decided", "When, by", "Line"),
        widths=(0, 16, 11, 0, 0),
        points=(4,),
        quiet=(3, 4),
        rows=tuple(_deviation(telling, row) for row in rows),
    )


def _deviation(telling: Telling, row: Row) -> tuple[Cell, ...]:
    decided = tuple(_decision(telling, each, row) for each in row.get("decided", ()))
    made = [] if nothing_stands(row) else [telling.made_at_line(row)]  # nobody did anything at a time
    when = ", ".join([*made, telling.by(row)])
    return telling.where(row), told(telling, row), decided, when, str(row["line"])


def _decision(telling: Telling, row: Row, of: Row) -> str:
    """Tell what was chosen, why and when, and who wrote it down where that was somebody else than of the deviation."""
    wider = row.get("scope") not in (None, "fastener")
    chosen = "nothing on the form" if row["choice"] == NOTHING_WRITTEN else row["choice"]
    if chosen == "measure again" and telling.pumped_up(of) and any(each["kind"] == "under" for each in of["departed"]):
        chosen = "pump up and read again"
    choice = f"{chosen}, {row['scope']}" if wider else chosen
    person = f" by {row['person_name']} ({telling.given_as(row)})" if row.get("person_name") else ""
    back = f", back to stage {telling.stage(row['back_to_stage'])}" if row.get("back_to_stage") else ""
    again = row.get("start_over", ())
    if len(again) > 1 or (back and again):
        back += f", {listed(again)} start over"
    reason = f": {row['reason']}" if row.get("reason") else ""
    when = [telling.at(row)] if row["at"] != of["at"] else []
    when += [telling.by(row)] if telling.by(row) != telling.by(of) else []
    added = f" ({', '.join(when)})" if when else ""
    return f"{marked(choice)}{person}{back}{reason}{added}"


def _tools(telling: Telling) -> Iterator[Block]:
    yield Heading("Tools used", "details further down")
    rows = telling.rows("tool")
    if not rows:
        yield Sentences(("None.",))
        return
    yield Table(
        head=("Tool", "Kind", "Range", "Serial", "Calibration", "Used"),
        widths=(0, 0, 0, 0, 1, 0),
        rows=tuple(
            (row["name"], row["kind"], span(row), row.get("serial") or "–", calibration(row), used(row)) for row in rows
        ),
    )
    told = tuple(_told_apart(telling, rows))
    if told:
        yield Sentences(told)


def _told_apart(telling: Telling, rows: Sequence[Row]) -> Iterator[str]:
    """Tell what was answered where a serial number was another one than that under which a tool was known."""
    for tool in rows:
        for row in tool.get("taken", ()):
            if row.get("same_tool"):
                which = "The same tool" if row["same_tool"] == "yes" else "Another tool"
                was = f"{tool['name']} had serial {row['serial_was']}, now {tool['serial']}."
                yield f"{was} {which}, says {telling.by(row)} (line {row['line']})."


def used(row: Row) -> str:
    """Tell how often a tool was used, whatever it does: a pull, a stroke, a measurement are one time each. Of one that
    is not known nothing is counted."""
    return "–" if row["kind"] == "not listed" else counted(row["pulls"], "time")


def span(row: Row) -> str:
    """ "20–100 lbf·ft", or only the unit."""
    ends = [number(row[key]) for key in ("minimum", "maximum") if row.get(key)]
    if len(ends) == 1:
        return f"{'from' if row.get('minimum') else 'to'} {quantity(ends[0], row['unit'])}"
    return quantity("–".join(ends), row["unit"]) if ends else row["unit"].replace("°", "degrees")
