"""Keys of the people at the Whinchat, and the real ssh-keygen, which has the last word on what is signed."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

from clampbook.signing import secret

PHRASE = "four little words"
INES, MAUD, OKKE = secret.made(), secret.made(), secret.made()


def keygen(*arguments: str, said: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    """Run ssh-keygen, which must be there: a signature that nobody else can check is worth little."""
    program = shutil.which("ssh-keygen")
    assert program is not None, "ssh-keygen is not there: install openssh-client (apt-get install openssh-client)"
    return subprocess.run([program, *arguments], input=said, capture_output=True, timeout=30)


def verified(
    folder: Path, allowed: bytes, person: str, message: bytes, signature: bytes, at: str = "20200601Z"
) -> subprocess.CompletedProcess[bytes]:
    """What ssh-keygen says of a signature, at a time."""
    (folder / "allowed_signers").write_bytes(allowed)
    (folder / "signature").write_bytes(signature)
    where = ["-f", str(folder / "allowed_signers"), "-I", person, "-n", "clampbook"]
    options = ["-s", str(folder / "signature"), f"-Overify-time={at}"]
    return keygen("-Y", "verify", *where, *options, said=message)
