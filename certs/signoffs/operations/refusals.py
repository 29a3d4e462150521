"""Why an act of this room is refused."""

from collections.abc import Iterable

from certs.arrivals.rules import Problem
from certs.signoffs.models import SLIP_WORDS
from certs.signoffs.rules import Slip


class Refused(Exception):
    """The act is refused; `sentences` says why, for the person who asked."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__(" ".join(self.sentences))


class MayNotSign(Refused):
    """This person may not sign this practical."""


class BadSheet(Refused):
    """The sheet cannot be signed as it is; `slips` names what is wrong and the bond it is about (0 for none)."""

    def __init__(self, slips: Iterable[tuple[Slip, int]]) -> None:
        self.slips = tuple(slips)
        super().__init__(str(SLIP_WORDS[slip]) for slip, _position in self.slips)


class CannotCorrect(Refused):
    """The record named is not one that this sheet can replace."""


class NoException(Refused):
    """The exception cannot be declared, approved or refused."""


class MayNotDecide(Refused):
    """This person may not decide about this practical."""


class Unfit(Refused):
    """A filled sheet cannot be taken; `problems` says of each field, or of the whole, what to do."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(one.says for one in self.problems)
