"""Pure rules of safe keeping."""

from training.keeping.rules.copies import Keep, Manifest, kept_names, unknown_steps
from training.keeping.rules.promises import MENDED, is_mended, numbered
from training.keeping.rules.vitals import Part, Vitals, parts, serves

__all__ = [
    "MENDED",
    "Keep",
    "Manifest",
    "Part",
    "Vitals",
    "is_mended",
    "kept_names",
    "numbered",
    "parts",
    "serves",
    "unknown_steps",
]
