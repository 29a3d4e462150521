"""Golden items: what seed 1 gave when a version of a question was first written.

`python -m tests.golden` writes the files that are missing, one a question with a number, and those whose
question has a new version. It never rewrites a file of the same version: when a formula, a rounding or a
text changes what people see, raise `version` in the question first.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from training.content.load import read_content
from training.questions.draw import draw
from training.questions.specs import Kind, QuestionSpec

FOLDER = Path(__file__).resolve().parent
CONTENT = FOLDER.parents[1] / "fixtures" / "content"
SEED = 1


def specs(content: Path = CONTENT) -> list[QuestionSpec]:
    """Return the calculations and scenarios of the content."""
    found = read_content(content, seeds=0).questions
    return [spec for spec in found if spec.kind in (Kind.CALCULATION, Kind.SCENARIO)]


def golden(spec: QuestionSpec) -> dict[str, Any]:
    """Return both sides of a question's item of seed 1, with its fingerprint."""
    item = draw(spec, SEED)
    return {"digest": item.digest, "shown": item.shown(), "key": item.key()}


def write_missing(questions: list[QuestionSpec], folder: Path = FOLDER) -> Iterator[Path]:
    """Write the files that are missing or of an older version, and yield them."""
    for spec in questions:
        file = folder / f"{spec.key}.json"
        if file.exists() and json.loads(file.read_text())["shown"]["version"] >= spec.version:
            continue
        file.write_text(json.dumps(golden(spec), ensure_ascii=False, indent=1) + "\n")
        yield file
