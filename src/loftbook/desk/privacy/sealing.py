"""A copy of the book that nobody reads without its pass phrase: encrypted and authenticated as a whole.

Form: the words `LOFTBOOK SEALED 1` and a line feed, 16 bytes of salt, 12 bytes of nonce, then the
copy under AES-256-GCM with all before it as associated data. The key is made of the phrase by
scrypt with n = 2^17, r = 8, p = 1.

Source
    scrypt: RFC 7914, and the OWASP password storage cheat sheet for its cost (from memory); GCM: NIST SP 800-38D
"""

from __future__ import annotations

import os
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from loftbook.errors import BookFileError, Refused

HEAD = b"LOFTBOOK SEALED 1\n"
SHORTEST = 12  # letters of a phrase: the file can be tried at leisure by whoever has it
LARGEST = 2_000_000_000  # bytes that fit into one message of GCM as it is used here
_SALT, _NONCE = 16, 12


def sealed(data: bytes, phrase: str) -> bytes:
    """The bytes under a pass phrase; raises Refused for one that is short.

    >>> unsealed(sealed(b"a book", "four words or five"), "four words or five")
    b'a book'
    """
    if len(phrase) < SHORTEST:
        raise Refused(
            f"a pass phrase of {len(phrase)} letters",
            f"at least {SHORTEST}",
            "take four or five unlikely words",
        )
    if len(data) > LARGEST:
        raise Refused(
            f"a book of {len(data)} bytes", f"at most {LARGEST}", "encrypt the disk it is copied to"
        )
    salt, nonce = os.urandom(_SALT), os.urandom(_NONCE)
    head = HEAD + salt + nonce
    return head + AESGCM(_key(phrase, salt)).encrypt(nonce, data, head)


def unsealed(data: bytes, phrase: str) -> bytes:
    """What was sealed; raises BookFileError for another phrase or a file that was changed."""
    start = len(HEAD) + _SALT + _NONCE
    head, salt, nonce = data[:start], data[len(HEAD) : len(HEAD) + _SALT], data[start - _NONCE : start]
    try:
        return AESGCM(_key(phrase, salt)).decrypt(nonce, data[start:], head)
    except (InvalidTag, ValueError) as error:  # ValueError: cut short within the salt or the nonce
        raise BookFileError(
            "The pass phrase is another, or the sealed copy was changed or cut short",
            todo="type the phrase again, or take another copy",
        ) from error


def is_sealed(file: Path) -> bool:
    """Whether a file says that it is a sealed copy."""
    if not file.is_file():
        return False
    with file.open("rb") as opened:
        return opened.read(len(HEAD)) == HEAD


def _key(phrase: str, salt: bytes) -> bytes:
    return Scrypt(salt=salt, length=32, n=2**17, r=8, p=1).derive(phrase.encode())
