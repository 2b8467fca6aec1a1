"""A thread or a class that no table has is taken, and told at once."""

from __future__ import annotations

import pytest

from clampbook.procedure.guided.answers import Answers
from clampbook.procedure.guided.remarks import remark


@pytest.mark.parametrize("thread", ["99999999", "abc"])
def test_a_thread_that_is_none_is_told(thread: str) -> None:
    """With how threads are written."""
    told = remark("thread", Answers(thread=thread))

    assert told.startswith(f"“{thread}” is not a thread known here. Write it like M10")
    assert told.endswith("Taken as typed, without an estimate.")


def test_a_class_that_is_none_is_told() -> None:
    """Whatever the thread is."""
    told = remark("property_class", Answers(thread="abc", property_class="xyz"))

    assert told.startswith("“xyz” is not a class of ISO 898-1, SAE J429 or ISO 3506.")


@pytest.mark.parametrize(("name", "answer"), [("thread", "M12"), ("thread", "3/8-16 UNC"), ("property_class", "A2-70")])
def test_nothing_is_said_of_what_a_table_has(name: str, answer: str) -> None:
    """Nor of what was left out."""
    assert "" == remark(name, Answers().giving(name, answer))
    assert "" == remark(name, Answers())
