"""What can be answered at every prompt, part by part: the honest answers for when something else happened."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from clampbook.run import menu
from clampbook.run.answers import (
    Answer,
    Arrived,
    BadPull,
    Broke,
    DoubtTool,
    Drop,
    GiveUp,
    HandTo,
    Hold,
    LeaveForLater,
    Note,
    Pause,
    PulledAnother,
    Refused,
    TurnMap,
    VoidStored,
)
from clampbook.run.asking import (
    CLICKED,
    KNOWN,
    labels,
    named,
    numbered,
    person,
    put_right,
    reason,
    taken_up,
    you_entered,
)
from clampbook.run.draft import NONE, Draft, Part
from clampbook.run.off_scale import typed_again
from clampbook.run.other_tools import offer_of, other_tools
from clampbook.run.places import bolt, place
from clampbook.run.progress import standing
from clampbook.run.prompts import Choice, Confirm, Prompt, Turn, Where
from clampbook.run.questions.take_tool import offered
from clampbook.run.session import Session
from clampbook.tools.model import Tool
from clampbook.units import UNITS_OF, Kind

Next = Part | Refused | Answer
NOT_KNOWN, NONE_OF_THEM, NOT_READ = "not_known", "none_of_them", "not_read"
_CLICKED = {"yes": True, "no": False, "not_sure": None}
_NONE_OF_THEM = Choice(NONE, "none of them", NONE_OF_THEM)
_TURNED = {
    "as_drawn": "as it is drawn",
    "quarter_clockwise": "a quarter turn clockwise",
    "half": "half a turn",
    "quarter_anticlockwise": "a quarter turn anticlockwise",
}
_QUARTERS = {"as_drawn": 0, "quarter_clockwise": 1, "half": 2, "quarter_anticlockwise": 3}


def _note(_: Prompt, __: Session, draft: Draft) -> Next:
    return Note(draft.text("text")) if draft.has("text") else Part("text", "What is to be noted?", "line")


def _bad_pull(prompt: Prompt, _: Session, draft: Draft) -> Next:
    """What the tool told of it: its number, or with a setting tool whether it clicked."""
    tool = _gives_a_click(prompt)
    if tool is not None and not draft.has("value"):
        if not draft.has("clicked"):
            return _clicked(tool)
        return BadPull(clicked=_CLICKED[draft.text("clicked")])
    shows = _shows_a_value(prompt)
    if shows is not None and not draft.has("value"):
        text = f"Bad pull: what did {shows.name} show, in {shows.unit}?"
        return Part("value", text, "number", (Choice(NONE, "not read", NOT_READ),), enter=NONE)
    pull = menu.pull_at(prompt)
    if isinstance(pull, Turn) and pull.by_marks and not draft.has("value"):  # a stray key must store nothing
        if not draft.has("reason"):
            return reason("void", "Bad pull: what was wrong with it?")
        return BadPull(draft.text("reason"))
    told = _value(draft, "value")
    value = None if not told else typed_again(prompt, draft, told)
    return value if isinstance(value, Part) else BadPull(value=value)


def _clicked(tool: Tool) -> Part:
    return Part("clicked", f"Did {tool.name} click?", "choice", numbered(CLICKED))


def _gives_a_click(prompt: Prompt) -> Tool | None:
    """The setting tool of this pull; None where a number is typed, or a turn goes by the mark."""
    pull = menu.pull_at(prompt)
    return None if pull is None or isinstance(pull, Turn) or pull.reading else pull.tool


def _correct(_: Prompt, session: Session, draft: Draft) -> Next:
    progress = session.progress
    if not progress.last_answer:
        return Refused("No answer has been stored yet that could be corrected.")
    if progress.last_answer == progress.last_void and not _told_with_a_number(session):
        bad = f"{_last_place(session)}: the last answer was a bad pull"
        return Refused(f"{bad}, and no number that could be corrected stands with it.")
    if progress.last_entered is None and progress.last_answer_item is None:
        return _void_a_click(session, draft)
    if not draft.has("value"):
        item = progress.last_answer_item
        if item is not None:
            name = item.partition(":")[2] or item
            return Part("value", you_entered(name, progress.last_entered, what="answer"), "line")
        return Part("value", you_entered(_last_place(session), progress.last_entered), "number")
    if not draft.has("known"):
        return Part("known", "How is that known?", "choice", numbered(KNOWN))
    return put_right(draft, session, None)


def _told_with_a_number(session: Session) -> bool:
    """Whether the last answer, a bad pull, was told with a number that may have been mistyped."""
    plan, progress = session.plan, session.progress
    step = plan.steps[plan.index_of[progress.last_answer_step or ""]]
    state = standing(progress, step.position or "")
    return state.latest == progress.last_answer and state.latest_what == "bad pull"


def _last_place(session: Session) -> str:
    """The bolt, or the place, of the last answer that can be corrected."""
    plan, progress = session.plan, session.progress
    index = plan.index_of[progress.last_answer_step or ""]
    step = plan.steps[index]
    found = Where(index + 1, len(plan.steps), step.id, step.stage)
    found = replace(found, group=step.group, position=step.position, set=step.set, point=step.point)
    return bolt(found) if found.position is not None and found.point is None else place(found)


def _void_a_click(session: Session, draft: Draft) -> Next:
    """A click and a mark hold no number to be corrected: what can be done is to void it."""
    if not draft.has("void"):
        ways = {"void": "Void it: it was a bad pull", "leave": "Leave it"}
        text = f"{_last_place(session)}: no number was entered. Void it?"
        return Part("void", text, "choice", numbered(ways))
    if draft.text("void") == "leave":
        return Refused("Nothing was changed.")
    if not draft.has("reason"):
        return reason("void", "What was wrong with the last pull?")
    return VoidStored(draft.text("reason"), session.progress.last_answer)


def _pulled_another(prompt: Prompt, session: Session, draft: Draft) -> Next:
    if not draft.has("position"):
        others = tuple(p for p in session.plan.group_of if p != _at_hand(prompt, draft))
        return Part("position", "Which position was pulled?", "choice", labels(others))
    gives = _gives_a_click(prompt)
    if gives is not None:
        if not draft.has("clicked"):
            return _clicked(gives)
        return PulledAnother(draft.text("position"), clicked=_CLICKED[draft.text("clicked")])
    tool = _shows_a_value(prompt)
    if tool is None:
        return PulledAnother(draft.text("position"))
    if not draft.has("value"):
        return Part(
            "value", f"What does {tool.name} show for position {draft.text('position')}, in {tool.unit}?", "number"
        )
    value = typed_again(prompt, draft, draft.text("value"))
    return value if isinstance(value, Part) else PulledAnother(draft.text("position"), value)


def _shows_a_value(prompt: Prompt) -> Tool | None:
    """The tool whose number is typed at this pull; None where it only lets go or turns from mark to mark."""
    pull = menu.pull_at(prompt)
    if pull is None:
        return None
    types = not pull.by_marks if isinstance(pull, Turn) else pull.reading
    return pull.tool if types else None


def _set_aside(prompt: Prompt, _: Session, draft: Draft) -> Next:
    if draft.has("reason"):
        return LeaveForLater(draft.text("reason"))
    return reason("set aside", f"Why is position {_at_hand(prompt, draft)} set aside?")


def _at_hand(prompt: Prompt, draft: Draft) -> str | None:
    """The position at hand, once those of a block that are done are taken off."""
    done = draft.text("done up to")
    if isinstance(prompt, Confirm) and done in prompt.positions[:-1]:
        return prompt.positions[prompt.positions.index(done) + 1]
    return menu.position_at_hand(prompt)


def _broken(prompt: Prompt, __: Session, draft: Draft) -> Next:
    if not draft.has("how"):
        return Part(
            "how", "What happened to it?", "choice", numbered({"broke": "it broke", "stripped": "its thread stripped"})
        )
    reached = _reached(prompt, draft, "What torque or angle did it reach, in which unit?")
    if isinstance(reached, Part):
        return reached
    return Broke("broken" if draft.text("how") == "broke" else "stripped", reached or None)


def _never_reaches(prompt: Prompt, __: Session, draft: Draft) -> Next:
    reached = _reached(prompt, draft, "What torque did it reach, in which unit?")
    return reached if isinstance(reached, Part) else Broke("never reaches the torque", reached or None)


def _reached(prompt: Prompt, draft: Draft, text: str) -> Part | str:
    """What it reached, with its unit; a number alone is in that of the tool in hand, or its unit is asked for. Empty
    where it is not known."""
    if not draft.has("reached"):
        return Part("reached", text, "number", (Choice(NONE, "not known", NOT_KNOWN),))
    reached = _value(draft, "reached")
    if reached is None:
        return ""
    if menu.pull_at(prompt) is not None or reached.strip(" 0123456789.,"):
        return typed_again(prompt, draft, reached)
    if not draft.has("unit"):
        return Part("unit", f"{reached} in which unit?", "choice", named((*UNITS_OF[Kind.TORQUE], "°")))
    return f"{reached} {draft.text('unit')}"


def _value(draft: Draft, name: str) -> str | None:
    return None if draft.text(name) in (NOT_KNOWN, NONE_OF_THEM, NOT_READ) else draft.text(name)


def _wrong_part(_: Prompt, __: Session, ___: Draft) -> Next:
    return Broke("wrong or missing part")


def _which_in_hand(session: Session, draft: Draft, text: str) -> Part | Refused | str:
    """The id of the tool meant: the only one in hand, or the one chosen."""
    held = tuple(held.tool for held in session.progress.hand.values())
    if not held:
        return Refused("No tool is in hand.")
    if len(held) == 1:
        return held[0].id
    held = tuple(sorted(held, key=lambda tool: tool.id))
    if not draft.has("tool"):
        return Part("tool", text, "choice", numbered({tool.id: tool.name for tool in held}))
    return draft.text("tool")


def _dropped(_: Prompt, session: Session, draft: Draft) -> Next:
    tool = _which_in_hand(session, draft, "Which tool was dropped?")
    if not isinstance(tool, str):
        return tool
    if not draft.has("then"):
        ways = {"out": "it is out until it has been checked", "go_on": "go on with it all the same"}
        fallen = next(held.tool.name for held in session.progress.hand.values() if held.tool.id == tool)
        return Part("then", f"{fallen} was dropped. What becomes of it?", "choice", numbered(ways))
    if draft.text("then") == "out":
        return Drop(tool)
    if not draft.has("reason"):
        return reason("dropped", "Why does the work go on with it?")
    return Drop(tool, draft.text("reason"))


def _change_tool(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Another tool for the pull at hand, with what speaks against it; the one in use is not offered."""
    offers = tuple(offer for offer in other_tools(prompt, session) if offer.cannot is None)
    if not offers:
        return Refused("There is no other tool for this step; a tool is taken when a pull is asked for.")
    if not draft.has("tool"):
        ways = {offer.tool.id: offered(offer) for offer in offers}
        return Part("tool", "Which tool is taken up instead?", "choice", numbered(ways))
    chosen = next(offer for offer in offers if offer.tool.id == draft.text("tool"))
    return taken_up(offer_of(session, prompt, chosen, draft), draft)


