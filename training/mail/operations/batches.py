"""Sending mails one after the other: each is written down first, so that a broken run never sends one twice."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from smtplib import SMTPException

from django.core.mail import EmailMessage


@dataclass(frozen=True, slots=True)
class Post:
    """A mail to somebody. `write` notes it and says whether it is new; `sent` and `failed` note how it went."""

    to: str
    write: Callable[[], bool]
    message: Callable[[], EmailMessage]
    sent: Callable[[], None]
    failed: Callable[[], None]


@dataclass(frozen=True, slots=True)
class Delivery:
    """How many mails left, and for each that did not, to whom and why."""

    sent: int
    failed: tuple[str, ...]

    @property
    def words(self) -> str:
        """The outcome in one line, for the log of a command."""
        return f"{self.sent} sent, {len(self.failed)} not sent."


def deliver(posts: Iterable[Post]) -> Delivery:
    """Send each mail that is new, and go on after one that would not leave."""
    sent, failed = 0, []
    for post in posts:
        if not post.write():
            continue
        try:
            post.message().send()
        except (OSError, SMTPException) as error:
            post.failed()
            failed.append(f"{post.to}: {error}")
            continue
        post.sent()
        sent += 1
    return Delivery(sent, tuple(failed))
