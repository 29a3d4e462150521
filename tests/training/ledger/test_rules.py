"""The mark of an entry, and what a check of the chain finds."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from training.ledger.rules import OUT_OF_ORDER, SHORT, START, Head, Link, first_fault, mark, read_head, steps_back

AT = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def chain(length: int = 5) -> list[Link]:
    links: list[Link] = []
    for seq in range(1, length + 1):
        facts = {"seq": seq, "at": AT + timedelta(minutes=seq), "by": 7, "act": "card issued", "about": {"card": seq}}
        prev = links[-1].mark if links else START
        links.append(Link(**facts, prev=prev, mark=mark(**facts, prev=prev)))
    return links


class TestMark:
    def test_is_the_sha256_of_the_canonical_text(self):
        """Worked out with coreutils: printf '%s' '<text>' | sha256sum, where <text> is the list below."""
        # [1,"2026-11-25T09:00:00+00:00",7,"card issued",{"card":3},"<64 zeros>"]
        found = mark(seq=1, at=AT, by=7, act="card issued", about={"card": 3}, prev=START)
        assert found == "0b9efe2701dde5e7d0b13f352786dc3fc9c3dec12ec6179e63ff921c10335d73"

    def test_does_not_depend_on_the_order_of_keys(self):
        one, other = (
            mark(seq=1, at=AT, by=7, act="a", about=about, prev=START) for about in ({"a": 1, "b": 2}, {"b": 2, "a": 1})
        )
        assert one == other

    @pytest.mark.parametrize(
        "other",
        [
            {"seq": 2},
            {"at": AT + timedelta(microseconds=1)},
            {"by": 8},
            {"act": "b"},
            {"about": {}},
            {"prev": "1" * 64},
        ],
    )
    def test_changes_with_every_fact(self, other):
        facts = {"seq": 1, "at": AT, "by": 7, "act": "a", "about": {"card": 3}, "prev": START}
        assert mark(**facts) != mark(**(facts | other))


class TestFirstFault:
    def test_of_a_whole_chain_is_none(self):
        assert first_fault(chain()) == ""
        assert first_fault([]) == ""

    @pytest.mark.parametrize(
        "edit", [{"by": 8}, {"act": "card withdrawn"}, {"about": {"card": 9}}, {"at": AT}, {"mark": "f" * 64}]
    )
    def test_names_the_entry_that_was_edited(self, edit):
        links = chain()
        links[2] = replace(links[2], **edit)
        assert first_fault(links) == "Entry 3 was changed after it was written."

    def test_names_the_entry_that_is_missing(self):
        links = chain()
        del links[1]
        assert first_fault(links) == "Entry 2 is missing: the next one kept is 3."
        assert first_fault(chain()[1:]) == "Entry 1 is missing: the next one kept is 2."

    def test_finds_an_entry_edited_together_with_its_mark(self):
        """Whoever mends the mark of one entry breaks the link of the next."""
        links = chain()
        facts = {"seq": 3, "at": links[2].at, "by": 8, "act": "x", "about": {}, "prev": links[2].prev}
        links[2] = Link(**facts, mark=mark(**facts))
        assert first_fault(links) == "Entry 4 does not follow the entry before it."

    def test_finds_an_entry_put_in_twice(self):
        links = chain()
        assert first_fault([*links[:3], *links[2:]]) == "Entry 4 is missing: the next one kept is 3."

    def test_cannot_know_of_entries_cut_off_at_the_end(self):
        """Only a head kept elsewhere shows that; this test keeps the limit in view."""
        assert first_fault(chain()[:3]) == ""


class TestKeptHead:
    """Nothing inside a chain shows that its end is gone, or that it was made anew; a head kept elsewhere does."""

    def head(self, seq: int) -> Head:
        return Head(seq, chain()[seq - 1].mark[:SHORT])

    def test_is_found_in_the_chain_it_was_kept_of(self):
        for seq in range(1, 6):
            assert first_fault(chain(), kept=self.head(seq)) == ""

    def test_shows_that_entries_are_gone(self):
        assert first_fault(chain()[:3]) == ""
        said = "The ledger ends at entry 3, but the mark of entry 5 was kept: entries are gone."
        assert first_fault(chain()[:3], kept=self.head(5)) == said
        assert "entries are gone" in first_fault([], kept=self.head(1))

    def test_shows_that_the_chain_was_written_anew(self):
        anew: list[Link] = []
        for link in chain():
            facts = {"seq": link.seq, "at": link.at, "by": 8, "act": link.act, "about": link.about}
            prev = anew[-1].mark if anew else START
            anew.append(Link(**facts, prev=prev, mark=mark(**facts, prev=prev)))
        assert first_fault(anew) == ""
        assert "Entry 4 is not the one whose mark was kept" in first_fault(anew, kept=self.head(4))

    def test_is_read_as_it_is_printed(self):
        assert read_head(" 12 9F86D081884c7d65 ") == Head(12, "9f86d081884c7d65")
        assert read_head("12 " + "a" * 64) == Head(12, "a" * 64)

    @pytest.mark.parametrize(
        "text", ["", "12", "x 9f86d081884c7d65", "12 9f86", f"12 {'a' * 65}", f"12 {'g' * 16}", f"٣ {'a' * 16}"]
    )
    def test_is_none_of_any_other_text(self, text):
        assert read_head(text) is None


class TestClockSetBack:
    def test_names_the_entry_and_by_how_much(self):
        hour = timedelta(hours=1)
        assert steps_back([(1, AT), (2, AT + hour), (3, AT), (4, AT + hour)]) == [(3, hour)]

    def test_takes_acts_that_waited_for_one_another_for_what_they_are(self):
        assert steps_back([(1, AT), (2, AT - OUT_OF_ORDER), (3, AT)]) == []
        assert steps_back([]) == []
