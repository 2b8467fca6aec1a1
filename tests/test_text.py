"""Foreign text on its way in and out."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.text import TextFault, as_sentence, clean, printable

UNSEEN = {
    "null": "\0",
    "bell": "\a",
    "escape": "\x1b",
    "delete": "\x7f",
    "next line": "\x85",
    "right-to-left override": "\u202e",
    "left-to-right isolate": "\u2066",
    "arabic letter mark": "\u061c",
    "zero width space": "\u200b",
    "zero width joiner": "\u200d",
    "word joiner": "\u2060",
    "byte order mark": "\ufeff",
    "soft hyphen": "\u00ad",
    "line separator": "\u2028",
    "paragraph separator": "\u2029",
    "hangul filler": "\u3164",
    "variation selector": "\ufe0f",
    "tag letter": "\U000e0041",
    "grapheme joiner": "\u034f",
    "private use": "\ue000",
    "lone surrogate": "\udc80",
    "noncharacter": "\ufffe",
}


@pytest.mark.parametrize("sign", UNSEEN.values(), ids=UNSEEN.keys())
def test_a_sign_that_does_not_show_is_refused(sign: str) -> None:
    """A name with a hidden sign is not taken, and the sentence writes the sign out."""
    with pytest.raises(TextFault) as caught:
        clean(f"Whin{sign}chat", what="the name")

    assert f"\\u{{{ord(sign):x}}}" in caught.value.sentence
    assert sign not in caught.value.sentence


@pytest.mark.parametrize("sign", UNSEEN.values(), ids=UNSEEN.keys())
def test_a_sign_that_does_not_show_is_written_out(sign: str) -> None:
    """Printing a hidden sign shows its number and leaves the letters around it."""
    assert f"a\\u{{{ord(sign):x}}}b" == printable(f"a{sign}b")


def test_the_sentence_names_the_text_the_sign_and_its_place() -> None:
    """Whoever typed it learns which text, which sign and where."""
    with pytest.raises(TextFault) as caught:
        clean("port\u202ehead", what="the note")

    assert (
        "the note has a character that cannot be seen, \\u{202e} (right-to-left override), at character 5. "
        "Type it again without it"
    ) == caught.value.sentence


def test_letters_of_any_script_are_taken_as_they_are() -> None:
    """Names and notes come in every script and with every mark of the trade."""
    text = "Øyvind, Zoë, 王, Ιωάννα, 90° ± 2 µm → “fest” ½"

    assert text == clean(text)


def test_a_letter_and_its_accent_become_one_sign() -> None:
    """The same name typed on two keyboards is one name."""
    assert "Zo\u00eb" == clean("Zoe\u0308")


def test_outer_blanks_are_taken_off() -> None:
    """A pasted text brings blanks, tabs and line ends along."""
    assert "lot 7 b" == clean(" \t\u00a0lot 7 b\r\n")


def test_a_text_of_blanks_is_empty() -> None:
    """Nothing but blanks is nothing."""
    assert "" == clean(" \u3000\t")


def test_a_line_break_is_refused_in_a_single_line() -> None:
    """A name has one line."""
    with pytest.raises(TextFault, match="line break"):
        clean("Maud\nOkke")


def test_line_breaks_are_kept_where_lines_are_allowed() -> None:
    """A note may have several lines, whichever system it was typed on."""
    assert "first\nsecond" == clean("first\r\nsecond\n", lines=True)


@pytest.mark.parametrize("sign", ["\t", "\r", "\x0b", "\u2028"])
def test_only_line_breaks_come_with_lines(sign: str) -> None:
    """Tabs, lone returns and other separators stay out of notes too."""
    with pytest.raises(TextFault):
        clean(f"first{sign}second", lines=True)


def test_a_text_of_the_greatest_length_is_taken() -> None:
    """The limit itself is allowed."""
    assert "x" * 80 == clean("x" * 80, most=80)


@pytest.mark.parametrize("length", [81, 1_000_000])
def test_a_longer_text_is_refused_with_both_lengths(length: int) -> None:
    """The sentence says how long it may be and how long it was."""
    with pytest.raises(TextFault) as caught:
        clean("x" * length, what="the reason", most=80)

    assert f"the reason has {length} characters, and may have 80. Shorten it" == caught.value.sentence


def test_length_is_counted_after_composing() -> None:
    """Eighty accented letters are eighty characters, however they were typed."""
    assert "é" * 80 == clean("e\u0301" * 80, most=80)


@given(st.text())
def test_what_was_cleaned_stays_as_it_is(text: str) -> None:
    """Cleaning twice gives the same as cleaning once, and what is taken is composed and visible."""
    try:
        kept = clean(text)
    except TextFault:
        return

    assert kept == clean(kept) == unicodedata.normalize("NFC", kept) == printable(kept)


@given(st.text(st.characters()))
def test_anything_can_be_printed(text: str) -> None:
    """What is printed holds no sign that steers a terminal and can be written as UTF-8."""
    shown = printable(text)

    assert not [sign for sign in shown if unicodedata.category(sign) in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}]
    assert shown == shown.encode().decode()


@pytest.mark.parametrize(
    ("words", "sentence"),
    [("the file is gone", "The file is gone."), ("W5 is open.", "W5 is open."), ("é", "É."), ("", ".")],
)
def test_words_become_a_sentence(words: str, sentence: str) -> None:
    """A capital in front, one full stop at the end; the rest stays as it is."""
    assert sentence == as_sentence(words)
