"""A question written out as the TOML of a file of content, so that ``read_question`` gives the same question back."""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from training.questions.specs import in_written_order

# Numbers whose digits count stand bare, as an author writes them; tolerances and shares stand as text.
_BARE_KEYS = ("from", "to", "step", "choice", "constant")
# A number of TOML 1.0; -0 is left out, because it would come back as a whole number without its sign.
_BARE = re.compile(r"(?!-0\Z)-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?\Z")
_NAME = re.compile(r"[A-Za-z0-9_-]+\Z")
_NAMED = ("given", "show")
_TABLES = ("answer", "working")
_LAST = ("given", "answer", "wrong", "show", "working", "option", "part")


def written(question: Mapping[str, Any]) -> str:
    """Return the text of a file that holds this one question, given as ``QuestionSpec.as_json`` gives it."""
    table = {name: value for name, value in question.items() if name != "language"}
    return "\n".join([f"language = {quoted(question['language'])}", "", "[[question]]", *_lines(table, "question"), ""])


def _lines(table: Mapping[str, Any], path: str) -> Iterator[str]:
    """Yield a table's own values, then the tables inside it, which TOML wants last."""
    for key, value in table.items():
        if key not in _LAST or not _holds_tables(value):
            yield f"{_name(key)} = {_value(value, bare=key in _BARE_KEYS, wide=key == 'lines')}"
    for key in (name for name in _LAST if _holds_tables(table.get(name))):
        inner = f"{path}.{key}"
        if key in _NAMED:
            for name, value in in_written_order(table[key]).items():
                yield from (f"[{inner}.{_name(name)}]", *_lines(value, f"{inner}.{name}"))
        else:
            head = f"[{inner}]" if key in _TABLES else f"[[{inner}]]"
            for value in [table[key]] if key in _TABLES else table[key]:
                yield from (head, *_lines(value, inner))


def _holds_tables(value: object) -> bool:
    return isinstance(value, Mapping) or (isinstance(value, list) and all(isinstance(row, Mapping) for row in value))


def _value(value: Any, *, bare: bool, wide: bool = False) -> str:
    if isinstance(value, bool | int):
        return json.dumps(value)
    if isinstance(value, str):
        return value if bare and _BARE.match(value) else quoted(value)
    if isinstance(value, Mapping):
        pairs = (f"{_name(key)} = {_value(one, bare=key in _BARE_KEYS)}" for key, one in value.items())
        return f"{{ {', '.join(pairs)} }}"
    return listed([_value(one, bare=bare) for one in value], wide=wide)


def listed(items: Sequence[str], *, wide: bool) -> str:
    """Return written values as an array, each on its own line when ``wide``."""
    return "[\n" + "".join(f"  {item},\n" for item in items) + "]" if wide else f"[{', '.join(items)}]"


def _name(key: str) -> str:
    return key if _NAME.match(key) else quoted(key)


def quoted(value: str) -> str:
    """Return a basic string: JSON's escapes are TOML's too, but JSON leaves DEL as it is and TOML does not."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
