"""CSV and XLSX files, in and out: bytes and plain cells, no database."""
