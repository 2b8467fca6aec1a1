"""Errors and queries of an input, with their place and what to do: an error forbids, a query asks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from clampbook.text import as_sentence, ended, printable

# One sentence for each code; a code keeps its meaning for ever and is never used again for another.
# E1xx shape (file, TOML, types), E2xx meaning, D3xx daybook and ledger, W4xx queries, S5xx sealed runs.
CODES: dict[str, str] = {
    "E101": "there is no such file",
    "E102": "the path names a folder, or another thing that is not a file",
    "E103": "the file may not be read, or cannot be opened",
    "E104": "the file is larger than 1 MB",
    "E105": "the file is not UTF-8, or begins with a byte order mark",
    "E106": "the line is not TOML",
    "E107": "a key that belongs to the top of the file is below a table",
    "E108": "a table in braces does not end on its line",
    "E109": "a decimal comma is outside quotes",
    "E110": "a value that is not a number has no quotes",
    "E111": "a key or a table is there twice",
    "E112": "lists, tables or dotted keys are nested far too deep",
    "E113": "a number has thousands of digits",
    "E114": "the format of the file is not one that can be read",
    "E115": "a key is not known",
    "E116": "a key is missing",
    "E117": "a value is of another type",
    "E118": "a quantity has no unit",
    "E119": "a word is not one of those that are known",
    "E120": "a number is too small or too large",
    "E121": "a list or a text has the wrong length",
    "E122": "the brackets around the name of a table are not right",
    "E123": "a text has a character that does not show",
    "E124": "a stage does not say what to do, or names no known kind of work",
    "E125": "a key or a word has another name now",
    "E201": "a quantity, a unit or a limit cannot be understood",
    "E202": "a quantity is of the wrong kind",
    "E203": "a stage does not say which values are allowed",
    "E204": "no value lies in the window",
    "E205": "a target lies outside its own window",
    "E206": "an allowed deviation cannot be understood, or reaches below zero",
    "E207": "a value is not possible",
    "E208": "a share has no target that it could refer to",
    "E209": "the unit of the procedure is not one of torque",
    "E210": "positions cannot be read",
    "E211": "a position, a point or a set is named more than once",
    "E212": "the layout has no place for a position",
    "E213": "a position belongs to two groups",
    "E214": "a group has no such position",
    "E215": "an order leaves out a position",
    "E216": "there is no such group",
    "E217": "a stage does not say which of several groups it works on",
    "E218": "a group has no positions",
    "E219": "no stage works on a group",
    "E220": "a stage refers to one that does not exist or comes later",
    "E221": "a name is used twice",
    "E222": "sets do not have each position exactly once",
    "E223": "steps are repeated for sets that do not exist",
    "E224": "a step of a for_each says what only the whole for_each, or a stage, can say",
    "E225": "a group that must not be rechecked is rechecked",
    "E226": "positions that must be answered for one by one are confirmed together",
    "E227": "the keys of tightening to a stretch do not go together",
    "E228": "the keys of prevailing torque do not go together",
    "E229": "a measurement has neither limits nor a unit",
    "E230": "a spread has no two points to lie between",
    "E231": "the keys of a question do not go together",
    "E232": "the layout draws nothing, or in two ways",
    "E233": "there are more positions or steps than anybody could mean",
    "E234": "status and release do not go together",
    "E235": "a day is not one of the calendar",
    "E236": "a follow-up is never due",
    "E237": "friction or nut factor is not a range",
    "E238": "what is taken off was not measured there",
    "E239": "the keys of repeated rounds do not go together",
    "E240": "a wait counts from a pull that nothing makes",
    "E241": "a time limit never starts to run",
    "E242": "two keys say the order",
    "E243": "two keys say the limits",
    "E244": "how far to back off is said where nothing is backed off",
    "E245": "the keys of points that may be outside do not go together",
    "E246": "nothing, or two things, say how far apart slots are",
    "E247": "the joints of a run cannot be told, or told apart",
    "E249": "the keys of a sample do not go together, or do not say how many are drawn",
    "E251": "an adapter is asked for where no torque is read",
    "E252": "the keys of adjusting do not go together",
    "E253": "what is measured is no pressure of a tensioner",
    "E261": "the id of a tool is not one",
    "E262": "a quantity of a tool is not in the unit of its scale",
    "E263": "the scale of a tool is not possible as written",
    "E264": "how a tool is wound down does not go with the rest",
    "E265": "a tool lacks the range or the resolution of its scale",
    "E266": "type and class of a tool are not those of ISO 6789 for its kind",
    "E267": "a deviation or an uncertainty of a tool is not possible",
    "E268": "the days and intervals of a tool's calibration do not go together",
    "E269": "a lever or an adapter is not possible as written",
    "E270": "a key says nothing of a tool of this kind",
    "E271": "a tool is out of service without a day or without a reason",
    "E272": "the points of a certificate do not rise",
    "E281": "the first line of a file of readings does not name the columns it needs",
    "E282": "a line of readings does not have the columns that the first line names",
    "E283": "a reading is not a number as written",
    "E284": "a reading is not possible",
    "E285": "a line between readings is empty",
    "E286": "a file has no readings, or too many",
    "E287": "the label of a technique cannot be taken",
    "D301": "a line of a ledger is damaged and cannot be read",
    "D302": "the number of a line is not the one that is due",
    "D303": "a line was changed after it was written",
    "D304": "a line does not continue the line before it",
    "D305": "the last line is not the one known from elsewhere",
    "D306": "a line is not in the form in which lines are written",
    "W401": "the highest torque takes the bolt beyond proof load or yield at the lowest friction",
    "W402": "a turn certainly goes beyond yield, and the bolts are used again",
    "W403": "a stretch takes the bolt beyond its proof load",
    "W404": "a grip is too short to be turned by an angle",
    "W405": "too little thread is engaged",
    "W406": "a turn stretches the bolt so far beyond yield that it may break",
    "W407": "the strength of a group is not that of its property class",
    "W408": "no torque limits a turn to the next slot",
    "W409": "the limit at a slot is below the torque before it",
    "W411": "the last torque is far below what the bolt usually bears",
    "W412": "the words beside a torque name its number in another unit",
    "W413": "a torque falls from one stage to the next",
    "W414": "a window is tighter than a value can be read",
    "W415": "a joint with a gasket is tightened in one round and never rechecked",
    "W416": "a recheck uses less torque than the tightening did",
    "W417": "a turn begins from no torque",
    "W418": "the torque allowed after a turn is less than the one before it",
    "W419": "a torque is in another system of units than the rest of the procedure",
    "W421": "an order does not begin in the middle",
    "W422": "an order pulls one side down first",
    "W423": "bolts of different kinds stand in a picture that may be mirrored",
    "W431": "no tool of the book suits what a stage asks for",
    "W435": "no adapter of the book is the one that a stage asks for",
    "W441": "friction and lubricant do not go together",
    "W442": "nothing says what is on the threads",
    "W443": "nothing says that tapped holes must be empty of liquid",
    "W444": "nothing says by when a locker sets",
    "W445": "a joint with a locker is rechecked",
    "W446": "a left-hand thread is tightened clockwise",
    "W447": "a locking nut is used again with no least prevailing torque",
    "W451": "the clamp load cannot be estimated, a key is missing",
    "W461": "the stages tighten more often than a fastener allows",
    "W462": "a follow-up is due by use alone",
    "W463": "nothing says where the values come from",
    "W464": "what may be used again if measured is measured nowhere",
    "W466": "prevailing torque is to be measured, and nothing is tightened after it",
    "W471": "adjusting changes nothing of what is measured",
    "W472": "adjusting turns a fastener on top of its turn",
    "W473": "adjusting tightens again what is new every time",
    "W491": "an answer belongs to no query",
    "S501": "a file of a sealed run is missing",
    "S502": "a file lies in a sealed run that was not sealed in",
    "S503": "a file was changed after the run was sealed",
    "S504": "a link, a folder or the like lies where a plain file belongs",
    "S505": "seal.sha256 is not the one that was written",
    "S506": "facts.sha256 has another sum of a file",
    "S507": "record.toml is not the record that the frozen files make",
    "S508": "a line has another figure than what was typed gives",
    "S509": "a signature that was announced is missing",
    "S510": "a signature does not belong to its text, or is badly formed",
    "S511": "a signed text differs from the daybook",
    "S512": "a key is not the one that was announced, or not in use at that time",
    "S513": "the report carries other files than the run has",
    "S514": "a run that the log names is not there",
    "S515": "the log and the folder of a run differ",
    "S516": "the log does not know a run, or not the place where it began",
    "S517": "a run is over and not sealed",
    "S518": "a key is not vouched for from outside",
    "S519": "the files of a run do not make a record",
    "S520": "the saved release of a procedure is missing, changed, or not signed as the log says",
    "S521": "a run or a check was made before the format that this version checks",
    "S522": "the record of a run and its walk differ at a step",
    "S523": "the seal is not signed, though its signer has a key",
    "S524": "a signature was skipped: somebody said that it can never be given",
    "S525": "no trusted key signed what must be signed",
    "S526": "somebody who had a key vouched for something without it",
    "S527": "the log does not lead to the line that was noted outside the book",
    "S528": "the log is not the one that a seal was put under",
    "S529": "something was signed with a key that others may have had by then",
    "S530": "a scan of a paper form is missing, changed, or not in the daybook",
}


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that must be corrected before the input is used.

    `key` is the path inside the file ("stage[2].to"), `found` and `allowed` are short. `text` says what is wrong,
    `hint` what to do, both without a capital in front and a full stop at the end, which `show` adds.
    `line` counts from 1; None where it is not known for sure.
    """

    path: str
    line: int | None
    key: str
    code: str
    found: str
    allowed: str
    text: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Query:
    """A question about an input that can be used as it stands; never a correction. Fields as in Fault."""

    line: int | None
    key: str
    code: str
    text: str
    found: str = ""
    allowed: str = ""
    hint: str = ""
    path: str = ""


