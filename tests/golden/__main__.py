"""`python -m tests.golden`: write what is missing."""

from tests.golden import specs, write_missing

for file in write_missing(specs()):
    print(f"wrote {file.name}")
