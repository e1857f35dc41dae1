"""A file sealed with a passphrase: Argon2id (RFC 9106) makes the key, AES-256-GCM (NIST SP 800-38D) seals it in blocks.

Each block is bound to its place and to whether it is the last, so that none can be left out, moved or cut off unseen.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from lotwake.trace.base.errors import CallError, NeedsAttention

MARK = b"LOTWAKE SEALED 1\n"
_SALT, _NONCE_START, _TAG = 16, 7, 16
BLOCK = 1 << 20
SHORTEST = 8
"""Signs a passphrase has at least; several words are better."""
_TIME, _MEMORY_KIB, _LANES = 4, 256 * 1024, 4


def is_sealed(path: Path) -> bool:
    """Whether a file begins as a sealed one does."""
    with path.open("rb") as file:
        return file.read(len(MARK)) == MARK


def seal(source: Path, target: Path, passphrase: str) -> None:
    """Write a sealed copy. CallError for a passphrase that is too short, or where the library is not installed."""
    if len(passphrase) < SHORTEST:
        raise CallError(
            f"The passphrase has fewer than {SHORTEST} signs.", "Several words that do not belong together."
        )
    salt, start = os.urandom(_SALT), os.urandom(_NONCE_START)
    cipher = _cipher(passphrase, salt)
    with source.open("rb") as plain, target.open("wb") as sealed:
        sealed.write(MARK + salt + start)
        for number, block, last in _blocks(plain, BLOCK):
            sealed.write(cipher.encrypt(_nonce(start, number, last), block, MARK))
        sealed.flush()
        os.fsync(sealed.fileno())


def unseal(source: Path, target: Path, passphrase: str) -> None:
    """Write the plain copy. CallError when the passphrase is wrong or the first block was changed; NeedsAttention when
    something after it was."""
    from cryptography.exceptions import InvalidTag

    with source.open("rb") as sealed, target.open("wb") as plain:
        head = sealed.read(len(MARK) + _SALT + _NONCE_START)
        if not head.startswith(MARK) or len(head) < len(MARK) + _SALT + _NONCE_START:
            raise NeedsAttention(f"{source} is no sealed backup, or was cut off.", "Try another one.")
        salt, start = head[len(MARK) : -_NONCE_START], head[-_NONCE_START:]
        cipher = _cipher(passphrase, salt)
        for number, block, last in _blocks(sealed, BLOCK + _TAG):
            try:
                plain.write(cipher.decrypt(_nonce(start, number, last), block, MARK))
            except InvalidTag:
                raise _not_opened(source, number) from None


def _not_opened(source: Path, number: int) -> CallError | NeedsAttention:
    if number == 0:
        return CallError(f"The passphrase does not open {source}.", "Check it; or the file was changed.")
    return NeedsAttention(f"{source} was changed or cut off after it was sealed.", "Try another one.")


def _blocks(file: IO[bytes], size: int) -> Iterator[tuple[int, bytes, bool]]:
    """Block, its number, and whether it is the last; an empty file is one empty block."""
    number, block = 0, file.read(size)
    while following := file.read(size):
        yield number, block, False
        number, block = number + 1, following
    yield number, block, True


def _nonce(start: bytes, number: int, last: bool) -> bytes:
    return start + number.to_bytes(4, "big") + bytes([last])


def _cipher(passphrase: str, salt: bytes) -> Any:
    try:
        from cryptography.hazmat.primitives.ciphers.aead import AESGCM
    except ImportError as missing:
        raise CallError(
            "Sealing a backup with a passphrase is not installed.", "Install it with: pip install 'lotwake[sealed]'"
        ) from missing
    from argon2.low_level import Type, hash_secret_raw

    secret = passphrase.encode("utf-8", "surrogateescape")
    return AESGCM(hash_secret_raw(secret, salt, _TIME, _MEMORY_KIB, _LANES, 32, Type.ID))
