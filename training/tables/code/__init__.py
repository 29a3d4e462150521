"""Reading and writing CSV and XLSX."""

from training.tables.code.reading import MOST_BYTES, MOST_COLUMNS, MOST_LINES, MOST_UNPACKED, read
from training.tables.code.writing import XLSX, Value, csv_lines, csv_texts, quoted, xlsx

__all__ = [
    "MOST_BYTES",
    "MOST_COLUMNS",
    "MOST_LINES",
    "MOST_UNPACKED",
    "XLSX",
    "Value",
    "csv_lines",
    "csv_texts",
    "quoted",
    "read",
    "xlsx",
]
