"""Answers that a paper form gives otherwise than a person at the work: names, reasons and times may be missing."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook import units
from clampbook.ledger.stamp import Stamp, clock_there, in_utc, offset_of
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Answer, Refused
from clampbook.run.fold.departing import NOT_ALL_TICKED
from clampbook.run.fold.independence import meaning_of_look, tied
from clampbook.run.gather.asking import labels, person
from clampbook.run.gather.draft import FORM_TIME, NONE, Draft, Part
from clampbook.run.gather.keys import PLUS
from clampbook.run.in_hand.on_paper import NOT_ON_FORM
from clampbook.run.kinds.kind import Outcome
from clampbook.run.kinds.stamping import common
from clampbook.run.on_form.now_typed import typed_on_form
from clampbook.run.prompts import Choice, Prompt
from clampbook.run.questions.decision import parts_of
from clampbook.run.questions.signing import meaning_of
from clampbook.run.questions.take_tool import not_in_the_book
from clampbook.run.questions.typed_in import FROM_FORM, WHO_TYPED
from clampbook.run.session import Session

_NO_NAME = "no name stands there"
_WHEN, _SAME = "signed at", "same"


def complete(prompt: Prompt, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer | None:
    """Ask on for a look, a name or a decision; None of all others, which are asked on as at the work."""
    if isinstance(prompt, ask.Inspect) and isinstance(begun, a.Look):
        return _look(prompt, session, begun, draft)
    if isinstance(prompt, ask.SignOff) and isinstance(begun, a.Value):
        return _name(prompt, session, draft)
    if isinstance(prompt, ask.Decide) and isinstance(begun, a.Resolve):
        return _resolved(prompt, session, begun, draft)
    if isinstance(prompt, ask.StartSheet) and isinstance(begun, a.Ticked):
        return _ticked(prompt, draft)
    unlisted = isinstance(prompt, ask.TakeTool) and not prompt.offers  # the book has none that could measure it
    if unlisted or isinstance(prompt, ask.Wait) or (isinstance(begun, a.TakeUp) and begun.tool == NOT_ON_FORM.id):
        return begun
    return None


def _ticked(prompt: ask.StartSheet, draft: Draft) -> Part | Answer:
    """Ask for the lines of a block that are ticked; all of them are the whole block."""
    if not draft.has("ticked"):
        lines = tuple(Choice(str(n), line, str(n)) for n, line in enumerate(prompt.lines, 1))
        return Part("ticked", "Which are ticked on the form? Type their numbers.", "positions", lines)
    chosen = draft.positions("ticked")
    ticked = tuple(line for n, line in enumerate(prompt.lines, 1) if str(n) in chosen)
    return a.Plus() if len(ticked) == len(prompt.lines) else a.Ticked(ticked)


def _name(prompt: ask.SignOff, session: Session, draft: Draft) -> Part | Refused | Answer:
    """A name, and when it was written: the form has a place for that beside it. Who types signs now."""
    signer = draft.person("person")
    if signer is None:
        return person("person", "Which name?", session)
    if prompt.role == WHO_TYPED or draft.has(FORM_TIME):
        return a.Sign(signer)
    progress = session.progress
    last = clock_there(progress.at, progress.offset)
    if not draft.has(_WHEN):
        ways = (Choice(PLUS, f"{last}, as before", _SAME), Choice(NONE, "no time stands there", NONE))
        return Part(_WHEN, "Which time stands beside the name? Type it as 9:14.", "number", ways)
    typed = draft.text(_WHEN)
    if typed in (_SAME, NONE):
        return a.Sign(signer, undated=typed == NONE)
    at = typed_on_form(session, typed)
    return Refused(at) if isinstance(at, str) else a.Sign(signer, at=typed)


def _look(prompt: ask.Inspect, session: Session, begun: a.Look, draft: Draft) -> Part | Answer:
    if begun.answer != prompt.expect and prompt.candidates and not draft.has("positions"):
        return Part("positions", "Where not, on the form? Type the positions.", "positions", labels(prompt.candidates))
    looked = replace(begun, positions=draft.positions("positions"))
    if not prompt.hold_point:
        return looked
    if not draft.has("person"):
        worked = tied(session.progress.shares, session.progress.at_it)
        return person("person", "Who looked, by the name on the form?", session, nobody=_NO_NAME, worked=worked)
    return replace(looked, inspector=draft.person("person"))


def _resolved(prompt: ask.Decide, session: Session, begun: a.Resolve, draft: Draft) -> Part | Refused | Answer | None:
    """The parts of a way that stands on the form; a reason and a name may be missing there."""
    way = next(way for way in prompt.choices if way.choice == begun.choice)
    if way.choice == "correct":
        return None
    for need in way.needs:
        if draft.has(need) or (need == "scope" and way.scope is not None):
            continue
        match need:
            case "reason":
                none = Choice(NONE, "none stands there", NONE)
                return Part("reason", "Which reason stands on the form? Type it.", "line", (none,))
            case "person":
                return person("person", "Who accepted it, by the name on the form?", session, nobody=_NO_NAME)
            case _:
                return parts_of(prompt, session, way, need)
    back_to = int(draft.text("back to")) if draft.has("back to") else None
    reason = draft.text("reason")
    told = None if reason in ("", NONE) else reason
    return a.Resolve(way.choice, way.scope or draft.text("scope") or None, told, draft.person("person"), back_to)


def decide(session: Session, prompt: Prompt, answer: Answer, stamp: Stamp) -> Outcome | None:
    """The line of what stands on the form; None where the work's own question writes it."""
    if isinstance(prompt, ask.StartSheet) and isinstance(answer, a.Ticked):
        return _some_ticked(session, prompt, answer, stamp)
    if isinstance(prompt, ask.Inspect) and prompt.hold_point and isinstance(answer, a.Look):
        return _looked(session, prompt, answer, stamp)
    if isinstance(prompt, ask.SignOff) and isinstance(answer, a.Sign):
        return _signed(session, prompt, answer, stamp)
    if isinstance(prompt, ask.TakeTool) and prompt.need == "measure" and isinstance(answer, a.Value):
        return _measured_with(session, prompt, answer.text, stamp)
    if isinstance(prompt, ask.Wait) and isinstance(answer, a.Value):
        return _waited(session, prompt, answer.text, stamp)
    return None


