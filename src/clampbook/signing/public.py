"""The public part of a key: as it stands in files, and its fingerprint as it is printed and compared."""

from __future__ import annotations

import base64
import binascii
import hashlib

from msgspec import Struct

from clampbook.signing.wire import KeyFault, Reader, string

KIND = "ssh-ed25519"
_LENGTH = 32  # bytes


class PublicKey(Struct, frozen=True):
    """An Ed25519 key, by its 32 bytes."""

    raw: bytes

    @property
    def blob(self) -> bytes:
        """As it stands in signatures (RFC 8709, section 4)."""
        return string(KIND.encode()) + string(self.raw)

    @property
    def text(self) -> str:
        """As it stands in files: kind and base64."""
        return f"{KIND} {base64.b64encode(self.blob).decode()}"

    @property
    def fingerprint(self) -> str:
        """SHA256 and base64 without padding, as `ssh-keygen -l` shows it."""
        return f"SHA256:{base64.b64encode(hashlib.sha256(self.blob).digest()).decode().rstrip('=')}"


def of_blob(blob: bytes) -> PublicKey:
    """A key as it stands in a signature. Raises KeyFault."""
    reader = Reader(blob)
    if reader.string() != KIND.encode():
        raise KeyFault(f"the key is of another kind than {KIND}")
    raw = reader.string()
    reader.end()
    if len(raw) != _LENGTH:
        raise KeyFault("the key has a wrong length")
    return PublicKey(raw)


def read(text: str) -> PublicKey:
    """A key as it stands in files, with or without a comment behind it. Raises KeyFault."""
    parts = text.split()
    if len(parts) < 2 or parts[0] != KIND:
        raise KeyFault(f"a public key begins with {KIND}, and its letters follow after a blank")
    try:
        key = of_blob(base64.b64decode(parts[1], validate=True))
    except (binascii.Error, ValueError) as error:
        raise KeyFault("the letters of the public key are not whole") from error
    if key.text != f"{KIND} {parts[1]}":
        raise KeyFault("the letters of the public key are not whole")
    return key
