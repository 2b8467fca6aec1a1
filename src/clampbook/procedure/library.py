"""The library: the sample procedures of the program, all invented, each a start for a procedure of one's own."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path

from clampbook.faults import nearest
from clampbook.text import TextFault, quoted

_SHOWS = re.compile(r"(?m)^# Shows: (?P<shows>.+)\n")


@dataclass(frozen=True, slots=True)
class Sample:
    """A procedure of the library: what it is called, what it is for, what it shows that no other does, and its file."""

    name: str
    title: str
    shows: str
    path: Path


def names() -> tuple[str, ...]:
    """The names of all samples, in their order."""
    return tuple(path.stem for path in _paths())


def samples() -> tuple[Sample, ...]:
    """All samples by name."""
    return tuple(_sample(path) for path in _paths())


def sample(name: str) -> Sample:
    """Find the sample of this name, or of this name of its file. Raises TextFault, with the nearest name and all."""
    stem = name.removesuffix(".toml")
    path = next((path for path in _paths() if path.stem == stem), None)
    if path is None:
        part = [each for each in names() if stem and stem in each]
        meant = part[0] if part else nearest(stem, names())
        asked = "" if meant is None else f" Did you mean {meant}?"
        raise TextFault(f"no sample {quoted(name)}.{asked} There are: {', '.join(names())}")
    return _sample(path)


def as_a_start(name: str) -> str:
    """The text of a sample as the first draft of a procedure: revision A, not released, and its source says that the
    values are invented and whose place they hold. Raises TextFault where there is no such sample.
    """
    found = sample(name)
    text = found.path.read_text(encoding="utf-8")
    text = _SHOWS.sub("", text, count=1)
    text = _with(text, "revision", "A")
    text = _with(text, "status", "draft")
    text = _with(text, "source", f"Sample {found.name} (invented): write your manual, its page and the day here")
    return f"# Started from the sample {found.name}. Replace its values and texts with those of your manual.\n{text}"


def _paths() -> tuple[Path, ...]:
    """The files in the package, or beside its source where it runs from there."""
    package = Path(__file__).parents[1]
    folder = package / "samples"
    if not folder.is_dir():
        folder = package.parents[1] / "procedures"
    return tuple(sorted(folder.glob("*.toml")))


def _sample(path: Path) -> Sample:
    text = path.read_text(encoding="utf-8")
    shows = _SHOWS.search(text)
    return Sample(path.stem, tomllib.loads(text)["title"], "" if shows is None else shows["shows"], path)


def _with(text: str, key: str, value: str) -> str:
    """The text with another value of a key at the top of the file, which has a line of its own in each sample."""
    return re.sub(rf"(?m)^{key} = .*$", lambda _: f'{key} = "{value}"', text, count=1)