def _some_ticked(session: Session, prompt: ask.StartSheet, answer: a.Ticked, stamp: Stamp) -> Outcome:
    """The lines that are ticked; that others are not is noted with them."""
    ticked = tuple(line for line in prompt.lines if line in answer.lines)
    if not ticked or len(prompt.lines) == 1:
        return Refused("Type the numbers of the lines that are ticked.")
    fields = common(session, stamp, prompt, *((NOT_ALL_TICKED,) if ticked != prompt.lines else ()))
    if prompt.group is not None:
        return Accepted(e.Prepared(**fields, item=prompt.item, group=prompt.group, prepared=ticked))
    return Accepted(e.CautionsRead(**fields, item=prompt.item, cautions=ticked))


def _measured_with(session: Session, prompt: ask.TakeTool, name: str, stamp: Stamp) -> Outcome:
    """A tool that the book does not list, by the name that stands on the form."""
    return Accepted(not_in_the_book(session, prompt, foreign.clean(name, what="the measuring tool"), stamp))


def _looked(session: Session, prompt: ask.Inspect, answer: a.Look, stamp: Stamp) -> Outcome:
    """A hold point, with the name that stands there; nobody signs it with a key now."""
    strangers = [foreign.printable(each) for each in answer.positions if each not in prompt.candidates]
    if strangers:
        return Refused(f"{', '.join(strangers)} is not asked about here.")
    shares, at_it, inspector = session.progress.shares, session.progress.at_it, answer.inspector
    as_expected = answer.answer == prompt.expect
    return Accepted(
        e.Inspected(
            **common(session, stamp, prompt),
            step=prompt.where.id,
            answer=answer.answer,
            as_expected=as_expected,
            positions=() if as_expected else answer.positions,
            position=prompt.position,
            inspector=inspector,
            meaning=None if inspector is None else meaning_of_look(shares, at_it, inspector.id),
        )
    )


def _signed(session: Session, prompt: ask.SignOff, answer: a.Sign, stamp: Stamp) -> Outcome:
    """A role with the name and the time on the form, never with a key; who typed it in signs as at any run."""
    typist, signer = prompt.role == WHO_TYPED, answer.person
    fields = common(session, stamp, prompt)
    if answer.at is not None and not typist:
        at = typed_on_form(session, answer.at, stamp.typed)
        if isinstance(at, str):
            return Refused(at)
        fields["at"], fields["offset"] = in_utc(at), offset_of(at)
    return Accepted(
        e.SignedOff(
            **fields,
            role=prompt.role,
            meaning=FROM_FORM if typist else meaning_of(prompt, signer.id),
            person=signer,
            key=session.keys.get(signer.id) if typist else None,
            undated=True if answer.undated else None,
        )
    )


def _waited(session: Session, prompt: ask.Wait, text: str, stamp: Stamp) -> Outcome:
    """From when, or until when, as it stands on the form: that is the time of the line itself."""
    at = typed_on_form(session, text, stamp.typed)
    if isinstance(at, str):
        return Refused(at)
    fields = common(session, stamp, prompt)
    fields["at"], fields["offset"] = in_utc(at), offset_of(at)
    if prompt.since is None:
        return Accepted(e.WaitBegun(**fields, step=prompt.where.id))
    lasts = units.plain(prompt.lasts)
    return Accepted(e.Waited(**fields, step=prompt.where.id, since=prompt.since, lasts=lasts))
