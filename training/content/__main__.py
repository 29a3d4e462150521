"""Check a folder of content: ``python -m training.content fixtures/content``."""

import sys
from pathlib import Path

from training.content.links import thin
from training.content.load import read_content
from training.content.mistakes import ContentErrors


def main(arguments: list[str]) -> int:
    """Print what was read, or every mistake; return 0 only when there is none."""
    if len(arguments) != 1:
        print("Name one folder: python -m training.content fixtures/content")
        return 2
    try:
        content = read_content(Path(arguments[0]))
    except ContentErrors as errors:
        print(f"{errors}\n{len(errors.mistakes)} mistakes; nothing was loaded.")
        return 1
    for name in ("modules", "questions", "checks", "papers", "schemes"):
        print(f"{len(getattr(content, name))} {name}")
    for line in thin(content):
        print(f"thin: {line}")
    return 0


if __name__ == "__main__":  # pragma: no cover
    sys.exit(main(sys.argv[1:]))
