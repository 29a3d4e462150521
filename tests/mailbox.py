"""A mail server of the protocol of RFC 5321 on this machine, which keeps what it is given."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from typing import Any

from aiosmtpd.controller import Controller

from training.people.models import Person


class Box:
    """The mail of a server, as it came; it may be told to refuse."""

    def __init__(self) -> None:
        self.mails: list[Any] = []
        self.refuses: set[str] = set()

    async def handle_RCPT(self, _server: Any, _session: Any, envelope: Any, address: str, _options: Any) -> str:  # noqa: N802
        if address in self.refuses:
            return "550 no such box"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:  # noqa: N802
        self.mails.append(message_from_bytes(envelope.content, policy=policy.default))
        return "250 OK"

    def to(self, person: Person) -> list[str]:
        return [one.get_content() for one in self.mails if one["To"] == person.email]

    def subjects(self, person: Person) -> list[str]:
        return [one["Subject"] for one in self.mails if one["To"] == person.email]


@contextmanager
def serving() -> Iterator[tuple[Box, int]]:
    """Serve a box on a free port, and say on which."""
    kept = Box()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = Controller(kept, hostname="127.0.0.1", port=port)
    server.start()
    yield kept, port
    server.stop()
