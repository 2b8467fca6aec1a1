"""The secret part of a key: made, locked with a passphrase in OpenSSH's format, unlocked, and used to sign."""

from __future__ import annotations

from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    PrivateFormat,
    PublicFormat,
    load_ssh_private_key,
)

from clampbook.signing.passphrase import unfit
from clampbook.signing.public import PublicKey
from clampbook.signing.sshsig import NAMESPACE, Signature, armoured, to_be_signed
from clampbook.signing.wire import KeyFault

ROUNDS = 64  # of bcrypt for a new key: OpenSSH's own 16 are called too few today, and 64 take less than a second


class SecretKey:
    """A key that is unlocked; it is held no longer than one act of signing takes."""

    def __init__(self, key: Ed25519PrivateKey) -> None:
        self._key = key
        self.public = PublicKey(key.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw))

    def sign(self, message: bytes, namespace: str = NAMESPACE) -> bytes:
        """A signature file over the message, which holds for this purpose only."""
        return armoured(Signature(self.public, self._key.sign(to_be_signed(message, namespace)), namespace))

    def locked(self, passphrase: str) -> bytes:
        """The key file, under a passphrase. Raises KeyFault where that is too short or too common."""
        wrong = unfit(passphrase)
        if wrong is not None:
            raise KeyFault(wrong)
        locking = PrivateFormat.OpenSSH.encryption_builder().kdf_rounds(ROUNDS).build(passphrase.encode())
        return self._key.private_bytes(Encoding.PEM, PrivateFormat.OpenSSH, locking)


def made() -> SecretKey:
    """A new key."""
    return SecretKey(Ed25519PrivateKey.generate())


def unlocked(data: bytes, passphrase: str) -> SecretKey:
    """The key in a key file. Raises KeyFault for a wrong passphrase, and for a file that holds no such key."""
    try:
        key = load_ssh_private_key(data, passphrase.encode(errors="replace"))
    except TypeError as error:
        raise KeyFault(_WRONG if not passphrase else "the key has no passphrase. Make a new key") from error
    except (ValueError, UnsupportedAlgorithm) as error:
        raise KeyFault(_WRONG if b"BEGIN OPENSSH PRIVATE KEY" in data else "the key file is damaged") from error
    if not isinstance(key, Ed25519PrivateKey):
        raise KeyFault("the key is not ssh-ed25519. Make a new key")
    return SecretKey(key)


_WRONG = "the passphrase does not open this key. Type it again, capitals as you chose them"


def made_by(signature: Signature, message: bytes) -> bool:
    """True where the key that a signature names made it, over this very message."""
    try:
        Ed25519PublicKey.from_public_bytes(signature.key.raw).verify(
            signature.raw, to_be_signed(message, signature.namespace)
        )
    except (InvalidSignature, ValueError):
        return False
    return True
