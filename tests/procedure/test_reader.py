"""A whole file: what it says as values, or everything that is wrong with it at once."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from clampbook.procedure.model import Accepted, Ask, Part, Procedure, Release, SignOff, Turn
from clampbook.procedure.reader import read_file
from clampbook.units import Quantity

from .written import HEAD, STAGE, faults, keys, procedure, sheet, stage, told

PAGE = Path(__file__).with_name("manual_page.toml")


def test_a_page_of_a_manual_reads_as_it_is_written() -> None:
    """Interleaved groups, rounds, a gate, a block, a wait and a hold point: 41 steps in seven stages."""
    page, _ = read_file(PAGE)

    assert ["tighten", "turn", "measure", "tighten", "turn", "wait", "inspect"] == [
        msgspec.to_builtins(each)["do"] for each in page.stages
    ]
    assert [("Head bolts", 10), ("Side screws", 4)] == [(group.name, len(group.positions)) for group in page.groups]
    assert {"1": "M10x1.25 x 91 mm", "5": "M10x1.25 x 79.5 mm"}.items() <= page.groups[0].fits.items()
    turn = page.stages[1]
    assert isinstance(turn, Turn)
    assert (2, Decimal(90), Decimal(94)) == (turn.rounds, turn.window.low, turn.window.high)
    assert ["Check again after first run"] == [each.title for each in page.follow_ups]


def test_values_survive_being_frozen() -> None:
    """The plan embeds these values: as JSON and back they are the same."""
    page, _ = read_file(PAGE)

    assert page == msgspec.json.decode(msgspec.json.encode(page), type=Procedure)


def test_top_of_the_file() -> None:
    """Defaults where nothing is said, and everything that can be said."""
    bare = procedure(sheet())
    said = procedure(
        sheet(
            top='source = "Workshop sheet 3 (invented)"\ncautions = ["Eyes."]\npause_limit = "5 min"\n'
            'repeat = ["port head", "starboard head"]\nstatus = "withdrawn"\n'
            "accepted = [{ query = 'W401', because = 'looked up' }]\n"
        )
    )

    assert ("draft", None, (), Decimal(600), ()) == (
        bare.status, bare.source, bare.cautions, bare.pause_limit, bare.repeat,
    )  # fmt: skip
    assert ("withdrawn", ("Eyes.",), Decimal(300), ("port head", "starboard head")) == (
        said.status, said.cautions, said.pause_limit, said.repeat,
    )  # fmt: skip
    assert (Accepted(query="W401", because="looked up"),) == said.accepted


def test_the_unit_of_the_sheet_is_taken_by_its_one_name() -> None:
    """People type it in many ways."""
    text = sheet().replace('unit = "N·m"', 'unit = "ft-lb"').replace("N·m", "ft lbs")

    assert "lbf·ft" == procedure(text).unit


def test_questions_of_the_start_sheet() -> None:
    """Each kind of answer, with limits in the unit of the answer."""
    asks = (
        '[[ask]]\nname = "Serial number"\nis = "equipment"\nrequired = true\n'
        '[[ask]]\nname = "Hours"\nanswer = "number"\nunit = "h"\nat_least = "0 h"\nis = "usage"\n'
        '[[ask]]\nname = "Shop"\nanswer = "number"\nbetween = ["5 °C", "30 °C"]\n'
        '[[ask]]\nname = "Speed"\nanswer = "number"\nunit = "rpm"\nat_most = "2400 rpm"\n'
        '[[ask]]\nname = "Washers left"\nanswer = "number"\nat_most = "4"\nwhen = "end"\n'
        '[[ask]]\nname = "Shells"\nanswer = "choice"\nchoices = ["new", "used"]\n'
        '[[ask]]\nname = "Tidy?"\nanswer = "yes"\n'
    )
    expected = (
        Ask(name="Serial number", answer="text", required=True, searched_as="equipment"),
        Ask(name="Hours", answer="number", unit="h", low=Decimal(0), searched_as="usage"),
        Ask(name="Shop", answer="number", unit="°C", low=Decimal(5), high=Decimal(30)),
        Ask(name="Speed", answer="number", unit="rpm", high=Decimal(2400)),
        Ask(name="Washers left", answer="number", high=Decimal(4), when="end"),
        Ask(name="Shells", answer="choice", choices=("new", "used")),
        Ask(name="Tidy?", answer="yes"),
    )

    assert expected == procedure(sheet(top=asks)).asks


def test_a_meter_shows_a_number_unless_the_sheet_says_otherwise() -> None:
    """Use is counted by it; a sheet that wants words keeps them."""
    asked = '[[ask]]\nname = "Engine hours"\nis = "usage"\n'

    assert (Ask(name="Engine hours", answer="number", searched_as="usage"),) == procedure(sheet(top=asked)).asks
    assert (Ask(name="Engine hours", answer="number", searched_as="usage", unit="h"),) == procedure(
        sheet(top=asked + 'unit = "h"\n')
    ).asks
    assert (Ask(name="Engine hours", answer="text", searched_as="usage"),) == procedure(
        sheet(top=asked + 'answer = "text"\n')
    ).asks


def test_parts_and_who_signs() -> None:
    """Consumables with their lots and counts; roles with their duties."""
    found = procedure(
        sheet(
            top='[[part]]\nname = "Gasket"\nrecord = "lot"\n[[part]]\nname = "Bolts"\nrecord = "count"\nneeded = 4\n'
            'left_over = true\n[sign_off]\nassembler = "required"\ninspector = "required, another person"\n'
            'witness = "optional"\n'
        )
    )

    assert (
        Part(name="Gasket", record="lot"),
        Part(name="Bolts", record="count", needed=4, left_over=True),
    ) == found.parts
    assert (
        SignOff(role="assembler", required=True),
        SignOff(role="inspector", required=True, another_person=True),
        SignOff(role="witness", required=False),
    ) == found.sign_off


RELEASE = '\n[release]\nby = "Maud"\ncompared_with = "Sheet 3"\non = {on}\n'


@pytest.mark.parametrize("on", ["2026-03-02", '"2026-03-02"'])
def test_a_released_revision_says_by_whom_and_when(on: str) -> None:
    """The day may be written as a TOML date or as text."""
    found = procedure(sheet(top='status = "released"\n') + RELEASE.format(on=on) + "look_again_by = 2027-03-02\n")

    assert Release(by="Maud", compared_with="Sheet 3", on="2026-03-02", look_again_by="2027-03-02") == found.release


@pytest.mark.parametrize(
    ("top", "below", "expected"),
    [
        ('status = "released"\n', "", [("status", "E234")]),
        ("", RELEASE.format(on="2026-03-02"), [("release", "E234")]),
        ('status = "released"\n', RELEASE.format(on='"yesterday"'), [("release.on", "E235")]),
        ('status = "released"\n', RELEASE.format(on="2026-03-02T10:00:00Z"), [("release.on", "E117")]),
        (
            'status = "released"\n',
            RELEASE.format(on="2026-03-02") + "look_again_by = 2026-03-01\n",
            [("release.look_again_by", "E235")],
        ),
        ('status = "released"\n', '\n[release]\nby = "Maud"\non = 2026-03-02\n', [("release.compared_with", "E116")]),
        ('status = "relased"\n', "", [("status", "E119")]),
        ('pause_limit = "10"\n', "", [("pause_limit", "E118")]),
        ("pause_limit = 10\n", "", [("pause_limit", "E118")]),
        ('repeat = ["port", "port"]\n', "", [("repeat", "E221")]),
        ('repeat = "port"\n', "", [("repeat", "E117")]),
        ("cautions = [1]\n", "", [("cautions[1]", "E117")]),
        ('[sign_off]\nassembler = "yes"\n', "", [("sign_off.assembler", "E119")]),
        ('[sign_off]\nrepeat = ["port"]\n', "", [("sign_off.repeat", "E107")]),
        ('[[ask]]\nname = "A"\n[[ask]]\nname = "A"\n', "", [("ask[2].name", "E221")]),
        ('[[ask]]\nname = "A"\nunit = "h"\n', "", [("ask[1].unit", "E231")]),
        ('[[ask]]\nname = "A"\nanswer = "choice"\n', "", [("ask[1]", "E231")]),
        ('[[ask]]\nname = "A"\nanswer = "choice"\nchoices = ["a", "a", "b"]\n', "", [("ask[1].choices", "E221")]),
        ('[[ask]]\nname = "A"\nanswer = "number"\nbetween = ["5 h", "1 h"]\n', "", [("ask[1].between", "E204")]),
        ('[[ask]]\nname = "A"\nanswer = "number"\nbetween = ["5 h", "9 mm"]\n', "", [("ask[1].between[2]", "E201")]),
        ('[[ask]]\nname = "A"\nanswer = "number"\nat_most = "many"\n', "", [("ask[1].at_most", "E201")]),
        ('[[ask]]\nanswer = "text"\n', "", [("ask[1].name", "E116")]),
        ('[ask]\nname = "A"\n', "", [("ask", "E122")]),
        ('[[part]]\nname = "A"\nrecord = "weight"\n', "", [("part[1].record", "E119")]),
        ('[[layout]]\nrows = ["1 2 3 4"]\n', "", [("layout", "E122")]),
        ("accepted = [{ query = 'W401' }]\n", "", [("accepted[1].because", "E116")]),
        ('[[follow_up]]\ntitle = "A"\n', "", [("follow_up[1]", "E236")]),
        (
            '[[follow_up]]\ntitle = "A"\nor_use = "3 N·m"\n[[follow_up.stage]]\ndo = "inspect"\nask = "Fine?"\n',
            "",
            [("follow_up[1].or_use", "E207")],
        ),
        (
            '[[follow_up]]\ntitle = "A"\nafter = "1 d"\n[[follow_up.stage]]\ndo = "turn"\n',
            "",
            [("follow_up[1].stage[1].by", "E116"), ("follow_up[1].stage[1]", "E203")],
        ),
    ],
)  # fmt: skip
def test_surroundings_that_make_no_sense(top: str, below: str, expected: list[tuple[str, str]]) -> None:
    """What is wrong around the work is told at its key, each slip once."""
    assert expected == keys(sheet(top=top) + below)


@pytest.mark.parametrize("name", ["format", "title", "revision", "unit"])
def test_what_every_file_needs(name: str) -> None:
    """Four keys stand in every file; one that is missing is told at its first line."""
    text = "".join(line for line in sheet().splitlines(keepends=True) if not line.startswith(f"{name} ="))

    assert [(1, name, "E116")] == told(text)


def test_an_empty_file_misses_everything() -> None:
    """All that is missing is told together."""
    assert ["format", "title", "revision", "unit", "group", "stage"] == [fault.key for fault in faults("")]


@pytest.mark.parametrize(
    ("written", "code"),
    [("3", "E114"), ("1", "E114"), ("0", "E114"), ("1.5", "E114"), ('"1"', "E117"), ("true", "E117")],
)
def test_another_format_is_told(written: str, code: str) -> None:
    """A newer file needs a newer program, and nothing else is said of it; an older one is told what to write."""
    text = sheet().replace(
        "format = 2", f"format = {written}\nnew_key = 3" if written == "3" else f"format = {written}"
    )

    assert [("format", code)] == keys(text)


def test_all_faults_of_shape_and_meaning_are_told_at_once() -> None:
    """Eight slips of every sort, in the order of their lines, none of them a consequence of another."""
    text = f"""{HEAD}
