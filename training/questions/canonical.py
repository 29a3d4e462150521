"""One spelling of a JSON value, and its fingerprint."""

import hashlib
import json
from typing import Any


def canonical(value: Any) -> str:
    """Return the value as JSON with sorted keys and no spaces, so that equal values give equal text."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def digest(value: Any) -> str:
    """Return the SHA-256 of the value's canonical JSON (FIPS 180-4), 64 hex digits."""
    return hashlib.sha256(canonical(value).encode()).hexdigest()
