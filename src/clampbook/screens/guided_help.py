"""Help at a question about a new procedure: its words, what can be answered, the key of the file, and the keys."""

from __future__ import annotations

from clampbook.help.keys import explain, header_of
from clampbook.procedure.guided.questions import Chosen, Question, Several, place_of, words_of


def about(asked: Question) -> tuple[str, ...]:
    """The question, its choices or examples, and last the key of the file in one line."""
    choices = tuple(f"{number}  {words}" for number, words in enumerate(words_of(asked), 1))
    examples = tuple(f"Such as: {each}" for each in asked.examples) if isinstance(asked, Several) else ()
    return ("# This question", asked.text, *choices, *_more(asked), *examples, *_in_the_file(asked), "", "# Answers")


def _more(asked: Question) -> tuple[str, ...]:
    match asked.name:
        case "within":
            return (
                "A share is one of each round's own torque. A torque is of the last round, and each round before it "
                "gets the same share of its own.",
            )
        case _:
            return ()


def _in_the_file(asked: Question) -> tuple[str, ...]:
    table, key = place_of(asked)
    known = explain(table, key)
    if known is None:
        return ()
    below = f", below {header}" if (header := header_of(table)) else ""
    says = "" if isinstance(asked, Chosen) else f": {known.says}"
    return (f"In the file under {key}{below}{says}",)


HELP_LINES = (
    "Answer from the manual's page. What you leave out stands in the file as a comment, and no value is made up.",
    "The joint is drawn as you answer. Compare it with the manual: where number 1 stands, and which way they count.",
    "At the end the file is saved among the procedures as a draft, and opened. Where the program ends before that, "
    "your answers are offered when you start a new procedure in this book again.",
    "",
    "# Keys",
    "Enter saves an answer. On an empty field it leaves the answer out. End leaves out all the rest.",
    "Esc, ↑, or Backspace on an empty field goes one question back. An answer shown reversed is replaced as you type.",
    "Press → to edit it instead. Type - to leave out what was answered.",
    "Where choices are listed, type a number.",
)
