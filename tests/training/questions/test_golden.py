"""What a question of a version shows and takes as right never changes; a change is a new version."""

import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tests.golden import FOLDER, golden, specs, write_missing
from training.content.questions import read_question
from training.questions.book import calculations
from training.questions.item import Item
from training.questions.specs import QuestionSpec


@cache
def by_key() -> dict[str, QuestionSpec]:
    return {spec.key: spec for spec in specs()}


class TestGolden:
    @pytest.mark.parametrize("key", by_key())
    def test_item_of_seed_1_is_what_it_was(self, key: str) -> None:
        """Or the question has a new version: then run python -m tests.golden."""
        file = FOLDER / f"{key}.json"
        assert file.exists(), f"no golden file for {key}: run python -m tests.golden"
        kept = json.loads(file.read_text())
        assert golden(by_key()[key]) == kept, f"{key} changed without a new version"

    @pytest.mark.parametrize("key", by_key())
    def test_stored_sides_give_the_item_back(self, key: str) -> None:
        """The two sides as stored have the fingerprint they were stored with."""
        kept = json.loads((FOLDER / f"{key}.json").read_text())
        assert Item.from_json(kept["shown"], kept["key"]).digest == kept["digest"]

    def test_no_file_without_its_question(self) -> None:
        """A question that is gone takes its file along."""
        assert {file.stem for file in FOLDER.glob("*.json")} == set(by_key())


class TestWriting:
    def test_writes_only_what_is_missing_or_older(self, tmp_path: Path) -> None:
        """A file of the same version stays, whatever the question says now."""
        spec = next(iter(by_key().values()))
        (file,) = write_missing([spec], tmp_path)
        first = file.read_text()
        assert list(write_missing([replace(spec, prompt="Changed.")], tmp_path)) == []
        assert file.read_text() == first
        assert list(write_missing([replace(spec, version=spec.version + 1)], tmp_path)) == [file]
        assert json.loads(file.read_text())["shown"]["version"] == spec.version + 1


class TestStoredSpecification:
    @pytest.mark.parametrize("key", by_key())
    def test_is_the_same_after_a_store_that_sorts_names(self, key: str) -> None:
        """jsonb of PostgreSQL keeps no order of names, and draws follow the order of the values."""
        stored = json.loads(json.dumps(by_key()[key].as_json(), sort_keys=True))
        assert read_question(stored, book=calculations(), seeds=0) == by_key()[key]
