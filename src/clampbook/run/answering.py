"""What the lines at a prompt come to, once it is known which of its own acts they began."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, assert_never

from clampbook.people import Person
from clampbook.run import kinds
from clampbook.run.answers import (
    Finish,
    Found,
    GiveUp,
    Hold,
    LeaveOut,
    Plus,
    PutBack,
    Refused,
    Resolve,
    ScaleShows,
    Sign,
    SkipSignOff,
    Value,
    Zero,
)
from clampbook.run.anywhere import NOT_KNOWN, Next, put_right
from clampbook.run.asking import KNOWN, named, numbered, person, reason, taken_up, you_entered
from clampbook.run.draft import NONE, Draft, Part
from clampbook.run.independence import FOR_OTHERS, tie, tied
from clampbook.run.keys import can_be_typed
from clampbook.run.other_tools import offer_of
from clampbook.run.places import bolt, place
from clampbook.run.progress import COUNT_DIFFERS
from clampbook.run.prompts import (
    Choice,
    Decide,
    DecideChoice,
    Ended,
    Finished,
    Prompt,
    ReturnTool,
    SetTool,
    SignOff,
    StartSheet,
    StepState,
    TakeTool,
    ZeroTool,
)
from clampbook.run.session import Session
from clampbook.run.signing_off import cannot_sign, meaning_of, not_independent, wants_a_reason
from clampbook.unit_names import quoted

State = Literal["not begun", "begun, mark kept", "begun, not finished", "mark lost", "finished, not typed"]


def _plus(_: Prompt, __: Session, ___: Draft) -> Next:
    return Plus()


def _value(prompt: Prompt, session: Session, draft: Draft) -> Next:
    del prompt, session
    return Value(draft.text("text"))


def _leave_out(_: Prompt, __: Session, ___: Draft) -> Next:
    return LeaveOut()


def _begun(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """An answer that a choice or a text has begun is asked on by its kind."""
    assert isinstance(prompt, kinds.Asked) and draft.begun is not None
    return kinds.of(prompt).complete(prompt, session, draft.begun, draft)


def _scale(prompt: Prompt, _: Session, draft: Draft) -> Next:
    assert isinstance(prompt, SetTool)
    if draft.has("unit"):
        return ScaleShows(draft.text("number"), draft.text("unit"))
    if len(prompt.units) == 1:
        return ScaleShows(draft.text("number"), prompt.units[0])
    text = f"{draft.text('number')} in which unit? Read it off {prompt.tool.name}."
    return Part("unit", text, "choice", named(prompt.units))


def _take_up(prompt: Prompt, session: Session, draft: Draft) -> Next:
    assert isinstance(prompt, TakeTool)
    return taken_up(offer_of(session, prompt, prompt.offers, draft), draft)


def _sign(prompt: Prompt, session: Session, draft: Draft) -> Next:
    assert isinstance(prompt, SignOff)
    signer = draft.person("person")
    if signer is None:
        asked = f"Who signs as {prompt.role}?"
        return person("person", asked, session, worked=not_independent(prompt), of=prompt.left)
    meaning = meaning_of(prompt, signer.id)
    if not wants_a_reason(meaning) or cannot_sign(session.progress, prompt, signer) is not None:
        return Sign(signer)
    if not draft.has("reason"):
        return reason("same person", _why_this_person(prompt, session, signer, meaning))
    return Sign(signer, draft.text("reason"))


def _why_this_person(prompt: SignOff, session: Session, signer: Person, meaning: str) -> str:
    if meaning == FOR_OTHERS:
        return f"{signer.name} did not pull in this run. Why does nobody who did sign as {prompt.role}?"
    why = tie(session.progress.shares, session.progress.at_it, signer.id)
    how = f" ({why})" if why is not None else ""
    return f"{signer.name} did the work{how}. Why does no other person sign as {prompt.role}?"


def _choice(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """A choice of the prompt itself, by kind of prompt; what it means is the value of the choice."""
    chosen = draft.text("choice")
    assert not isinstance(prompt, kinds.Asked)  # its choices begin their answers
    match prompt:
        case Decide():
            return _decide(prompt, session, draft)
        case ZeroTool():
            return Zero(_ZEROS[chosen])
        case StepState():
            return _found(prompt, draft)
        case ReturnTool():
            return PutBack(None if chosen == "put_away" else chosen == "wound_down")
        case SignOff():
            return SkipSignOff()
        case Finished():
            return _finish(draft)
        case StartSheet():
            return Plus()
        case TakeTool() | SetTool() | Ended():
            return Refused(f"{quoted(chosen)} is none of the choices. {can_be_typed(prompt)}")
        case _ as never:
            assert_never(never)


def _found(prompt: StepState, draft: Draft) -> Next:
    """What is found after a break; of a turn that was begun, how far it is from its mark in all."""
    state = _STATES[draft.text("choice")]
    if state != "begun, mark kept":
        return Found(state)
    if not draft.has("degrees"):
        text = f"{bolt(prompt.where)}: turned how far from its mark in all? Type degrees."
        return Part("degrees", text, "number", (Choice(NONE, "not known", NOT_KNOWN),))
    degrees = draft.text("degrees")
    return Found(state, None if degrees == NOT_KNOWN else degrees)


def _decide(prompt: Decide, session: Session, draft: Draft) -> Next:
    """The choice, then what it needs; a mistyped value is put right by an answer of its own."""
    way = next(way for way in prompt.choices if way.value == draft.text("choice"))
    if way.choice == "correct":
        return _value_put_right(prompt, session, draft)
    for need in way.needs:
        if not draft.has(need):
            return _asked_for(need, way, session)
    if way.choice == "hold":
        return Hold(draft.text("reason"))
    if way.choice == "abandon":
        return GiveUp(draft.text("reason"))
    back_to = int(draft.text("back to")) if draft.has("back to") else None
    return Resolve(
        way.choice, draft.text("scope") or None, draft.text("reason") or None, draft.person("person"), back_to
    )


_REACH = {
    "fastener": "this fastener alone",
    "neighbours": "this one and its neighbours",
    "group": "its whole group",
    "joint": "the whole joint, with new consumables",
}
_WHY = {
    "concession": "Why is it accepted as it is?",
    "hold": "What does the run wait for?",
    "abandon": "Why is the run given up for good?",
    "go on": "Why does the work go on?",
    "leave": "Why is it left as it was?",
    "explain": "Where does the difference come from?",
    "go back": "Why is it done again from there?",
    "the whole joint again": "Why does the joint need doing again?",
}


def _asked_for(need: str, way: DecideChoice, session: Session) -> Part:
    match need:
        case "scope":
            return Part("scope", "How far does it reach?", "choice", numbered({s: _REACH[s] for s in way.scopes}))
        case "back to":
            stages = {str(number): text for number, text in way.back_to}
            return Part("back to", "Back to which stage?", "choice", numbered(stages))
        case "person":
            worked = tied(session.progress.shares, session.progress.at_it)
            return person("person", "Which other person answers for it?", session, worked=worked)
        case _:
            usual = way.choice if way.choice in ("hold", "concession", "abandon") else "decision"
            return reason(usual, _WHY.get(way.choice, f"Why: {way.text}?"))


def _value_put_right(prompt: Decide, session: Session, draft: Draft) -> Next:
    if not draft.has("value"):
        if prompt.cause == COUNT_DIFFERS:
            return Part("value", "How many are left over?", "number")
        named = bolt(prompt.where) if prompt.position is not None else place(prompt.where)
        return Part("value", you_entered(named, _entered(prompt)), "number")
    if not draft.has("known"):
        return Part("known", "How is that known?", "choice", numbered(KNOWN))
    return put_right(draft, session, prompt.about)


def _entered(prompt: Decide) -> str | None:
    """What was typed of it: of a turn in strokes the stroke, where all of the turn was found."""
    judged = prompt.judged
    if judged is None or judged.typed is None or judged.unit != "°":
        return prompt.found
    return f"{judged.typed}°"


def _finish(draft: Draft) -> Next:
    if draft.text("choice") == "close":
        return Finish(accepted=True)
    if not draft.has("reason"):
        return reason("not accepted", "Why is the joint not accepted?")
    return Finish(accepted=False, reason=draft.text("reason"))


_ZEROS: dict[str, Literal["good", "came back wrong", "unknown"]] = {
    "good": "good",
    "wrong": "came back wrong",
    "unknown": "unknown",
}
_STATES: dict[str, State] = {
    "not_started": "not begun",
    "started_mark_there": "begun, mark kept",
    "started_not_finished": "begun, not finished",
    "started_mark_lost": "mark lost",
    "finished_not_entered": "finished, not typed",
}

ACTS: dict[str, Callable[[Prompt, Session, Draft], Next]] = {
    "choice": _choice,
    "plus": _plus,
    "value": _value,
    "begun": _begun,
    "sign": _sign,
    "scale": _scale,
    "take up": _take_up,
    "leave out": _leave_out,
}
