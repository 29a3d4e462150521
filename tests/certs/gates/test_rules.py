"""Tokens as they are sent."""

import pytest

from certs.gates.rules import LONGEST, Malformed, Token, bearer, new_token, read_token


class TestBearer:
    @pytest.mark.parametrize(
        ("header", "token"),
        [
            ("Bearer mF_9.B5f-4.1JqM", "mF_9.B5f-4.1JqM"),  # RFC 6750, 2.1: its own example
            ("bearer abc", "abc"),  # RFC 9110, 11.1: the scheme is compared without regard to capitals
            ("BEARER  abc== ", "abc=="),
            ("", ""),
            ("Basic QWxhZGRpbjpvcGVuIHNlc2FtZQ==", ""),  # RFC 7617: another scheme
            ("Bearerabc", ""),
        ],
    )
    def test_is_read(self, header: str, token: str) -> None:
        """The token, or nothing where the header is about something else."""
        assert bearer(header) == token

    @pytest.mark.parametrize(
        "header",
        ["Bearer", "Bearer ", "Bearer a b", "Bearer ü", "Bearer a\x00b", "Bearer =a", "Bearer " + "a" * (LONGEST + 1)],
    )
    def test_is_refused_where_it_is_none(self, header: str) -> None:
        """RFC 6750, 2.1: b64token and nothing else."""
        with pytest.raises(Malformed):
            bearer(header)


class TestTokens:
    def test_are_read_as_they_were_made(self) -> None:
        """And pass as a bearer token."""
        for _one in range(300):
            made = new_token()
            assert read_token(made.text) == made
            assert bearer(f"Bearer {made.text}") == made.text

    @pytest.mark.parametrize(
        "text", ["", "gate", "gate..", "gate.12345678.short", "Gate." + Token("a" * 8, "b" * 22).text[5:]]
    )
    def test_of_elsewhere_are_none(self, text: str) -> None:
        """Each part has its length."""
        assert read_token(text) is None