class Faulty(Exception):  # noqa: N818 - the word of the project
    """Raised by readers once everything was read: all faults of the input, in the order of its lines."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(show(fault) for fault in self.faults))


def show(fault: Fault | Query) -> str:
    """The one frame, on one line: `head.toml line 14, E118: what is wrong. What to do.`

    Where the line is not known the key stands in its place; what else is missing is left out.
    """
    told = f"{printable(_where(fault))}: {ended(printable(fault.text))}"
    return f"{told} {as_sentence(printable(fault.hint))}" if fault.hint else told


def briefly(faulty: Faulty) -> str:
    """The first two faults one after the other, where there is room for a notice and not for all."""
    return " ".join(show(fault) for fault in faulty.faults[:2])


def _where(fault: Fault | Query) -> str:
    line = "" if fault.line is None else f"line {fault.line}"
    place = " ".join(part for part in (fault.path, line) if part)
    key = "" if line else fault.key
    return ", ".join(part for part in (place, key, fault.code) if part)


def as_data(fault: Fault | Query) -> dict[str, str | int | None]:
    """The same for `--json`; the key `file` holds the path."""
    return {
        "file": fault.path,
        "line": fault.line,
        "key": fault.key,
        "code": fault.code,
        "found": fault.found,
        "allowed": fault.allowed,
        "text": fault.text,
        "hint": fault.hint,
    }


def nearest(word: str, known: Iterable[str], *, alike: float = 0.6) -> str | None:
    """The known word that `word` was probably meant to be; None where none is close. `alike` is the share of their
    letters that they have in common at least."""
    by_lower = {candidate.lower(): candidate for candidate in known}
    close = get_close_matches(word[:100].lower(), by_lower, n=1, cutoff=alike)
    return by_lower[close[0]] if close else None
