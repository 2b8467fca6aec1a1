"""Passphrases for a key: long enough, typed with signs that can be seen, and not what everybody tries first."""

from __future__ import annotations

SHORTEST, LONGEST = 12, 200  # characters
_FEWEST = 5  # different characters, blanks and capitals aside

# What is found in every list of passphrases that were taken from others and has the length, without blanks and
# punctuation. The list is short on purpose: it says no to the first things that a guesser types.
_COMMON = frozenset(
    (
        "administrator", "adminadmin", "adminpassword", "changemechangeme", "changethispassword",
        "clampbookclampbook", "correcthorsebatterystaple", "defaultpassword", "iloveyouforever",
        "ihatepasswords", "letmeinletmein", "letmeinplease", "maintenance12", "mypassword123", "mypassword1234",
        "opensesame123", "password1234", "password12345", "password123456", "passwordpassword", "passw0rd1234",
        "qwerty123456", "qwertyuiop123", "qwertyuiop1234", "secretpassword", "supersecret123",
        "thisismypassword", "torquewrench", "torquewrench1", "welcome12345", "welcome123456", "workshop1234",
        "workshoppassword", "iamthepassword", "nopasswordhere",
    )
)  # fmt: skip
_ROWS = (
    "abcdefghijklmnopqrstuvwxyz",
    "01234567890123456789",
    "1234567890qwertyuiopasdfghjklzxcvbnm",
    "qwertyuiopasdfghjklzxcvbnm",
    "1qaz2wsx3edc4rfv5tgb6yhn7ujm",
    "qwertzuiopasdfghjklyxcvbnm",
    "azertyuiopqsdfghjklmwxcvbn",
)


def unfit(passphrase: str) -> str | None:
    """Say why a passphrase cannot be taken, in a sentence; None where it can."""
    if len(passphrase) < SHORTEST:
        return f"this passphrase is too short. Use {SHORTEST} characters or more, such as four words"
    if len(passphrase) > LONGEST:
        return f"this passphrase is too long. Use {LONGEST} characters at most"
    if not passphrase.isprintable():
        return "this passphrase has a character that cannot be seen. Use letters, digits and spaces"
    if _is_common(passphrase):
        return "this passphrase is one of the first that anybody tries. Use four words that have nothing in common"
    return None


def _is_common(passphrase: str) -> bool:
    """True where it is on the list, hardly varies, repeats one short piece, or goes along a row of keys or letters."""
    bare = "".join(sign for sign in passphrase.casefold() if sign.isalnum())
    if bare in _COMMON or len(set(bare)) < _FEWEST:
        return True
    return _repeats(bare) or any(bare in row or bare in row[::-1] for row in _ROWS)


def _repeats(bare: str) -> bool:
    return bare in (bare + bare)[1:-1]
