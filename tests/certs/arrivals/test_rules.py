"""What a phone sends: what is read, and what no record can be."""

import hashlib
import json
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certs.arrivals import rules
from certs.arrivals.rules import Unreadable

KEY = UUID(int=1)


def raw(**changes: Any) -> bytes:
    sent = {"made_by": 3, "phone_time": "2026-11-25T09:00:00.000Z", "fields": {"place": "Yard", "seen": ["a", "b"]}}
    return json.dumps(sent | changes).encode()


class TestRead:
    def test_takes_what_a_phone_makes(self) -> None:
        """Who, when, what, and the SHA-256 (FIPS 180-4) of the very bytes."""
        sent = rules.read(raw())
        assert (sent.made_by, sent.phone_time) == (3, datetime(2026, 11, 25, 9, tzinfo=UTC))
        assert sent.fields == {"place": "Yard", "seen": ["a", "b"]}
        assert sent.digest == hashlib.sha256(raw()).hexdigest()

    def test_reads_an_offset(self) -> None:
        """ISO 8601, as Europe writes its winter."""
        sent = rules.read(raw(phone_time="2026-11-25T09:00:00+01:00"))
        assert sent.phone_time == datetime(2026, 11, 25, 8, tzinfo=UTC)

    @pytest.mark.parametrize(
        "changes",
        [
            {"made_by": True},
            {"made_by": "3"},
            {"made_by": None},
            {"phone_time": "yesterday"},
            {"phone_time": "2026-11-25T09:00:00"},  # whose nine o'clock?
            {"phone_time": "0001-01-01T00:00:00+14:00"},  # before every calendar day in UTC
            {"phone_time": 1764061200},
            {"fields": ["place"]},
            {"fields": {"place": 7}},
            {"fields": {"place": False}},
            {"fields": {"place": ["a", None]}},
            {"fields": {"place": "\ud800"}},  # half a character
            {"fields": {"\udfff": "place"}},
        ],
    )
    def test_refuses(self, changes: dict[str, Any]) -> None:
        """What a broken or hostile sender makes is told apart from a record."""
        with pytest.raises(Unreadable):
            rules.read(raw(**changes))

    @pytest.mark.parametrize(
        "bytes_", [b"", b"\xff\xfe", b"[]", b"3", b"{", b"[" * 100_000, b'{"made_by": ' + b"9" * 5000 + b"}"]
    )
    def test_refuses_what_is_no_json_object(self, bytes_: bytes) -> None:
        """Nested ever so deep, or a number longer than any."""
        with pytest.raises(Unreadable):
            rules.read(bytes_)

    def test_refuses_what_is_too_long(self) -> None:
        """A record is some lines of text."""
        with pytest.raises(Unreadable):
            rules.read(raw(fields={"place": "x" * rules.MOST_BYTES}))

    @given(st.binary(max_size=200))
    def test_never_breaks_on_bytes(self, bytes_: bytes) -> None:
        """A record or Unreadable, and nothing else."""
        with pytest.raises(Unreadable):
            rules.read(bytes_)

    @given(
        st.recursive(
            st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters(codec=None)),
            lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
            max_leaves=8,
        )
    )
    def test_what_is_read_can_be_written(self, found: object) -> None:
        """Every text that comes through can be encoded, so that no database chokes on it."""
        try:
            sent = rules.read(json.dumps({"made_by": 1, "phone_time": "2026-01-01T00:00Z", "fields": found}).encode())
        except Unreadable:
            return
        json.dumps(sent.fields, ensure_ascii=False).encode()


class TestReplies:
    def test_are_the_ones_a_phone_acts_on(self) -> None:
        """New, the same again, another one, to be put right."""
        assert rules.kept(KEY, new=True) == rules.Reply(201, {"kept": str(KEY)})
        assert rules.kept(KEY, new=False).status == 200
        assert rules.conflict() == rules.Reply(409, {})
        named = {"field": "place", "name": "Place", "says": "Say where."}
        assert rules.refused([rules.Problem(**named)]) == rules.Reply(422, {"problems": [named]})
        whole = {"field": "", "name": "", "says": "It came damaged."}
        assert rules.refused_whole("It came damaged.") == rules.Reply(422, {"problems": [whole]})
