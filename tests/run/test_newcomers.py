"""A typed name that the book does not know: asked about before there is anybody new."""

from __future__ import annotations

import pytest

from clampbook.people import Person, find
from clampbook.run.answers import Refused
from clampbook.run.gather.asking import people_listed
from clampbook.run.gather.draft import Draft, Part, take

INES, MAUD, NEWMAN = Person("ines", "Ines"), Person("maud", "Maud"), Person("new", "New")


class Asking:
    """A question for a person, answered line by line. `entered` are the names that came into the book."""

    def __init__(self, *people: Person) -> None:
        self.part = Part("who", "Who are you?", "person", people_listed(people), people)
        self.draft: Draft | Refused = Draft("asked")
        self.entered: list[str] = []
        self._known = people

    def type(self, *lines: str) -> Person | None:
        """Who is named after these lines; None while it is still asked."""
        for line in lines:
            self.draft = take(Draft("asked"), self.part, line, self._named)
            if isinstance(self.draft, Draft) and self.draft.asks is not None:
                self.part = self.draft.asks
        return self.draft.person("who") if isinstance(self.draft, Draft) else None

    def choices(self) -> list[str]:
        """What can be chosen now."""
        return [f"{choice.key} {choice.text}" for choice in self.part.choices]

    def _named(self, typed: str) -> Person:
        known = find(self._known, typed)
        if known is not None:
            return known
        self.entered.append(typed)
        return Person(typed.casefold(), typed)


def test_the_nearest_known_is_offered_first() -> None:
    """Inez is asked about as Ines, and nobody is entered meanwhile."""
    asking = Asking(INES, MAUD)

    assert asking.type("Inez") is None
    assert "Inez is new here. Did you mean Ines?" == asking.part.text
    assert ["1 yes, Ines", "2 no, add Inez as a new person"] == asking.choices()
    assert [] == asking.entered


def test_the_nearest_known_is_the_person_meant() -> None:
    """Yes names Ines, and nobody is entered."""
    asking = Asking(INES, MAUD)

    assert INES == asking.type("Inez", "1")
    assert [] == asking.entered


@pytest.mark.parametrize("typed", ["I", "In", "in.", "i."])
def test_initials_are_those_of_somebody_known(typed: str) -> None:
    """I on a form is Ines, and 1 names her."""
    asking = Asking(MAUD, INES)

    assert asking.type(typed) is None
    assert f"{typed} is new here. Did you mean Ines?" == asking.part.text
    assert INES == asking.type("1")
    assert [] == asking.entered


def test_initials_of_several_are_asked_about_by_all_their_names() -> None:
    """M may be Maud or Marta; that somebody is new comes last."""
    marta = Person("marta", "Marta")
    asking = Asking(INES, MAUD, marta)

    assert asking.type("M") is None
    assert "M is new here. Whom did you mean?" == asking.part.text
    assert ["1 Maud", "2 Marta", "3 none of these, add M as a new person"] == asking.choices()
    assert marta == asking.type("2")


def test_another_name_is_not_offered_for_a_new_one() -> None:
    """Jonas shares three letters with Tomas, and is somebody else."""
    asking = Asking(Person("tomas", "Tomas"), INES)

    assert asking.type("Jonas") is None
    assert "Jonas is new here. Add Jonas as a new person?" == asking.part.text


def test_somebody_new_is_entered_once_that_is_said() -> None:
    """No enters Inez, as she was typed."""
    asking = Asking(INES, MAUD)

    assert Person("inez", "Inez") == asking.type("Inez", "2")
    assert ["Inez"] == asking.entered


def test_a_name_like_no_other_is_asked_about_too() -> None:
    """It is added, or typed again: then the first question stands there as before."""
    asking = Asking(INES, MAUD)

    assert asking.type("Okke") is None
    assert "Okke is new here. Add Okke as a new person?" == asking.part.text
    assert asking.type("2") is None
    assert "Who are you?" == asking.part.text
    assert MAUD == asking.type("Maud")
    assert [] == asking.entered


@pytest.mark.parametrize("typed", ["Ines", "ines", " INES ", "1"])
def test_somebody_known_is_not_asked_about(typed: str) -> None:
    """By name in any case, by id, or by number."""
    asking = Asking(INES, MAUD)

    assert asking.type(typed) is not None
    assert "Who are you?" == asking.part.text


def test_a_book_without_people_asks_nothing() -> None:
    """The first person there is comes in by typing a name."""
    asking = Asking()

    assert Person("inez", "Inez") == asking.type("Inez")
    assert ["Inez"] == asking.entered


def test_the_question_takes_nothing_but_its_choices() -> None:
    """Another name is no answer to it; the question stays."""
    asking = Asking(INES, MAUD)

    assert asking.type("Inez", "Maud") is None
    assert isinstance(asking.draft, Refused)
    assert INES == asking.type("1")


def test_somebody_who_is_called_new_is_somebody_known() -> None:
    """Yes means them, and enters nobody."""
    asking = Asking(INES, NEWMAN)

    assert NEWMAN == asking.type("Nev", "1")
    assert [] == asking.entered


def test_a_name_that_several_people_have_is_refused() -> None:
    """Only an id tells them apart."""
    asking = Asking(INES, Person("ines-2", "Ines"))

    assert asking.type("ines") is None
    assert isinstance(asking.draft, Refused)
    assert "Type an id: ines, ines-2." in asking.draft.sentence
