"""PINs: what may be one, and the slow hash of it that is kept."""

from __future__ import annotations

from datetime import timedelta

from lotwake.trace.base.errors import CallError

SHORTEST, LONGEST = 4, 12
FREE_TRIES = 3
"""Wrong tries before the next one has to wait."""
FIRST_WAIT_S, LONGEST_WAIT_S = 30, 900


def must_be_pin(pin: str) -> str:
    """The digits of a new PIN; CallError when it is too short, too long, no digits, or one digit over and over."""
    bare = pin.strip()
    if not (bare.isascii() and bare.isdigit() and SHORTEST <= len(bare) <= LONGEST):
        raise CallError(f"A PIN is {SHORTEST} to {LONGEST} digits.", "Six that nobody guesses are better than four.")
    if len(set(bare)) == 1:
        raise CallError("A PIN of one digit over and over is guessed first.", "Choose another.")
    return bare


def hashed(pin: str) -> str:
    """Argon2id (RFC 9106) of a PIN with a salt of its own, as text that names its parameters."""
    from argon2 import PasswordHasher  # loaded only where a PIN is set or asked for

    return PasswordHasher().hash(pin)


def fits(kept: str, pin: str) -> bool:
    """Whether this PIN was hashed to what is kept."""
    from argon2 import PasswordHasher
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        return PasswordHasher().verify(kept, pin.strip())
    except (VerificationError, InvalidHashError, UnicodeError):
        return False


def wait_after(wrong: int) -> timedelta:
    """How long the next try has to wait after so many wrong ones: nothing at first, then twice as long each time."""
    if wrong < FREE_TRIES:
        return timedelta()
    return timedelta(seconds=min(FIRST_WAIT_S * 2 ** min(wrong - FREE_TRIES, 10), LONGEST_WAIT_S))
