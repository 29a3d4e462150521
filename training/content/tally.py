"""What a load of content did, counted."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tally:
    """How many things came new, were revised, were retired, and stayed as they were."""

    new: int = 0
    revised: int = 0
    retired: int = 0
    unchanged: int = 0

    def __add__(self, other: "Tally") -> "Tally":
        return Tally(
            self.new + other.new,
            self.revised + other.revised,
            self.retired + other.retired,
            self.unchanged + other.unchanged,
        )

    def __str__(self) -> str:
        return f"{self.new} new, {self.revised} revised, {self.retired} retired, {self.unchanged} unchanged"
