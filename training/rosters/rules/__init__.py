"""Lines of a roster, and what they change. Plain values only."""

from training.rosters.rules.lines import Column, Flaw, Heads, Line, NoHeads, Wrong, head_of, heads, line_of, tidy
from training.rosters.rules.planning import Request, plan
from training.rosters.rules.register import Change, Kept, Known, Plan, Question, Register, Spell
from training.rosters.rules.usernames import proposed

__all__ = [
    "Change",
    "Column",
    "Flaw",
    "Heads",
    "Kept",
    "Known",
    "Line",
    "NoHeads",
    "Plan",
    "Question",
    "Register",
    "Request",
    "Spell",
    "Wrong",
    "head_of",
    "heads",
    "line_of",
    "plan",
    "proposed",
    "tidy",
]