def _void(_: Prompt, session: Session, draft: Draft) -> Next:
    if not session.progress.last_pull:
        return Refused("No pull has been stored yet.")
    if not draft.has("reason"):
        return reason("void", "What was wrong with the last stored pull?")
    return VoidStored(draft.text("reason"))


def _hand_over(_: Prompt, session: Session, draft: Draft) -> Next:
    to = draft.person("person")
    if to is None:
        return person("person", "Who goes on?", session)
    if not draft.has("hands"):
        return person("hands", "Does another person do the work with their hands?", session, nobody="nobody else")
    return HandTo(to, draft.person("hands"))


def _hold(_: Prompt, __: Session, draft: Draft) -> Next:
    return Hold(draft.text("reason")) if draft.has("reason") else reason("hold", "Why is the run left on hold?")


def _turn_map(_: Prompt, __: Session, draft: Draft) -> Next:
    if not draft.has("turned"):
        return Part("turned", "How should the map stand?", "choice", numbered(_TURNED))
    if not draft.has("seen"):
        ways = {"above": "from above, as drawn", "below": "from below"}
        return Part("seen", "Seen from where?", "choice", numbered(ways))
    return TurnMap(_QUARTERS[draft.text("turned")], draft.text("seen") == "below")


def _abandon(_: Prompt, __: Session, draft: Draft) -> Next:
    if not draft.has("reason"):
        return reason("abandon", "Why is the run given up for good?")
    if not draft.has("sure"):
        ways = {"no": "no, go on with it", "yes": "yes, give it up; it cannot be taken up again"}
        return Part("sure", "Is the run to end here?", "choice", numbered(ways))
    return GiveUp(draft.text("reason")) if draft.text("sure") == "yes" else Refused("The run goes on.")


