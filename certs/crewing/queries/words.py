"""Saying in words what is wrong with a plan, and what it leaves open. Reads nothing: everything is handed in."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from certs.crewing.rules import COVER, Fault, Rule, Shortage
from certs.crewing.rules.plan import DAY
from certs.jobs.rules import Hand, ranges

FAULTS = {
    Rule.KNOWN: gettext_lazy(
        "%(day)s: the plan names a job that is closed or not on this day any more. Take the turn out."
    ),
    Rule.EMPLOYER: gettext_lazy("%(day)s, %(job)s: %(hand)s works for another employer. Send somebody else."),
    Rule.WANTED: gettext_lazy("%(day)s, %(job)s: no %(place)s is wanted there that day. Take the turn out."),
    Rule.CARD: gettext_lazy("%(day)s, %(job)s: %(hand)s has no card for %(scheme)s that is current that day."),
    Rule.SUPERVISOR: gettext_lazy("%(day)s, %(job)s: %(hand)s is not a supervisor."),
    Rule.AWAY: gettext_lazy("%(day)s, %(job)s: %(hand)s is away that day."),
    Rule.ONE_PLACE: gettext_lazy("%(day)s, %(job)s: %(hand)s has another place that day. One place a day."),
    Rule.REST: gettext_lazy("%(day)s, %(job)s: %(hand)s comes from a night job and has to rest that day."),
    Rule.ROW: gettext_lazy("%(day)s, %(job)s: it is day %(number)d in a row for %(hand)s. Leave a day free before."),
}
LEFT = gettext_lazy(
    "%(day)s, %(job)s: whoever is sent there does not work for this employer, or not any more. Send somebody else."
)
WITHOUT = {
    Rule.REST: gettext_lazy("Without the rest after a night job a place could be filled."),
    Rule.ROW: gettext_lazy("With one more day in a row a place could be filled."),
    Rule.AWAY: gettext_lazy("If somebody who is away were there, a place could be filled."),
    Rule.CARD: gettext_lazy("If a card were renewed, or its work confirmed, a place could be filled."),
}


def first_of_runs(faults: Sequence[Fault]) -> list[Fault]:
    """Leave out the days in a row after the first one too many: they say the same again."""
    long = {(one.hand, one.day) for one in faults if one.rule is Rule.ROW}
    return [one for one in faults if one.rule is not Rule.ROW or (one.hand, one.day - DAY) not in long]


def fault_words(fault: Fault, jobs: Mapping[str, str], hands: Sequence[Hand], titles: Mapping[str, str]) -> str:
    """Say in a sentence which rule is broken; `jobs` has what each is called by key, `titles` has schemes by slug."""
    facts = {
        "day": date_format(fault.day),
        "job": jobs.get(fault.job, fault.job),
        "hand": next((hand.name for hand in hands if hand.key == fault.hand), fault.hand),
        "scheme": titles.get(fault.scheme, fault.scheme),
        "place": _("supervisor")
        if fault.scheme == COVER
        else _("holder of %s") % titles.get(fault.scheme, fault.scheme),
        "number": fault.number,
    }
    if fault.rule is Rule.WANTED and fault.number:
        many = ngettext(
            "%(day)s, %(job)s: %(number)d person too many as %(place)s.",
            "%(day)s, %(job)s: %(number)d people too many as %(place)s.",
            fault.number,
        )
        return many % facts
    words = LEFT if fault.rule is Rule.KNOWN and fault.job in jobs else FAULTS[fault.rule]
    return str(words) % facts


def shortage_words(short: Shortage, when: str, jobs: Mapping[str, str], titles: Mapping[str, str]) -> str:
    """Say in sentences what is missing at a job, and which rule alone is in the way; `when` names the days."""
    facts = {
        "day": when,
        "job": jobs.get(short.job, short.job),
        "missing": short.missing,
        "scheme": titles.get(short.scheme, short.scheme),
    }
    if short.scheme == COVER:
        missing = _("%(day)s, %(job)s: a supervisor is missing.")
    else:
        missing = ngettext(
            "%(day)s, %(job)s: %(missing)d holder of %(scheme)s is missing.",
            "%(day)s, %(job)s: %(missing)d holders of %(scheme)s are missing.",
            short.missing,
        )
    return " ".join([missing % facts, *(str(WITHOUT[rule]) for rule in short.without)])


def open_words(short: Iterable[Shortage], jobs: Mapping[str, str], titles: Mapping[str, str]) -> tuple[str, ...]:
    """Say what is left open, days that lack the same for the same reasons together: a month would fill pages."""
    alike: dict[Shortage, list[date]] = defaultdict(list)
    for one in short:
        alike[replace(one, day=date.min)].append(one.day)
    return tuple(shortage_words(one, spells(found), jobs, titles) for one, found in alike.items())


def spells(found: list[date]) -> str:
    """Name days in order, those on end by the first and the last."""
    return ", ".join(
        date_format(first)
        if first == last
        else _("%(day)s to %(until)s") % {"day": date_format(first), "until": date_format(last)}
        for first, last in ranges(found)
    )
