"""Questions that several answers have in common: for a reason, a person, a position, a tool, one of a few texts."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace as with_

from msgspec.structs import replace

from clampbook.people import Person, initials_of
from clampbook.procedure.model import Joints, Procedure
from clampbook.procedure.naming import ALL, OF_JOINT, called, joint_key, key_of, own
from clampbook.run.answers import Correct, Known, KnownOfATool, Refused
from clampbook.run.fold.independence import Tie
from clampbook.run.gather.draft import JOINTS, NONE, Draft, Part
from clampbook.run.prompts import Choice
from clampbook.run.session import Session
from clampbook.tools.model import Tool
from clampbook.units import show_day

# Reasons that come up again and again, so that a numeric pad is enough for them; each with the word of its choice.
REASONS: dict[str, dict[str, str]] = {
    "skip": {
        "no_room": "no room for the tool",
        "part": "waiting for a part",
        "look_first": "inspect first",
    },
    "hold": {"part": "waiting for a part", "person": "waiting for someone", "end_of_day": "end of the day"},
    "abandon": {
        "by_mistake": "started by mistake",
        "unusable_parts": "parts unusable",
        "start_again": "to be redone",
    },
    "void": {
        "jerk": "jerk or chatter",
        "socket_slipped": "socket slipped",
        "stopped_midway": "stopped midway",
    },
    "suspect tool": {
        "drift": "readings drift",
        "overloaded": "overloaded",
        "used_to_loosen": "used to loosen",
    },
    "dropped": {"no_other_tool": "no other tool here", "soft_fall": "short fall onto something soft"},
    "unsuitable": {"no_other_tool": "no other tool here", "agreed": "agreed with the person in charge"},
    "concession": {"agreed": "agreed with the person in charge", "no_other_fastener": "no other fastener here"},
    "withdrawn": {
        "agreed": "agreed with the person in charge",
        "begun_before": "work already started to this revision",
    },
    "same person": {"nobody_else": "nobody else here", "agreed": "agreed with the person in charge"},
    "early": {"agreed": "agreed with the person in charge", "another_clock": "time was up on another clock"},
    "not accepted": {
        "not_to_procedure": "a bolt is not to the procedure",
        "start_again": "to be redone",
    },
    "count differs": {
        "lost": "one was lost",
        "damaged": "one was damaged and thrown away",
        "spares": "spares were not counted at the start",
        "fitted_again": "one was taken out and fitted again",
    },
    "too few": {"later": "the rest comes later", "agreed": "agreed with the person in charge"},
    "go back": {"earlier_work": "an earlier stage was not right", "moved": "something moved since"},
    "the whole joint again": {"not_to_procedure": "a bolt is not to the procedure", "parts": "parts unusable"},
    "another tool": {"no_other_tool": "no other tool here", "agreed": "agreed with the person in charge"},
    "as measured": {"agreed": "agreed with the person in charge", "measured_twice": "measured twice, the same"},
    "decision": {"agreed": "agreed with the person in charge", "undamaged": "inspected, undamaged"},
}
FINAL_OR_TRIAL = {
    "final": "final",
    "trial": "trial: stages left out, no final sign-off",
}
START_OR_NOT = {"start": "start: a tool is added before the pull", "leave": "do not start"}
CLICKED = {"yes": "yes", "no": "no", "not_sure": "not sure"}
KNOWN: dict[str, KnownOfATool] = {
    "tool_shows_it": "the tool still shows it",
    "second_person": "a second person saw it",
    "from_memory": "from memory",
}
ON_FORM: Known = "it stands on the form"  # of a value that was typed wrong from there
AGAIN = "again"  # the part in which a number is typed once more
KNOWN_WITHOUT_A_TOOL: dict[str, Known] = {  # of hours, a lot or a count: no tool shows them
    "second_look": "from a second look",
    **{code: known for code, known in KNOWN.items() if known != "the tool still shows it"},
}
KNOWN_OF_LOOSE = {code: known for code, known in KNOWN_WITHOUT_A_TOOL.items() if code != "second_look"}
"""Ways in which a length of the loose fastener may be known once it is tight: nobody can look at that again."""
NOBODY = "nobody"
WHICH_RUN = "Which run do you want to resume?"
SAME_TOOL = "same_tool"
SAME_OR_ANOTHER = {"another": "another tool", "same": "the same tool (the number was mistyped)"}
WHY_ABANDON, WHY_HOLD = "Why abandon the run?", "Why on hold?"


def ways_known(by: Tool | None) -> Mapping[str, Known]:
    """Ways in which a corrected value may be known: feeler gauges show nothing, and are put in once more."""
    return KNOWN_WITHOUT_A_TOOL if by is not None and by.kind == "feeler gauges" else KNOWN


def who(people: tuple[Person, ...]) -> Part:
    """Ask who is at the keyboard."""
    text = "Who are you? Choose your name, or type a new one." if people else "Who are you? Type your name."
    return Part("who", text, "person", people_listed(people), people)


def reason(why: str, text: str) -> Part:
    """A question for a reason, with the usual ones to choose from; any other is typed."""
    return Part("reason", text, "line", numbered(REASONS[why]))


def despite(procedure: Procedure) -> Part:
    """Ask why a withdrawn procedure is started anyway."""
    said = procedure.withdrawal
    why = f" {said.by} withdrew it on {show_day(said.on)}: {said.because}." if said is not None else ""
    text = f"Revision {procedure.revision} is withdrawn.{why} Why start it anyway?"
    return Part("despite", text, "line", numbered(REASONS["withdrawn"]))


def final_or_trial() -> Part:
    """Ask what this assembly is for."""
    return Part("trial", "Is this the final assembly or a trial?", "choice", numbered(FINAL_OR_TRIAL))


def start_without_a_tool() -> Part:
    """Ask whether a run starts though no tool of the book can do its first pull."""
    return Part("without_a_tool", "Start without a tool for it?", "choice", numbered(START_OR_NOT))


def which_joint(procedure: Procedure) -> Part:
    """Ask for one of the joints that the procedure makes several times."""
    return Part("joint", "Which joint is this?", "choice", named(procedure.repeat))


def which_joints(several: Joints) -> Part:
    """Ask which of several joints are done in this run; Enter alone means all."""
    whole = {name: called(several.one, name) for name in several.names}
    each = tuple(Choice(key_of(name), whole[name], name, words=(name, whole[name])) for name in several.names)
    return Part(
        JOINTS,
        "Which joints today? Press Enter for all.",
        "positions",
        (*each, Choice(ALL, "all of them", ALL)),
        enter=ALL,
    )


def person(
    name: str,
    text: str,
    session: Session,
    *,
    nobody: str | None = None,
    worked: Collection[str] = (),
    of: tuple[Person, ...] | None = None,
    last: Person | None = None,
) -> Part:
    """A question for a person: by number from the book's people (only `of` these, if given), or by a name; `nobody`
    allows naming none. Of those who `worked` that is told, where another person is wanted; `last` is who was named
    the time before, and is offered first."""
    listed = people_listed(session.people if of is None else of, worked)
    if last in session.people and last is not None:
        listed = (Choice("+", again(last), last.id), *listed)
    return Part(name, text, "person", (*listed, *((Choice(NONE, nobody, NOBODY),) if nobody else ())), session.people)


def whose_initials(session: Session) -> Part:
    """Ask for the initials beside a row of a form: somebody of the book, or nobody. Those of one who was named on this
    form before, and of nobody else who was, need no further question."""
    asked = person("person", "Whose initials stand there?", session, nobody="none")
    progress = session.progress
    before = [one for one in session.people if one.id in {*progress.shares.pulled, *progress.done_by, progress.hands}]
    of = {one.id: initials_of(one) for one in before}
    alone = {id: (letters,) for id, letters in of.items() if list(of.values()).count(letters) == 1}
    return with_(asked, choices=tuple(replace(each, words=alone.get(each.value, ())) for each in asked.choices))


def again(person: Person) -> str:
    """The one who was named the time before, as a choice."""
    return f"{person.name} again"


def people_listed(people: tuple[Person, ...], worked: Collection[str] = ()) -> tuple[Choice, ...]:
    """People by number; of those whose ids are in `worked` it is told that they did work."""
    return tuple(
        Choice(str(n), f"{one.name}, worked on this run" if one.id in worked else one.name, one.id)
        for n, one in enumerate(people, 1)
    )


def did(name: str, why: Tie) -> str:
    """Say why somebody is no second person here: "Ines did this work"."""
    match why:
        case "pulled":
            return f"{name} did this work"
        case "typed readings":
            return f"{name} typed readings of this work"
        case "signed for the work":
            return f"{name} signed for this work"
        case "is at the work":
            return f"{name} is at this work"


def you_entered(named: str, entered: str | None, *, do: str = "Type") -> str:
    """The question for a correction, which names what is corrected."""
    said = f"you entered {entered}" if entered else "you entered nothing"
    return f"{named}: {said}. {do} what is right."


def labels(positions: tuple[str, ...], here: str | None = None) -> tuple[Choice, ...]:
    """Positions as choices: the label is the key. Of several joints those at the one `here`, or all where they are of
    one, go by the labels of its drawing, and any by joint and label: "2:1", or "2.1" on a numeric pad."""
    at_one = len({joint_key(position) for position in positions}) == 1
    return tuple(_label(position, whole=not at_one and joint_key(position) != here) for position in positions)


def _label(position: str, *, whole: bool) -> Choice:
    key = position if whole else own(position)
    other = tuple(dict.fromkeys((position, position.replace(OF_JOINT, ".")))) if OF_JOINT in position else ()
    return Choice(key, key, position, words=other)


def numbered(texts: Mapping[str, str]) -> tuple[Choice, ...]:
    """Texts as choices by number; each text stands under its value."""
    return tuple(Choice(str(n), text, value) for n, (value, text) in enumerate(texts.items(), 1))


def named(texts: Collection[str]) -> tuple[Choice, ...]:
    """Words that are their own value, such as units, as choices by number."""
    return numbered({text: text for text in texts})


def put_right(value: str, draft: Draft, session: Session, of: int | None) -> Part | Refused | Correct:
    """A correction, once it is known how its value is known; who else saw it is named."""
    if session.plan.late:
        return Correct(value, ON_FORM, of)
    ways: dict[str, Known] = {**KNOWN, **KNOWN_WITHOUT_A_TOOL}
    known = ways[draft.text("known")]
    if known == "a second person saw it" and not draft.has("person"):
        return person("person", "Who saw it?", session, nobody="nobody else")
    saw = draft.person("person")
    if draft.has("person") and saw is None:
        return Refused("Nothing changed: nobody else saw it. Correct it again, from memory.")
    return Correct(value, known, of, saw)
