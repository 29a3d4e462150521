"""Shares, limits and flags in words."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.analysis import rules
from training.analysis.rules import Flag
from training.statistics.intervals import Limits

ASKS = {
    Flag.NOBODY_RIGHT: gettext_lazy("Nobody has got this right so far. Is the key right, and is it taught?"),
    Flag.HARD: gettext_lazy("Few get this right. Is it clear, and is it taught before the paper?"),
    Flag.EASY: gettext_lazy("Nearly everyone gets this right. Would a harder question tell more?"),
    Flag.LOW: gettext_lazy("Those who do well elsewhere hardly do better here. Can it be read in two ways?"),
    Flag.NEGATIVE: gettext_lazy("Those who do well elsewhere do worse here. Is the key right?"),
    Flag.DEAD_OPTION: gettext_lazy("Hardly anyone chooses “%(option)s”. Is another mistake easier to believe?"),
    Flag.CHECK_KEY: gettext_lazy("Those who do well elsewhere lean to “%(option)s”. Could it be right as well?"),
    Flag.KEY_BEATEN: gettext_lazy(
        "Is the key right? Good candidates choose “%(option)s” more often than the key, “%(key)s”."
    ),
}
PROVISIONAL = gettext_lazy("%(sentence)s This is provisional, from %(uses)d uses.")


def percent(share: float) -> str:
    """Return a share as a whole percentage."""
    return _("%(number)d\u00a0%%") % {"number": round(share * 100)}


def between(limits: Limits) -> str:
    """Return the limits of a share, as whole percentages."""
    return _("%(low)d to %(high)d\u00a0%%") % {"low": round(limits.low * 100), "high": round(limits.high * 100)}


def signed(number: float) -> str:
    """Return a correlation or difference to two places, with a real minus sign."""
    return f"{number:.2f}".replace("-", "−")


def asked(found: rules.Behaviour, choices: rules.Choices | None) -> tuple[str, ...]:
    """Return the flags of a question as questions to a person."""
    key = choices.right if choices else ""
    said = [str(ASKS[one.flag]) % {"option": one.option, "key": key} for one in found.raised]
    if found.sample is rules.Sample.PROVISIONAL:
        said = [str(PROVISIONAL) % {"sentence": sentence, "uses": found.uses} for sentence in said]
    return tuple(said)
