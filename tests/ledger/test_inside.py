"""Paths within a book, and reading what was frozen."""

from pathlib import Path

import pytest

from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault


class TestInside:
    """A link is followed only within the folder."""

    def test_what_is_not_there_yet_has_its_place(self, tmp_path: Path) -> None:
        """A file that is to be written can be named."""
        assert tmp_path.resolve() / "runs" / "new" == inside(tmp_path, "runs", "new")

    @pytest.mark.parametrize("parts", [("..", "x"), ("runs", "..", "..", "x"), ("/etc/hosts",)])
    def test_a_path_that_climbs_out_is_refused(self, tmp_path: Path, parts: tuple[str, ...]) -> None:
        """Neither dots nor a path from the root lead out of the book."""
        with pytest.raises(LedgerFault, match="leads out of the book"):
            inside(tmp_path, *parts)

    def test_a_folder_that_is_a_link_is_seen_through(self, tmp_path: Path) -> None:
        """It is not enough that the last part is no link."""
        (tmp_path / "book").mkdir()
        (tmp_path / "elsewhere").mkdir()
        (tmp_path / "book" / "runs").symlink_to(tmp_path / "elsewhere")

        with pytest.raises(LedgerFault, match="leads out of the book"):
            inside(tmp_path / "book", "runs", "daybook.jsonl")

    def test_links_in_a_circle_are_told(self, tmp_path: Path) -> None:
        """Two links that point at each other lead nowhere."""
        (tmp_path / "a").symlink_to(tmp_path / "b")
        (tmp_path / "b").symlink_to(tmp_path / "a")

        with pytest.raises(LedgerFault, match="its links go in a circle"):
            inside(tmp_path, "a", "x")


class TestReadFile:
    """A frozen file is read whole or not at all."""

    def test_the_exact_bytes(self, tmp_path: Path) -> None:
        """A file just as long as allowed is read."""
        (tmp_path / "plan.json").write_bytes(b"\x00\r\n" * 4)

        assert b"\x00\r\n" * 4 == read_file(tmp_path / "plan.json", 12)

    def test_a_file_that_is_too_long(self, tmp_path: Path) -> None:
        """One byte more is refused, and no more than that is read."""
        (tmp_path / "plan.json").write_bytes(bytes(13))

        with pytest.raises(LedgerFault, match="is larger than 12 bytes"):
            read_file(tmp_path / "plan.json", 12)

    def test_a_folder_and_a_missing_file(self, tmp_path: Path) -> None:
        """What is no file is a sentence."""
        with pytest.raises(LedgerFault, match="could not be read"):
            read_file(tmp_path, 12)
        with pytest.raises(LedgerFault, match="it is not there"):
            read_file(tmp_path / "plan.json", 12)
