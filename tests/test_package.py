"""What is built holds what the program needs where it is installed, and nothing else."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from email import message_from_string
from email.message import Message
from importlib.util import find_spec
from pathlib import Path

import pytest

from clampbook.help.topics import TOPICS
from clampbook.procedure.library import samples

ROOT = Path(__file__).parent.parent
SOURCE = ROOT / "src" / "clampbook"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
BUILT = "clampbook-0.1.0"

pytestmark = pytest.mark.skipif(find_spec("hatchling") is None, reason="hatchling, which builds it, is not installed")


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel and the source archive of this tree."""
    folder = tmp_path_factory.mktemp("dist")
    subprocess.run([sys.executable, "-m", "hatchling", "build", "-d", str(folder)], cwd=ROOT, check=True, timeout=120)
    return folder


@pytest.fixture(scope="module")
def wheel(built: Path) -> zipfile.ZipFile:
    """The only wheel, for every system."""
    (path,) = built.glob("*.whl")
    assert f"{BUILT}-py3-none-any.whl" == path.name
    return zipfile.ZipFile(path)


def _ours() -> set[str]:
    """The files of the program in this tree, without what Python leaves beside them."""
    files = (path for path in SOURCE.rglob("*") if path.is_file() and "__pycache__" not in path.parts)
    return {path.relative_to(SOURCE).as_posix() for path in files}


def test_the_wheel_holds_the_program_its_samples_and_its_topics(wheel: zipfile.ZipFile) -> None:
    """Styles of the screens and pages of the report among them, no test, no page for developers, nothing left over."""
    inside = {name for name in wheel.namelist() if not name.startswith(f"{BUILT}.dist-info/")}
    of_samples = {f"samples/{path.name}" for path in (ROOT / "procedures").iterdir()}
    of_topics = {f"help/topics/{topic.name}.md" for topic in TOPICS}

    assert {f"clampbook/{name}" for name in _ours() | of_samples | of_topics} == inside
    assert {".py", ".tcss", ".typ", ".toml", ".md"} == {Path(name).suffix for name in inside}
    assert {f"samples/{sample.name}.toml" for sample in samples()} == of_samples
    assert {"METADATA", "WHEEL", "RECORD", "entry_points.txt"} == {
        name.partition("/")[2] for name in wheel.namelist() if name.startswith(f"{BUILT}.dist-info/")
    }


def test_the_source_archive_holds_what_the_wheel_is_made_of(built: Path) -> None:
    """And the pages that tell how; no test, no picture."""
    (path,) = built.glob("*.tar.gz")
    with tarfile.open(path) as archive:
        inside = {name.partition("/")[2] for name in archive.getnames()}

    assert {f"src/clampbook/{name}" for name in _ours()} <= inside
    assert {
        f"{folder}/{each.name}" for folder in ("procedures", "docs") for each in (ROOT / folder).iterdir()
    } <= inside
    assert {"src", "procedures", "docs", "README.md", "DEVELOPERS.md", "pyproject.toml", "PKG-INFO", ".gitignore"} == {
        name.partition("/")[0] for name in inside
    }


def _metadata(wheel: zipfile.ZipFile) -> Message:
    return message_from_string(wheel.read(f"{BUILT}.dist-info/METADATA").decode())


def test_it_says_what_it_is_and_nothing_that_is_not_so(wheel: zipfile.ZipFile) -> None:
    """Nobody is named who did not say so, no page that there is not, and no licence: its owner has to choose one."""
    told = _metadata(wheel)

    assert ("clampbook", "0.1.0", ">=3.11") == (told["Name"], told["Version"], told["Requires-Python"])
    assert "torque" in str(told["Keywords"])
    assert {"Author", "Author-email", "Project-URL", "Home-page", "License", "License-Expression"} & set(told) == set()
    assert "licence" in str(told.get_payload())


def test_the_pythons_that_are_named_are_those_of_the_gate(wheel: zipfile.ZipFile) -> None:
    """Each is one that .ci/run looks for."""
    named = re.findall(r":: (3\.[0-9]+)", " ".join(_metadata(wheel).get_all("Classifier", [])))
    gate = (ROOT / ".ci" / "run").read_text(encoding="utf-8")

    assert ["3.11", "3.12", "3.13"] == named
    assert set(named) <= set(re.findall(r"3\.[0-9]+", gate))


def test_every_dependency_has_a_lowest_version() -> None:
    """An upper limit has its reason beside it."""
    lines = (ROOT / "pyproject.toml").read_text(encoding="utf-8").splitlines()
    for each in (*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]):
        assert re.fullmatch(r"[a-z-]+(>=|==)[0-9.]+(,<[0-9.]+)?", each), each
        if "==" in each or "<" in each:
            assert [line for line in lines if f'"{each}",  # ' in line], each


def test_the_program_runs_from_the_wheel_alone(wheel: zipfile.ZipFile, tmp_path: Path) -> None:
    """It finds its samples, its topics, its styles and the pages of its form there."""
    wheel.extractall(tmp_path / "installed")
    home = {"PYTHONPATH": str(tmp_path / "installed"), "XDG_DATA_HOME": str(tmp_path / "data")}

    def ran(*words: str) -> str:
        told = subprocess.run(
            [sys.executable, "-m", "clampbook", *words],
            cwd=tmp_path,
            env={**os.environ, **home},
            capture_output=True,
            text=True,
            timeout=120,
        )
        assert told.returncode in (0, 1), told.stderr
        return told.stdout

    where = subprocess.run(
        [sys.executable, "-c", "import clampbook; print(clampbook.__file__)"],
        cwd=tmp_path, env={**os.environ, **home}, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert where.stdout.startswith(str(tmp_path / "installed"))
    assert "clampbook, version 0.1.0\n" == ran("--version")
    assert "Whinchat" in ran("new", "workshop", "--from", "flywheel") + ran("plan", "workshop/procedures/flywheel.toml")
    assert ran("help", "words").strip()
    ran("form", "workshop/procedures/flywheel.toml", "--into", "form.pdf")
    assert (tmp_path / "form.pdf").read_bytes().startswith(b"%PDF")
