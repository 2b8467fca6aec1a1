"""Signatures in the SSH signature format, as `ssh-keygen -Y` makes and checks them (OpenSSH, PROTOCOL.sshsig)."""

from __future__ import annotations

import base64
import binascii
import hashlib

from msgspec import Struct

from clampbook.signing import public
from clampbook.signing.public import KIND, PublicKey
from clampbook.signing.wire import KeyFault, Reader, number, string

NAMESPACE = "clampbook"  # of sign-offs, of what is signed at once, and of releases
SEAL_NAMESPACE = "clampbook-seal"  # of seals alone: no signature can stand for one of the other kind
_MAGIC, _VERSION, _HASH = b"SSHSIG", 1, b"sha512"
_BEGIN, _END = "-----BEGIN SSH SIGNATURE-----", "-----END SSH SIGNATURE-----"
_WIDTH = 70  # letters a line, as ssh-keygen breaks them
_LENGTH = 64  # bytes of an Ed25519 signature


class Signature(Struct, frozen=True):
    """A signature and the key that is said to have made it; whether it did is seen only with the message."""

    key: PublicKey
    raw: bytes
    namespace: str = NAMESPACE


def to_be_signed(message: bytes, namespace: str = NAMESPACE) -> bytes:
    """Bytes that the key itself signs: namespace, kind of hash, and the SHA-512 of the message."""
    digest = hashlib.sha512(message).digest()
    return _MAGIC + string(namespace.encode()) + string(b"") + string(_HASH) + string(digest)


def armoured(signature: Signature) -> bytes:
    """The one form of a signature file."""
    blob = b"".join(
        (
            _MAGIC,
            number(_VERSION),
            string(signature.key.blob),
            string(signature.namespace.encode()),
            string(b""),
            string(_HASH),
            string(string(KIND.encode()) + string(signature.raw)),
        )
    )
    letters = base64.b64encode(blob).decode()
    lines = [letters[at : at + _WIDTH] for at in range(0, len(letters), _WIDTH)]
    return "\n".join((_BEGIN, *lines, _END, "")).encode()


def read(data: bytes, namespace: str = NAMESPACE) -> Signature:
    """The signature in a file, made for this namespace. Raises KeyFault for any other form than the one that is
    written."""
    lines = data.decode("ascii", "replace").split("\n")
    if len(lines) < 4 or lines[0] != _BEGIN or lines[-2:] != [_END, ""]:
        raise KeyFault(f"a signature stands between the lines {_BEGIN} and {_END}")
    try:
        blob = base64.b64decode("".join(lines[1:-2]), validate=True)
    except (binascii.Error, ValueError) as error:
        raise KeyFault("the letters of the signature are not whole") from error
    signature = _of_blob(blob, namespace)
    if armoured(signature) != data:
        raise KeyFault("the signature is not in the form in which it is written")
    return signature


def _of_blob(blob: bytes, namespace: str) -> Signature:
    reader = Reader(blob)
    reader.exactly(_MAGIC)
    if reader.number() != _VERSION:
        raise KeyFault("the signature is of a version that is not known")
    key = public.of_blob(reader.string())
    if reader.string() != namespace.encode():
        raise KeyFault(f"the signature was made for another purpose than {namespace}")
    if reader.string() or reader.string() != _HASH:
        raise KeyFault("the signature was made over another kind of hash than sha512")
    inner = Reader(reader.string())
    reader.end()
    if inner.string() != KIND.encode():
        raise KeyFault(f"the signature is of another kind than {KIND}")
    raw = inner.string()
    inner.end()
    if len(raw) != _LENGTH:
        raise KeyFault("the signature has a wrong length")
    return Signature(key, raw, namespace)
