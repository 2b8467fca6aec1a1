"""Bytes for a keyboard: what none sends, what some do, and both cut anywhere and mixed."""

from __future__ import annotations

import random

BROKEN = (
    b"\xff\xfe",
    b"\xc3",
    b"\xed\xa0\x80",
    b"\xf4\x90\x80\x80",
    b"\x00",
    b"\x1b",
    b"\x1b[",
    b"\x1b[999999999;5u",
    b"\x1b[1114112u",
    b"\x1b[55296u",
    b"\x1b[99999999999999999999999999;1u",
    b"\x1b[97;999999999999u",
    b"\x1b[1;1;1114113u",
    b"\x1b[1;2:3;:::u",
    b"\x1b[;;u",
    b"\x1b[:;u",
    b"\x1b[200~22.1",
    b"\x1b[201~",
    b"\x1b[200~\x1b[200~",
    b"\x1b[200~" + b"9" * 600 + b"\x1b[201~",
    b"\x1b[200~22.1\r1\r\x1b[201~",
    b"\x1b[48;99999;99999;0;0t",
    b"\x1b[48;0;0;0;0t",
    b"\x1b[48;24;80;0;0t\x1b[<0;3;3M",
    b"\x1b[?2048;1$y",
    b"\x1b[?2026;1$y",
    b"\x1b[<0;10;10M",
    b"\x1b[<64;-5;99999M",
    b"\x1b[M !!",
    b"\x1b[999;999R",
    b"\x1b[I",
    b"\x1b[O",
    b"\x1b]0;x\x07",
    b"\x1bP+q\x1b\\",
    b"\x1b[" + b"1;" * 40 + b"m",
)
KEYS = (
    *(bytes([each]) for each in b"0123456789.,+-*/?abcdwWNm "),
    *(b"\r", b"\r", b"\t", b"\x7f", b"\x1b\x1b", b"\x15", b"\x01", b"\x04"),
    *(b"\x1b[A", b"\x1b[B", b"\x1b[C", b"\x1b[D", b"\x1b[5~", b"\x1b[6~", b"\x1b[H", b"\x1b[F", b"\x1b[3~"),
    *(b"\x1bOP", b"\x1bOQ", b"\x1bOR", b"\x1bOS", b"\x1b[97;1;97u", b"\x1b[57399u", b"\x1b[57413u", b"\x1b[13u"),
    *("é".encode(), "·".encode(), "\u202e".encode(), "\u0301".encode(), "漢".encode(), "\U0001f527".encode()),
    *(b"22.1\r", b"22.1 lbf\xc2\xb7ft\r", b"417\r", b"*0\r", b"*7\r", b"* 3\r", b"/ a note\r", b"1\r", b"1\r", b"2\r"),
)
LEAVES = (b"\x03", b"\x11", b"\x1a", b"\x1c")  # Ctrl-C, Ctrl-Q, Ctrl-Z; Ctrl-\\ where there is no screen yet


def bytes_at_random(chance: random.Random, *, leaving: bool = False) -> bytes:
    """A few keys, something broken, something cut, or bytes without any sense."""
    match chance.randrange(8):
        case 0:
            data = chance.choice(BROKEN)
        case 1:
            whole = chance.choice((*BROKEN, *KEYS))
            data = whole[: chance.randrange(len(whole) + 1)]
        case 2:
            data = chance.randbytes(chance.choice((1, 2, 5, 40)))
        case 3:
            data = chance.choice(KEYS) * chance.choice((2, 3, 9))
        case _:
            data = b"".join(chance.choice(KEYS) for _ in range(chance.choice((1, 1, 2, 4))))
    return data if leaving else b"".join(bytes([each]) for each in data if bytes([each]) not in LEAVES)
