"""The choice of a tool to pick up: the tools that could be thought of, each with its reasons."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Refused, TakeUp
from clampbook.run.fold import trouble
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.fold.tools import without
from clampbook.run.gather.chosen_tool import taken_up
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.in_hand.ask_for import offers, wanted_at, way_through
from clampbook.run.in_hand.measuring import NOT_LISTED, serving
from clampbook.run.in_hand.offers import ToolWay, another_serial, sentences
from clampbook.run.in_hand.on_paper import NOT_ON_FORM, not_on_form
from clampbook.run.in_hand.other_tools import offer_of, through_at
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import InHand, Progress
from clampbook.run.prompts import Choice, Prompt, TakeTool, ToolOffer
from clampbook.run.session import Session
from clampbook.run.told.places import bolt, place, within_a_sentence
from clampbook.run.told.words import Facts, Words, window_in
from clampbook.text import as_sentence
from clampbook.tools.adapting import measured
from clampbook.tools.against import before_taking, cause, clause
from clampbook.tools.demand import Demand
from clampbook.tools.model import SHOWN_BY, Tool
from clampbook.tools.state import unchecked
from clampbook.units import Quantity, show_span

_TERMS = ("setting tool", "indicating tool", "window")
_ORDER = "best first"
_KINDS = {"torque": "a torque tool", "reading": "a tool that shows torque", "angle": "an angle gauge"}


def keys(prompt: TakeTool) -> Keys:
    """A tool by its number, its name, or its id."""
    return Keys(listed(prompt.offers))


def listed(offers: tuple[ToolOffer, ...]) -> tuple[Choice, ...]:
    """The tools as choices, each by its number, its name, or its id."""
    return tuple(_choice(number, offer) for number, offer in enumerate(offers, 1))


def _choice(number: int, offer: ToolOffer) -> Choice:
    tool = offer.tool
    return Choice(str(number), offered(offer), tool.id, TakeUp(tool.id), (tool.name.casefold(), tool.id.casefold()))


def offered(offer: ToolOffer) -> str:
    """A tool in one line: name, kind, scale, and its reasons."""
    tool = offer.tool
    reach = (show_span(tool.minimum, tool.maximum, tool.unit),) if tool.maximum is not None else ()
    named: tuple[str, ...] = (tool.name, tool.kind, *reach)
    if tool.kind in ("marks", "not listed"):
        named = ("turn by the mark",) if tool.kind == "marks" else (tool.name,)
    before = ("used last time",) if offer.last and not offer.on_form else ()
    word = None if offer.on_form else before_taking(offer.against, open=offer.open)
    needed = () if word is None else (word,)
    told = (f"cannot: {offer.cannot}",) if offer.cannot else (*needed, *map(clause, offer.against))
    own = f"{tool.name}: "
    return " · ".join((*named, *before, *(each.replace(own, "", 1) for each in (*told, *offer.notes))))


def words(prompt: TakeTool) -> Words:
    """Say for which bolt, and which kind of tool."""
    possible = sum(offer.cannot is None for offer in prompt.offers)
    facts = Facts(
        target=None if prompt.target is None else Quantity(prompt.target, prompt.unit or ""),
        window=window_in(prompt.window, prompt.unit or ""),
        needs_adapter=prompt.adapter,
    )
    return Words(_sentence(prompt, possible), _lines(prompt, possible), terms=_TERMS, facts=facts)


def _lines(prompt: TakeTool, possible: int) -> tuple[str, ...]:
    return (
        *((_ORDER,) if possible > 1 and not prompt.where.on_form else ()),
        *((prompt.unread,) if prompt.unread is not None else ()),
    )


def _sentence(prompt: TakeTool, possible: int) -> str:
    here = within_a_sentence(bolt(prompt.where) if prompt.where.position is not None else place(prompt.where))
    if prompt.unread is not None and not possible:
        return "tools.toml cannot be read. Correct it, then resume the run."
    if prompt.lacking:
        return f"No {prompt.adapter} in tools.toml. Add one, or put the run on hold."
    if not possible:
        return f"No tool suits {here}. Add one, or put the run on hold."
    if prompt.need == "measure":
        what = within_a_sentence(prompt.what or "")
        named = what if prompt.where.position is None and prompt.where.set is None else f"{here}'s {what}"
        return f"Pick up {_instrument(prompt.offers)} for {named}."
    carrying = "" if prompt.adapter is None else f" with {prompt.adapter},"
    return f"Pick up {_KINDS[prompt.need]}{carrying} for {here}."


def _instrument(offers: tuple[ToolOffer, ...]) -> str:
    """ "a micrometer", where all that can be taken are of one kind; else "a measuring tool"."""
    kinds = {offer.tool.kind for offer in offers if offer.cannot is None and offer.tool.kind in SHOWN_BY}
    if len(kinds) != 1:
        return "a measuring tool"
    kind = kinds.pop()
    return kind if kind.endswith("s") else "an angle gauge" if kind == "angle gauge" else f"a {kind}"


def complete(prompt: TakeTool, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """With which adapter, and why, where it does not suit."""
    if not isinstance(begun, TakeUp):
        return begun
    chosen = next(offer for offer in prompt.offers if offer.tool.id == begun.tool)
    if chosen.cannot is not None:
        return Refused(as_sentence(chosen.cannot))
    return taken_up(offer_of(session, prompt, chosen, draft), draft, through_at(session, prompt, chosen))


def decide(session: Session, prompt: TakeTool, answer: Answer, stamp: Stamp) -> Outcome:
    """One of those that can be used."""
    if isinstance(answer, TakeUp):
        return take(session, prompt, answer, stamp)
    return Refused(f"Choose a tool: {_names(prompt.offers)}.")


def _names(offered: tuple[ToolOffer, ...]) -> str:
    return ", ".join(each.tool.name for each in offered if each.cannot is None) or "none in this book"


def take(session: Session, prompt: Prompt, answer: TakeUp, stamp: Stamp) -> Outcome:
    """A tool is picked up, where one is asked for or instead of the one in hand."""
    if isinstance(prompt, TakeTool) and prompt.need == "measure" and not prompt.offers and answer.tool == NOT_LISTED.id:
        return Accepted(not_in_the_book(session, prompt, NOT_LISTED.name, stamp))
    wanted = wanted_at(prompt, session)
    if wanted is None:
        return Refused("No tool is needed here. Pick one up when a pull comes next.")
    demand, place = wanted
    if answer.tool == NOT_ON_FORM.id and session.plan.late:
        unknown = not_on_form(demand)
        return Accepted(e.ToolTaken(**common(session, stamp, prompt), tool=unknown, need=demand.need, step=place.id))
    blank = session.plan.late and answer.adapter == NONE
    if blank:
        answer = replace(answer, adapter=None)
    told = _told_apart(session, answer)
    if told is None:
        return Refused(_not_told_apart(session, answer))
    asked, session = session, told
    offered = prompt.offers if isinstance(prompt, TakeTool) and answer.same is None else offers(session, demand)
    chosen = _chosen(offered, answer, blank=blank)
    if isinstance(chosen, Refused):
        return chosen
    offer, way = chosen
    known = way.adapter is None or way.adapter.known
    if not known:
        measured = _measured(session, demand, offer, way, answer)
        if isinstance(measured, Refused):
            return measured
        way = measured
    reason = foreign.clean(answer.reason, what="the reason") if way.against and answer.reason else None
    use = session.use(offer.tool.id)
    was = asked.use(offer.tool.id).serial_was
    another = session.another(offer.tool.id) or None
    return Accepted(
        e.ToolTaken(
            **common(session, stamp, prompt),
            tool=offer.tool,
            need=demand.need,
            step=place.id,
            against=way.against,
            reason=reason,
            adapter=way.adapter,
            demanded=demand.adapter,
            measured=None if known else True,
            last_check=use.last_check,
            pulls=use.pulls if offer.tool.id in session.uses else None,
            troubles=unchecked(offer.tool, use.troubles),
            serial_was=was,
            same=answer.same if was is not None else None,
            another=another,
            adapter_blank=True if blank else None,
        )
    )


def not_in_the_book(session: Session, prompt: TakeTool, name: str, stamp: Stamp) -> e.ToolTaken:
    """A tool that measured where the book has none that could: by the name that stands on a form, or by none."""
    tool = replace(NOT_LISTED, name=name, unit=prompt.unit or "")
    return e.ToolTaken(**common(session, stamp, prompt), tool=tool, need=prompt.need, step=prompt.where.id)


def _chosen(offered: tuple[ToolOffer, ...], answer: TakeUp, *, blank: bool) -> tuple[ToolOffer, ToolWay] | Refused:
    """Find the tool that was named, and how it is used; a reason is wanted where something speaks against it."""
    named = answer.tool.casefold()
    offer = next((each for each in offered if named in (each.tool.id.casefold(), each.tool.name.casefold())), None)
    if offer is None:
        known = _names(offered)
        return Refused(f"{foreign.printable(answer.tool)} is not a tool for this step. Choose {known}.")
    way = offer.way(answer.adapter)
    if way is None and blank:
        return offer, offer.with_any_adapter
    if way is None and answer.adapter is None:
        known = ", ".join(each.adapter.name for each in offer.ways if each.adapter is not None)
        return Refused(f"Choose what is on {offer.tool.name}: {known}.")
    if way is None:
        return Refused(f"{foreign.printable(answer.adapter or '')} is not an adapter for {offer.tool.name}.")
    return _as_it_suits(offer, way, answer) if way.adapter is None or way.adapter.known else (offer, way)


def _as_it_suits(offer: ToolOffer, way: ToolWay, answer: TakeUp) -> tuple[ToolOffer, ToolWay] | Refused:
    if way.cannot is not None:
        return Refused(as_sentence(way.cannot))
    if way.against and not offer.on_form and not (answer.reason or "").strip():
        return Refused(f"{sentences(offer.tool, way.against)} Give a reason to use {offer.tool.name} anyway.")
    return offer, way


def _measured(session: Session, demand: Demand, offer: ToolOffer, way: ToolWay, answer: TakeUp) -> ToolWay | Refused:
    """The way through an adapter whose length or angle was typed with the answer."""
    assert way.adapter is not None
    adapter = measured(way.adapter, answer.length, answer.angle)
    if isinstance(adapter, str):
        return Refused(adapter)
    found = _as_it_suits(offer, way_through(session, demand, offer.tool, adapter), answer)
    return found if isinstance(found, Refused) else found[1]


def _named(session: Session, name: str) -> Tool | None:
    return next((each for each in session.tools if name.casefold() in (each.id, each.name.casefold())), None)


def _told_apart(session: Session, answer: TakeUp) -> Session | None:
    """The session in which it is known whether this is the same tool; None where that is still to be said."""
    tool = _named(session, answer.tool)
    if tool is None or session.use(tool.id).serial_was is None:
        return session
    return None if answer.same is None else session.told_apart(tool.id, same=answer.same)


def _not_told_apart(session: Session, answer: TakeUp) -> str:
    tool = _named(session, answer.tool)
    was = None if tool is None else session.use(tool.id).serial_was
    assert tool is not None and was is not None, "asked only of such a tool"
    return another_serial(tool, was)


def fold(plan: Plan, progress: Progress, event: e.ToolTaken) -> Progress:
    """A tool is picked up, or again: it serves what it was asked for, and an indicating one also for readings. One that
    is in trouble is zeroed, or set, anew. One that tools.toml does not have is in no hand."""
    if event.another or event.same is False:
        progress = _begun_anew(progress, event)
    progress = trouble.known_of(progress, event)
    tool = event.tool
    before = progress.hand.get(tool.id)
    held = InHand(tool=tool, taken=event.seq, good_since=event.seq) if before is None else replace(before, tool=tool)
    if (tool.id in progress.troubles or tool.id in progress.failed) and not plan.late:
        held = replace(held, zeroed=False, set_to=None)
    held = replace(held, adapter=event.adapter, demanded=event.demanded)
    if event.measured and event.adapter is not None and event.adapter.extension is not None:
        lengths = progress.lengths.insert(event.adapter.id, event.adapter.extension)
        progress = replace(progress, lengths=lengths)
    if tool.kind == "not listed" and event.need == "measure":
        return replace(progress, using=progress.using.insert(_serves(plan, event), tool.id))
    using = progress.using.insert(_serves(plan, event), tool.id)
    if tool.kind == "indicating" and event.need == "torque":
        using = using.insert("reading", tool.id)
    if plan.late and event.against and event.reason is None:
        progress = replace(progress, deviations=progress.deviations + 1)
        progress = trouble.borne(progress, tool.id, map(cause, event.against), "")
    if event.reason is not None:
        progress = replace(progress, deviations=progress.deviations + 1)
        progress = trouble.borne(progress, tool.id, map(cause, event.against), event.reason)
    if tool.serial is not None:
        progress = replace(progress, serials=progress.serials.insert(tool.id, tool.serial))
    return replace(progress, hand=progress.hand.insert(tool.id, held), using=using)


def _serves(plan: Plan, event: e.ToolTaken) -> str:
    """Tell what it serves: a need, or the measuring of one stage."""
    if event.need != "measure" or event.step is None:
        return event.need
    return serving(plan.steps[plan.index_of[event.step]].stage)


def _begun_anew(progress: Progress, event: e.ToolTaken) -> Progress:
    """Begin anew with an id that another tool had before: nothing that the run knows of that one is of this one."""
    id = event.tool.id
    progress = trouble.another(replace(progress, scales=progress.scales - {id}), id, event.seq)
    return replace(progress, hand=progress.hand.discard(id), using=without(progress, id))


def acts(line: Line, event: e.ToolTaken) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.ToolTaken, plan: Plan, tools: Tools) -> str:
    """Tell which one, and why anyway."""
    del tools
    if event.tool.id == NOT_ON_FORM.id:
        return "No tool stands on the form. The record will say so."
    if event.tool.kind == "not listed" and event.tool.name != NOT_LISTED.name:
        return f"{event.tool.name}. It is not in tools.toml."
    if event.tool.kind == "not listed":
        return "The record will say that this measuring tool is not known."
    if plan.late:
        return f"{event.tool.name}."
    return f"{event.tool.name} in hand{f', used anyway: {event.reason}' if event.reason else ''}."