[layout]
rows = ["1 2 3 4", "5 6"]
pause_limit = "10 min"

[[group]]
name = "Bolts"
positions = "1-4"
lubrikation = "oil"
target = 250

[[group]]
name = "Screws"
positions = "5-7"

[[stage]]
do = "tighten"
group = "Bolts"
to = "30 %"
witin = "±5 %"

[[stage]]
do = "turn"
group = "Screw"
by = "90 N·m"
within = "+4° −0°"

[[stage]]
do = "tighten"
group = "Screws"
to = "10 N·m"
between = ["12 N·m", "8 N·m"]
"""

    assert [
        (8, "layout.pause_limit", "E107"),
        (13, "group[1].lubrikation", "E115"),
        (14, "group[1].target", "E118"),
        (18, "group[2].positions", "E212"),
        (24, "stage[1].witin", "E115"),
        (28, "stage[2].group", "E216"),
        (29, "stage[2].by", "E202"),
        (36, "stage[3].between", "E204"),
    ] == told(text)


def test_a_broken_group_is_no_fault_of_its_stages() -> None:
    """A group whose name cannot be read proves nothing about the stages that name it."""
    text = f'{HEAD}\n[[group]]\nname = 3\npositions = "1-4"\n{STAGE}group = "Bolts"\n'

    assert [("group[1].name", "E117")] == keys(text)


def test_a_broken_stage_is_no_fault_of_those_that_refer_to_it() -> None:
    """A stage that cannot be read may have held the id, the pull or the group that others miss."""
    later = stage('do = "wait"', 'for = "1 min"', 'since = "snug"') + stage(
        'do = "wait"', 'for = "1 min"', 'since = "last pull"'
    )
    text = sheet(stages=stage('do = "tigten"', 'id = "snug"') + later)

    assert [("stage[1].do", "E124")] == keys(text)


def test_a_wait_needs_a_pull_before_it() -> None:
    """What it counts from must have happened."""
    wait = stage('do = "wait"', 'for = "1 min"', 'since = "last pull"')

    assert [("stage[1].since", "E240")] == keys(sheet(stages=wait + STAGE))
    assert [] == keys(sheet(stages=STAGE + wait))


def test_a_stage_refers_to_earlier_ones_only() -> None:
    """An id that comes later is told as such."""
    wait = stage('do = "wait"', 'for = "1 min"', 'since = "snug"')
    (fault,) = faults(sheet(stages=wait + STAGE + 'id = "snug"\n'))

    assert "E220" == fault.code
    assert "later" in fault.text


def test_ids_are_unique_in_the_whole_file() -> None:
    """Also between the work and its follow-ups."""
    again = (
        '[[follow_up]]\ntitle = "A"\nafter = "1 d"\n[[follow_up.stage]]\ndo = "inspect"\nask = "Fine?"\nid = "snug"\n'
    )

    assert [("follow_up[1].stage[1].id", "E221")] == keys(sheet(stages=STAGE + 'id = "snug"\n') + again)


def test_more_steps_than_anybody_could_mean_are_told() -> None:
    """20 000 positions in 50 rounds would be a million steps."""
    text = sheet(stages=STAGE + "rounds = 50\n").replace("1-4", "1-20000")

    assert [("stage", "E233")] == keys(text)


def test_ten_thousand_positions_are_read() -> None:
    """A large joint is no fault."""
    assert 10_000 == len(procedure(sheet().replace("1-4", "1-10000")).groups[0].neighbours)


def test_a_key_that_looks_like_a_mark_of_the_reader_is_an_unknown_key() -> None:
    """Whatever a key is called, it is told by its own name."""
    assert ['"[key]"', '"<turn>"'] == [fault.key for fault in faults(sheet(top='"[key]" = 1\n"<turn>" = 2\n'))]


def test_reading_loads_neither_screens_nor_the_grammar_of_toml() -> None:
    """A sound file needs no lines of faults, and no command that prints needs the toolkit."""
    code = (
        "import sys; from pathlib import Path; from clampbook.procedure.reader import read_file;"
        f"read_file(Path({str(PAGE)!r}));"
        "print([name for name in ('textual', 'tree_sitter', 'typst') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert "[]" == done.stdout.strip()


USED = '\n[[follow_up]]\ntitle = "Look again"\n{}\n\n[[follow_up.stage]]\ndo = "inspect"\nask = "All marks in line?"\n'


def test_a_distance_is_a_follow_up_by_use_and_the_hint_says_how() -> None:
    """Written as the hint has it, it is counted."""
    (fault,) = faults(sheet(stages=STAGE + USED.format('after = "50 km"')))
    said = procedure(sheet(stages=STAGE + USED.format(fault.hint.removeprefix("write "))))

    assert ("follow_up[1].after", "E202") == (fault.key, fault.code)
    assert Quantity(Decimal(50), "km") == said.follow_ups[0].or_use
    assert said.follow_ups[0].after is None


def test_a_distance_beside_use_that_is_counted_is_removed() -> None:
    """One of the two is enough; the hint never has it written twice."""
    (fault,) = faults(sheet(stages=STAGE + USED.format('after = "30 miles"\nor_use = "50 km"')))

    assert "remove after" in fault.hint


def test_a_wait_for_a_distance_is_a_follow_up() -> None:
    """Nobody waits at the bench for 50 km; what comes after is done later, and the hint's line is read there."""
    (fault,) = faults(sheet(stages=STAGE + stage('do = "wait"', 'for = "50 km"')))
    line = fault.hint.partition(" with ")[2]

    assert ("stage[2].for", "E202") == (fault.key, fault.code)
    assert Quantity(Decimal(50), "km") == procedure(sheet(stages=STAGE + USED.format(line))).follow_ups[0].or_use


@pytest.mark.parametrize("written", ["10 m", "10 mm", "-5 km"])
def test_another_length_is_no_use(written: str) -> None:
    """10 m is more likely a slip for 10 min: it is told as a length, with a time to write."""
    (fault,) = faults(sheet(stages=STAGE + stage('do = "wait"', f'for = "{written}"')))

    assert "or_use" not in fault.hint


def test_a_turn_in_parts_of_one_is_read_in_degrees() -> None:
    """Target and window are what 180° ± 30° would be."""
    written = stage('do = "turn"', 'by = "1/2 turn"', 'within = "±1/12 turn"')
    turn = procedure(sheet(stages=STAGE + written)).stages[1]

    assert isinstance(turn, Turn)
    assert (Decimal(180), Decimal(150), Decimal(210), "°") == (
        turn.target,
        turn.window.low,
        turn.window.high,
        turn.window.unit,
    )
