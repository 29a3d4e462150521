"""How many draws are looked at, and what they must show before a question may be used."""

from training.questions.examine import Report

DRAWS, SHOWN = 200, 20
# A question that loses more sets of values than it keeps is made badly: its ranges do not fit its answers (house rule).
MOST_REJECTED_PERCENT, FEW_DIFFERENT = 50, 10


def loses_too_much(report: Report) -> bool:
    """Say whether more sets of values are lost than may be."""
    return report.rejection_rate * 100 > MOST_REJECTED_PERCENT


def never_differs(report: Report) -> bool:
    """Say whether everyone would get the very same numbers."""
    return report.different < 2


def differs_little(report: Report) -> bool:
    """Say whether the question has so few faces that neighbours are likely to share one."""
    return report.different < FEW_DIFFERENT
