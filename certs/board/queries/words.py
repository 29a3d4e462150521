"""How a standing is said on the board, and how a filter names it."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy

from certs.cards.rules import Standing

WORDS: Mapping[Standing | None, str | Promise] = {
    Standing.CURRENT: gettext_lazy("Current"),
    Standing.DUE: gettext_lazy("Due"),
    Standing.WORK_NOT_CONFIRMED: gettext_lazy("Work not confirmed"),
    Standing.PROCEDURE_OVERDUE: gettext_lazy("Procedure overdue"),
    Standing.SUSPENDED: gettext_lazy("Suspended"),
    Standing.LAPSED: gettext_lazy("Lapsed"),
    Standing.WITHDRAWN: gettext_lazy("Withdrawn"),
    Standing.REPLACED: gettext_lazy("Replaced"),
    Standing.NOT_YET_VALID: gettext_lazy("Not yet valid"),
    None: gettext_lazy("No card"),
}
DAYS: Mapping[Standing, str | Promise] = {
    Standing.CURRENT: gettext_lazy("until %(day)s"),
    Standing.DUE: gettext_lazy("until %(day)s"),
    Standing.WORK_NOT_CONFIRMED: gettext_lazy("was due %(day)s"),
    Standing.PROCEDURE_OVERDUE: gettext_lazy("was due %(day)s"),
    Standing.SUSPENDED: gettext_lazy("since %(day)s"),
    Standing.LAPSED: gettext_lazy("last day %(day)s"),
    Standing.WITHDRAWN: gettext_lazy("since %(day)s"),
    Standing.REPLACED: gettext_lazy("since %(day)s"),
    Standing.NOT_YET_VALID: gettext_lazy("from %(day)s"),
}


def value_of(standing: Standing | None) -> str:
    """Return a standing as a filter names it."""
    return "no card" if standing is None else standing.value
