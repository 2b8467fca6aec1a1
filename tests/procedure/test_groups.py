"""Groups of fasteners: positions, order, sets, neighbours and figures."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampbook.procedure.model import FastenerSet, Group, Prevailing
from clampbook.units import Quantity

from .written import HEAD, STAGE, keys, procedure, sheet


def group(lines: str) -> Group:
    """The one group of a file with a row of positions."""
    return procedure(sheet(group=lines)).groups[0]


def in_rows(lines: str) -> Group:
    """One group in two rows: 1 3 5 above 2 4 6."""
    layout = '\n[layout]\nrows = ["1 3 5", "2 4 6"]\n'
    return procedure(f'{HEAD}{layout}\n[[group]]\nname = "Bolts"\n{lines}{STAGE}').groups[0]


@pytest.mark.parametrize(
    ("lines", "order"),
    [
        ("", "1 3 5 2 4 6"),
        ('sequence = "listed"\n', "1 3 5 2 4 6"),
        ('sequence = "numbered"\n', "1 2 3 4 5 6"),
        ('sequence = "numbered"\nreversed = true\n', "6 5 4 3 2 1"),
        ('order = [3, 4, "1-2", 6, 5]\n', "3 4 1 2 6 5"),
        ('order = "3, 4, 1-2, 6, 5"\nreversed = true\n', "5 6 2 1 4 3"),
        ('positions = "6, 1-2"\n', "6 1 2"),
    ],
)
def test_order_of_a_group(lines: str, order: str) -> None:
    """Worked out, or written out, or both backwards; as listed where nothing is said."""
    assert tuple(order.split()) == in_rows(lines).order


def test_star_order_on_a_circle() -> None:
    """Eight bolts in the order that manuals draw (see tests/reference)."""
    text = f'{HEAD}\n[layout]\ncircle = 8\n\n[[group]]\nname = "Bolts"\nsequence = "cross"\n{STAGE}'

    assert tuple("15372648") == procedure(text).groups[0].order


def test_what_fits_where() -> None:
    """Long and short bolts of one group."""
    found = group('fits = { "1-2" = "M10 x 91 mm", "3, 4" = "M10 x 79.5 mm" }\n').fits

    assert {"1": "M10 x 91 mm", "2": "M10 x 91 mm", "3": "M10 x 79.5 mm", "4": "M10 x 79.5 mm"} == found


def test_neighbours_are_those_of_the_picture_unless_the_file_says_otherwise() -> None:
    """Every position has its neighbours; one can be written over."""
    found = in_rows('neighbours = { "3" = "1, 5" }\n').neighbours

    assert {"1", "2", "3", "4", "5", "6"} == set(found)
    assert (("3", "2"), ("1", "5")) == (found["1"], found["3"])


def test_sets_stand_in_their_own_order() -> None:
    """As they are written, or in set_order."""
    written = 'sets = { "cap 1" = "1-2", "cap 2" = [4, 3] }\n'

    assert (FastenerSet(name="cap 1", positions=("1", "2")), FastenerSet(name="cap 2", positions=("4", "3"))) == (
        group(written).sets
    )
    assert ["cap 2", "cap 1"] == [each.name for each in group(written + 'set_order = ["cap 2", "cap 1"]\n').sets]


def test_figures_are_kept_as_typed() -> None:
    """Quantities keep number and unit, friction is a band."""
    found = group(
        'grip = "72 mm"\ntarget = "184,4 lbf·ft"\nfriction = { thread = [0.10, 0.14], head = [0.1, 0.2] }\n'
        "tightenings_at_most = 5\nleft_hand = true\n"
    )

    assert (Quantity(Decimal(72), "mm"), Quantity(Decimal("184.4"), "lbf·ft")) == (found.grip, found.target)
    assert ((0.10, 0.14), (0.1, 0.2)) == (found.friction_thread, found.friction_head)
    assert (5, True) == (found.tightenings_at_most, found.left_hand)


@pytest.mark.parametrize(("written", "one"), [("", None), ('one = "Cap bolt"\n', "Cap bolt")])
def test_a_group_may_say_what_one_of_it_is_called(written: str, one: str | None) -> None:
    """Nothing is made up where it does not."""
    assert one == group(written).one


def test_prevailing_torque_keeps_its_rule() -> None:
    """Published rules differ, so that the sheet says which."""
    lines = 'prevailing = "measure"\nprevailing_rule = "from a third"\nprevailing_least = "2 N·m"\n'

    assert Prevailing(rule="from a third", least=Quantity(Decimal(2), "N·m")) == group(lines).prevailing


def test_prevailing_torque_has_an_upper_limit_beside_the_lower() -> None:
    """Too much of it is a damaged thread, as too little is a worn nut."""
    lines = (
        'prevailing = "measure"\nprevailing_rule = "always"\nprevailing_least = "2 N·m"\nprevailing_most = "8 N·m"\n'
    )
    found = group(lines).prevailing

    assert found is not None
    assert (Quantity(Decimal(2), "N·m"), Quantity(Decimal(8), "N·m")) == (found.least, found.most)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ('fits = { "1-2" = "long", "2-3" = "short" }\n', [("group[1].fits.2-3", "E211")]),
        ('fits = { "9" = "long" }\n', [("group[1].fits.9", "E214")]),
        ('neighbours = { "9" = "1" }\n', [("group[1].neighbours.9", "E214")]),
        ('neighbours = { "1" = "1, 2" }\n', [("group[1].neighbours.1", "E210")]),
        ('neighbours = { "1" = "7" }\n', [("group[1].neighbours.1", "E214")]),
        ('order = "1-3"\n', [("group[1].order", "E215")]),
        ('order = "1-4, 2"\n', [("group[1].order", "E211")]),
        ('order = "1-5"\n', [("group[1].order", "E214")]),
        ('order = "1-4"\nsequence = "cross"\n', [("group[1].order", "E242")]),
        ('sets = { a = "1-2", b = "2-4" }\n', [("group[1].sets.b", "E211")]),
        ('sets = { a = "1-2", b = "3" }\n', [("group[1].sets", "E222")]),
        ('sets = { a = "1-2", b = "3-5" }\n', [("group[1].sets.b", "E214")]),
        ('sets = { "a/b" = "1-4" }\n', [('group[1].sets."a/b"', "E210")]),
        ('sets = { a = "1-2", b = "3-4" }\nset_order = ["a"]\n', [("group[1].set_order", "E222")]),
        ('sets = { a = "1-2", b = "3-4" }\nset_order = ["a", "b", "a"]\n', [("group[1].set_order", "E211")]),
        ('set_order = ["a"]\n', [("group[1].set_order", "E222")]),
        ('prevailing = "measure"\n', [("group[1].prevailing", "E228")]),
        ('prevailing_rule = "always"\n', [("group[1].prevailing_rule", "E228")]),
        ('prevailing_least = "2 N·m"\n', [("group[1].prevailing_least", "E228")]),
        ('prevailing_most = "8 N·m"\n', [("group[1].prevailing_most", "E228")]),
        (
            'prevailing = "measure"\nprevailing_rule = "always"\n'
            'prevailing_least = "8 N·m"\nprevailing_most = "2 N·m"\n',
            [("group[1].prevailing_most", "E204")],
        ),
        (
            'prevailing = "measure"\nprevailing_rule = "always"\nprevailing_most = "30°"\n',
            [("group[1].prevailing_most", "E202")],
        ),
        ("nut_factor = [0.2, 0.1]\n", [("group[1].nut_factor", "E237")]),
        ("nut_factor = [0, 0.1]\n", [("group[1].nut_factor", "E237")]),
        ("nut_factor = [12, 16]\n", [("group[1].nut_factor", "E237")]),
        (
            "nut_factor = [0.1, 0.2]\nfriction = { thread = [0.1, 0.1], head = [0.1, 0.1] }\n",
            [("group[1].nut_factor", "E237")],
        ),
        ("friction = { thread = [0.1, 0.1] }\n", [("group[1].friction.head", "E116")]),
        ('grip = "72"\n', [("group[1].grip", "E118")]),
        ('grip = "72 N·m"\n', [("group[1].grip", "E202")]),
        ('target = "0 N·m"\n', [("group[1].target", "E207")]),
        ('finish_within = "20 min"\n', [("group[1].finish_within", "E241")]),
        ("tightenings_at_most = 0\n", [("group[1].tightenings_at_most", "E120")]),
        ('name2 = "x"\n', [("group[1].name2", "E115")]),
        ('fastener = "new"\n', [("group[1].fastener", "E119")]),
        ("prepare = 'Holes dry'\n", [("group[1].prepare", "E117")]),
    ],
)
def test_group_that_makes_no_sense(lines: str, expected: list[tuple[str, str]]) -> None:
    """What is wrong with a group is told at its key, each slip once."""
    assert expected == keys(sheet(group=lines))


def test_two_groups_share_no_position_and_no_name() -> None:
    """A fastener belongs to one group."""
    two = '\n[[group]]\nname = "A"\npositions = "1-4"\n\n[[group]]\nname = "A"\npositions = "4-6"\n'

    assert [("group[2].name", "E221"), ("group[2].positions", "E213")] == keys(f'{HEAD}{two}{STAGE}group = "A"\n')


def test_a_group_below_its_own_table_is_told() -> None:
    """A key of the group that stands below [group.friction] belongs to that table for TOML."""
    lines = '[group.friction]\nthread = [0.1, 0.2]\nhead = [0.1, 0.2]\nsequence = "numbered"\n'

    assert [("group[1].friction.sequence", "E107")] == keys(sheet(group=lines))


@pytest.mark.parametrize(
    ("name", "positions", "one"),
    [("Castle nut", "1", "Castle nut"), ("Castle nuts", "1", None), ("Row A", "1-2", None)],
)
def test_a_single_fastener_is_called_by_its_group(name: str, positions: str, one: str | None) -> None:
    """A name that is no plural is that of the one there is, "Castle nut 1"; a row has several."""
    layout = '\n[layout]\nrows = ["1 2"]\n'
    text = f'{HEAD}{layout}\n[[group]]\nname = "{name}"\npositions = "{positions}"\n{STAGE}'

    assert one == procedure(text).groups[0].one
