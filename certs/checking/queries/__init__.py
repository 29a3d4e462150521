"""Reading for the check: `answers` what somebody at the gate is told, `lists` the keys and the signed lists."""

from certs.checking.queries.answers import Answer, Checked, check, check_code
from certs.checking.queries.lists import (
    Kept,
    KeyState,
    entries,
    kept,
    key_states,
    newest_keys,
    newest_statuses,
    root_public,
    seen,
    statuses,
)

__all__ = [
    "Answer",
    "Checked",
    "Kept",
    "KeyState",
    "check",
    "check_code",
    "entries",
    "kept",
    "key_states",
    "newest_keys",
    "newest_statuses",
    "root_public",
    "seen",
    "statuses",
]
