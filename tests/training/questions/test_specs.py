"""Specifications as they are stored."""

from training.questions.specs import in_written_order


class TestInWrittenOrder:
    def test_outlives_a_store_that_sorts_names(self):
        """PostgreSQL's jsonb keeps no order; a question read back from it must draw the same values."""
        stored = {"b": {"unit": "V", "place": 1}, "a": {"unit": "A", "place": 2}}
        sorted_by_name = dict(sorted(stored.items()))
        assert list(in_written_order(sorted_by_name).items()) == [("b", {"unit": "V"}), ("a", {"unit": "A"})]

    def test_leaves_tables_of_a_file_as_they_stand(self):
        """A file keeps its order; what is no table or no place is left for the reader to refuse."""
        tables = {"b": {"unit": "V"}, "a": 3, "c": {"place": "first"}}
        assert in_written_order(tables) == tables
        assert list(in_written_order(tables)) == ["b", "a", "c"]
