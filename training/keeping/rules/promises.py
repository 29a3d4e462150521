"""Which SQLite keeps what it was given."""

# First good version of each line that was mended. The fault of resetting the write-ahead log stands in 3.7.0 to 3.51.2.
# Source: sqlite.org, "Write-Ahead Logging", section on the WAL-reset bug.
MENDED = ((3, 51, 3), (3, 50, 7), (3, 44, 6))


def numbered(text: str) -> tuple[int, ...]:
    """Read a version such as '3.51.3'. Raises ValueError for anything else."""
    return tuple(int(part) for part in text.split("."))


def is_mended(version: tuple[int, ...]) -> bool:
    """Say whether a version of SQLite is past the fault, or has it mended on its own line."""
    newest = MENDED[0]
    return version >= newest or any(version[:2] == line[:2] and version >= line for line in MENDED[1:])
