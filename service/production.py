"""What a service in production must not run with: the demonstration's defaults, and what opens it wide."""

from __future__ import annotations

from schemas.problems import FaultOfField
from service.settings import DEMONSTRATION_SECRET, PREFIX, Settings

_SHORTEST_SECRET = 32  # a key of an HMAC is at least as long as its hash, 32 bytes of SHA-256 (RFC 2104, 3)
_FEWEST_CHARACTERS = 10  # common practice, no source: what repeats a word or a key on the keyboard has fewer
_SECRETS = ("key_pepper", "cursor_secret")


def production_faults(settings: Settings) -> list[FaultOfField]:
    """What a service in production refuses to start with, by setting; no secret is shown."""
    faults = [fault for name in _SECRETS for fault in _faults_of_secret(settings, name)]
    if not faults and _secret(settings, "key_pepper") == _secret(settings, "cursor_secret"):
        allowed = f"another secret than that of {PREFIX}KEY_PEPPER"
        faults.append(FaultOfField(path=("cursor_secret",), found="the same", allowed=allowed))
    open_origins = [origin for origin in settings.cors_origins if not origin.startswith("https://")]
    if open_origins:
        allowed = "origins of https alone in production: their pages send keys"
        faults.append(FaultOfField(path=("cors_origins",), found=", ".join(open_origins), allowed=allowed))
    return faults


def production_warnings(settings: Settings) -> list[str]:
    """What an operator may have chosen on purpose, and should know of."""
    warnings = []
    if settings.limit_per_minute == 0:
        warnings.append(f"{PREFIX}LIMIT_PER_MINUTE is 0: nobody without a key is limited")
    if settings.wrong_keys_per_minute == 0:
        warnings.append(f"{PREFIX}WRONG_KEYS_PER_MINUTE is 0: keys may be tried without end")
    return warnings


def _faults_of_secret(settings: Settings, name: str) -> list[FaultOfField]:
    secret = _secret(settings, name)
    allowed = (
        f"a random secret of its own in production, of at least {_SHORTEST_SECRET} characters; "
        f"{PREFIX}{name.upper()}_FILE may name a file with it"
    )
    if secret == DEMONSTRATION_SECRET:
        found = "the demonstration's, which everybody knows"
    elif len(secret) < _SHORTEST_SECRET:
        found = f"one of {len(secret)} characters"
    elif len(set(secret)) < _FEWEST_CHARACTERS:
        found = "one that repeats a few characters"
    else:
        return []
    return [FaultOfField(path=(name,), found=found, allowed=allowed)]


def _secret(settings: Settings, name: str) -> str:
    secret: str = getattr(settings, name).get_secret_value()
    return secret
