"""A script that walks the Whinchat's cylinder head: what is typed at each question, and what goes wrong on the way."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from piping import Asked

HEAD = "whinchat-pattern-c-head"
IN_TWO = "5.1/3"  # turned in two strokes
FIRST_STROKE = "45"  # degrees; after it a break finds the bolt that far from its mark
Question = tuple[str, str | None]  # kind and step

# Where things do not go smoothly: question -> the answers to it, first to last; after the last the usual one.
UNUSUAL: dict[Question, tuple[tuple[str, ...], ...]] = {
    ("tighten", "1.1/6"): (("-", "2"),),  # the socket slipped before it clicked
    ("decide", "1.1/6"): (("1",),),  # pull again
    ("tighten", "1.1/8"): (("* 2", "9", "1"),),  # 9 was pulled instead of 8
    ("tighten", "2.1/12"): (("* 3", "1"),),  # skipped, done at the end of the round
    ("set_tool", "3.1/1"): (("* 8", "2"),),  # W5 instead of W1: readings from here on
    ("tighten", "3.1/4"): (("32.0",),),  # over
    ("decide", "3.1/4"): (("1", "1"),),
    ("tighten", "3.1/7"): (("40", "29.6 lbf·ft"),),  # in unusual at first, then with its unit
    ("tighten", "3.1/9"): (("28.8",),),
    ("tighten", "3.1/10"): (("* 1", "29.3", "1"),),  # 28.8 was mistyped
    ("measure", "4.1/middle"): (("/ read twice, from both sides",),),
    ("turn", IN_TWO): ((FIRST_STROKE,), ("46",)),  # two strokes
    ("turn", "5.2/5"): (("99",),),  # over
    ("decide", "5.2/5"): (("1", "1"),),
    ("turn", "5.2/8"): (("97",),),  # over again, and left so
    ("decide", "5.2/8"): (("3", "1", "Okke"),),
    ("turn", "6.1/11"): (("* 10", "Tomas", "-"),),  # another person goes on
}


def question(asked: Asked) -> Question:
    """What a question is about."""
    return asked["prompt"], asked["id"]


class Script:
    """Answers by the question alone and by how often it was answered before; so it can go on after a kill."""

    def __init__(self) -> None:
        self.given: Counter[Question] = Counter()

    def answer(self, asked: Asked) -> tuple[str, ...]:
        """The lines to type."""
        if asked["prompt"] == "step_state" and asked["id"] == IN_TWO and self.given["turn", IN_TWO]:
            return key_of(asked, "started_mark_there"), FIRST_STROKE
        before = self.given[question(asked)]
        unusual = UNUSUAL.get(question(asked), ())
        return unusual[before] if before < len(unusual) else usual(asked)

    def stored(self, asked: Asked) -> None:
        """One more answer is in the daybook."""
        self.given[question(asked)] += 1


def usual(asked: Asked) -> tuple[str, ...]:
    """The answer where all goes well."""
    keys = [choice["key"] for choice in asked["choices"]]
    match asked:
        case {"prompt": "take_tool", "stage": stage, "text": text}:
            return ("W5" if "shows the torque" in text else {1: "W2", 2: "W1", 5: "G1", 6: "G1"}.get(stage, "W5"),)
        case {"prompt": "set_tool", "set_tool_to": to}:
            return (f"{to['value']} {to['unit']}",)
        case {"prompt": "tighten", "position": position} if "+" not in keys:
            return (f"{reading(asked) + Decimal(int(position) % 4) / 10:.1f}",)
        case {"prompt": "turn", "target": target}:
            return (f"{target['value'] + 2:.0f}",)
        case {"prompt": "measure", "unit": "lbf·ft"}:
            return ("52.0",)
        case {"prompt": "measure", "id": id}:
            return ("1.20" if id.endswith("front") else "1.22",)
        case {"prompt": "sign_off", "text": text}:
            return ("Maud" if "inspector" in text else "Tomas" if text.startswith("Tomas also pulled") else "Ines",)
        case {"prompt": "inspect"}:
            return ("1", "Okke")
        case {"prompt": "step_state"}:
            return (key_of(asked, "not_started"),)
        case {"prompt": "start_sheet", "unit": "h"}:
            return ("412",)
    return (next((key for key in ("+", "1") if key in keys), "10"),)


def key_of(asked: Asked, value: str) -> str:
    """The key of the choice that means this."""
    return str(next(choice["key"] for choice in asked["choices"] if choice["value"] == value))


def reading(asked: Asked) -> Decimal:
    """What the tool shows at the target, in lbf·ft: 1 lbf·ft = 1.355818 N·m (NIST SP 811, appendix B.8)."""
    return Decimal(str(asked["target"]["value"])) / Decimal("1.355818")
