"""What every spec of content can do: give itself back as JSON values and be fingerprinted."""

from dataclasses import fields
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import Any

from training.questions.canonical import digest
from training.questions.specs import plain


class Spec:
    """A frozen dataclass of content."""

    __slots__ = ()

    def as_json(self) -> dict[str, Any]:
        """Return every field as JSON values; exact numbers as text."""
        return {name: _json(getattr(self, name)) for name in (field.name for field in fields(self))}  # type: ignore[arg-type]

    @property
    def digest(self) -> str:
        """Return the fingerprint of all the author wrote: 64 hex digits."""
        return digest(self.as_json())


def _json(value: Any) -> Any:
    if isinstance(value, Spec):
        return value.as_json()
    if isinstance(value, tuple):
        return [_json(inner) for inner in value]
    if isinstance(value, Fraction):
        return plain(value)
    return str(value) if isinstance(value, Decimal | Enum) else value