def _doubt_tool(_: Prompt, session: Session, draft: Draft) -> Next:
    tool = _which_in_hand(session, draft, "Which tool is doubted?")
    if not isinstance(tool, str):
        return tool
    if not draft.has("reason"):
        return reason("doubt tool", "Why is it doubted?")
    return DoubtTool(tool, draft.text("reason"))


def _arrived(_: Prompt, session: Session, draft: Draft) -> Next:
    if not draft.has("position"):
        text = f"{draft.text('text')} came in, but no number is asked for here. Which position does it belong to?"
        return Part("position", text, "choice", (*labels(tuple(session.plan.group_of)), _NONE_OF_THEM))
    return Arrived(draft.text("text"), _value(draft, "position"))


def _pause(_: Prompt, __: Session, ___: Draft) -> Next:
    return Pause()


ACTS: dict[str, Callable[[Prompt, Session, Draft], Next]] = {
    "pause": _pause,
    "note": _note,
    "bad pull": _bad_pull,
    "correct": _correct,
    "pulled another": _pulled_another,
    "set aside": _set_aside,
    "broken": _broken,
    "never reaches": _never_reaches,
    "wrong part": _wrong_part,
    "dropped": _dropped,
    "change tool": _change_tool,
    "void": _void,
    "hand over": _hand_over,
    "hold": _hold,
    "turn map": _turn_map,
    "abandon": _abandon,
    "doubt tool": _doubt_tool,
    "arrived": _arrived,
}

# These leave the count of pulls alone; all others first ask how many of a block of pulls are done.
_NO_COUNT = frozenset({"note", "turn map", "arrived"})
_AT_ONE_POSITION = frozenset({"bad pull", "pulled another", "set aside", "broken", "never reaches", "wrong part"})


def done_up_to(prompt: Prompt, draft: Draft) -> Part | None:
    """What must be known first where several pulls are confirmed in one answer: how far they are done."""
    if not isinstance(prompt, Confirm) or not prompt.positions or prompt.pull is None:
        return None
    if draft.act not in ACTS or draft.act in _NO_COUNT or draft.has("done up to"):
        return None
    positions = prompt.positions[:-1] if draft.act in _AT_ONE_POSITION else prompt.positions
    if not positions:
        return None
    choices = (*labels(positions), _NONE_OF_THEM)
    return Part("done up to", "Done up to which position?", "choice", choices)
