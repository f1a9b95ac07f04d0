"""A signature with a key of the shop's own: Ed25519 (RFC 8032), the key in a PEM file (RFC 8410).

The library `cryptography` does it; it is installed with `buildcheck[signing]` and loaded only where a key is used.
"""

from __future__ import annotations

import base64
import binascii
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

ALGORITHM = "Ed25519"


class NotAKey(ValueError):
    """A key that cannot be used; the message says why, in one sentence."""


class Signature(NamedTuple):
    """A signature of the SHA-256 of a record: the algorithm, the public key and the signature, in base64."""

    algorithm: str
    public_key: str
    value: str

    def fits(self, sha256: str) -> bool:
        """Whether the owner of the public key signed this SHA-256."""
        from cryptography.exceptions import InvalidSignature
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

        try:
            public = Ed25519PublicKey.from_public_bytes(base64.b64decode(self.public_key, validate=True))
            public.verify(base64.b64decode(self.value, validate=True), sha256.encode())
        except (InvalidSignature, ValueError, binascii.Error):
            return False
        return True


class Key:
    """The shop's private key, or none."""

    def __init__(self, private: Ed25519PrivateKey | None = None) -> None:
        self._private = private

    def signature_of(self, sha256: str) -> Signature | None:
        """The signature of a SHA-256; None without a key."""
        if self._private is None:
            return None
        public = self._private.public_key().public_bytes_raw()
        value = self._private.sign(sha256.encode())
        return Signature(ALGORITHM, base64.b64encode(public).decode(), base64.b64encode(value).decode())


NO_KEY = Key()


def read_key(pem: bytes) -> Key:
    """The private key in a PEM file without a password. Raises NotAKey for one that cannot be used."""
    try:
        from cryptography.exceptions import UnsupportedAlgorithm
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
        from cryptography.hazmat.primitives.serialization import load_pem_private_key
    except ImportError:
        raise NotAKey('signing with a key needs a library: pip install "buildcheck[signing]"') from None
    try:
        key = load_pem_private_key(pem, password=None)
    except (ValueError, TypeError, UnsupportedAlgorithm):
        raise NotAKey("it holds no private key in PEM form without a password") from None
    if not isinstance(key, Ed25519PrivateKey):
        raise NotAKey(f"it holds a key of another kind; an {ALGORITHM} key is wanted")
    return Key(key)


def read_public_key(pem: bytes) -> str:
    """The public key in a PEM file, in base64. Raises NotAKey for one that cannot be used."""
    try:
        from cryptography.exceptions import UnsupportedAlgorithm
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
        from cryptography.hazmat.primitives.serialization import load_pem_public_key
    except ImportError:
        raise NotAKey('a signature with a key needs a library: pip install "buildcheck[signing]"') from None
    try:
        key = load_pem_public_key(pem)
    except (ValueError, TypeError, UnsupportedAlgorithm):
        raise NotAKey("it holds no public key in PEM form") from None
    if not isinstance(key, Ed25519PublicKey):
        raise NotAKey(f"it holds a key of another kind; an {ALGORITHM} key is wanted")
    return base64.b64encode(key.public_bytes_raw()).decode()
