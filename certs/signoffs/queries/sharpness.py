"""How sharp a scheme's rule about test bonds is: how often crews of each quality pass it."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from django.utils.translation import gettext as _

from certs.schemes import queries as schemes
from certs.schemes.models import SchemeIssue
from certs.signoffs.rules import CONFIDENCE, proves
from training.calc import evidence
from training.trials.queries.pictures import Box, Picture, Scale, Stroke

# Shares of bad bonds, in per cent: the rows of the table, and how far the curve is drawn.
ROWS = (1, 2, 5, 10, 20, 30, 50)
WORST = 50
# No bad bond is allowed.
ALLOWED = 0


@dataclass(frozen=True, slots=True)
class RulePage:
    """How sharp the rule of a scheme is, ready to print."""

    slug: str
    title: str
    bonds: int
    shows: Decimal
    needed: tuple[tuple[int, int], ...]
    picture: Picture


def rule(issue: SchemeIssue) -> RulePage:
    """Gather the page of a scheme's rule: every one of so many bonds must be good."""
    wanted = schemes.spec(issue)
    shares = (0.8, 0.9, 0.95)
    return RulePage(
        slug=issue.scheme.slug,
        title=issue.title,
        bonds=wanted.bonds,
        shows=proves(wanted.bonds, wanted.bonds),
        needed=tuple((round(share * 100), int(evidence.success_run(CONFIDENCE, share))) for share in shares),
        picture=_picture(wanted.bonds),
    )


def passing(bonds: int, bad_percent: float, *, tries: int = 1) -> Decimal:
    """Return the chance, in per cent to one decimal, that a crew with so many bad bonds passes in so many tries."""
    once = evidence.pass_probability(bonds, ALLOWED, bad_percent / 100)
    share = evidence.retest_risk(once, tries)
    return Decimal(repr(share * 100)).quantize(Decimal("0.1"), ROUND_HALF_UP)


def _picture(bonds: int) -> Picture:
    box = Box(Scale(0, WORST, 5), Scale(0, 100, 5))
    once = [(bad, 100 * evidence.pass_probability(bonds, ALLOWED, bad / 100)) for bad in range(WORST + 1)]
    twice = [(bad, 100 * evidence.retest_risk(share / 100, 2)) for bad, share in once]
    return Picture(
        name="rule",
        title=_("How often a crew passes"),
        desc=_(
            "Both lines start where no bond is bad and everyone passes, and fall as the share of bad bonds grows. "
            "Of the crews that make one bad bond in five, {once} % pass at one try, {twice} % when they may try twice."
        ).format(once=passing(bonds, 20), twice=passing(bonds, 20, tries=2)),
        upright=_("Crews that pass, %"),
        along=_("Bad bonds among all that this crew makes, %"),
        upright_ticks=tuple(reversed(box.y.ticks())),
        along_ticks=tuple(box.x.ticks()),
        grid=box.grid(),
        strokes=(Stroke("a", box.line(once), _("One try")), Stroke("b", box.line(twice), _("Two tries"))),
        notes=(),
        heads=(_("Bad bonds"), _("Pass at one try"), _("Pass within two tries")),
        rows=tuple((f"{bad} %", f"{passing(bonds, bad)} %", f"{passing(bonds, bad, tries=2)} %") for bad in ROWS),
    )
