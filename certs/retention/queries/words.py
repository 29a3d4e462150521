"""Kinds of record and the reasons for their terms, in plain words."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from certs.retention.rules import TERMS, Ends, Kind

KIND_WORDS = {
    Kind.ACCOUNT: _("Name, user name, e-mail, employer's number, roles and crews"),
    Kind.CARDS: _("Cards, confirmations of work, measures"),
    Kind.PRACTICALS: _("Practicals: sheets, signatures, decisions"),
    Kind.PAPERS: _("Papers: questions asked, answers, marks"),
    Kind.WORK: _("Bonds recorded"),
    Kind.LEARNING: _("Procedures read, practice, refreshers"),
    Kind.SHEET_PHOTOS: _("Photos of practicals"),
    Kind.WORK_PHOTOS: _("Photos of bonds at the track"),
    Kind.PORTRAIT: _("Photo on the card"),
    Kind.SEEN: _("Which questions were seen outside a paper"),
    Kind.MAILS: _("That a mail was sent, not its text"),
    Kind.UNSENT: _("A mail that has not left yet, with its text"),
    Kind.SESSIONS: _("Being signed in, with address and browser"),
    Kind.TRIES: _("Wrong passwords, with the address they came from"),
    Kind.LINKS: _("Links to sign in"),
    Kind.FEEDS: _("Calendar feed"),
    Kind.TOKENS: _("Tokens of gates, once revoked"),
    Kind.PRINTS: _("Files of cards printed together"),
    Kind.ROSTERS: _("Lines of rosters"),
    Kind.AWAY: _("Days away"),
    Kind.COMPLAINTS: _("Complaints: what you wrote, and what was answered"),
    Kind.OUTSIDERS: _("Name and address of who complained from outside, once answered"),
    Kind.LEDGER: _("Ledger: numbers of people, no names"),
    Kind.COPIES: _("Copies of the database"),
}
_PROOF = _("Proof that the card was earned: needed if an accident or a doubt is looked into.")
WHY_WORDS = {
    Kind.ACCOUNT: _("Who holds a card has to be known as long as the card can be asked about."),
    Kind.CARDS: _PROOF,
    Kind.PRACTICALS: _PROOF,
    Kind.PAPERS: _PROOF,
    Kind.WORK: _("A card stays good only while the work is done."),
    Kind.LEARNING: _("Shows that the procedure in force was read; plans refreshers."),
    Kind.SHEET_PHOTOS: _PROOF,
    Kind.WORK_PHOTOS: _("Shows how a bond looked when it was made."),
    Kind.PORTRAIT: _("Only while you agree: take it away yourself at any time."),
    Kind.SEEN: _("A question is not asked in a paper on the day it was practised."),
    Kind.MAILS: _("So that nobody is told the same thing twice."),
    Kind.UNSENT: _("So that it is sent when the mail server answers again; then it is deleted at once."),
    Kind.SESSIONS: _("So that you can see where you are signed in, and end it."),
    Kind.TRIES: _("So that guessing passwords is noticed and stopped."),
    Kind.LINKS: _("So that a misused link can be traced."),
    Kind.FEEDS: _("Until you close it, or your account is closed."),
    Kind.TOKENS: _("So that it can be told who asked about people."),
    Kind.PRINTS: _("They can be printed again."),
    Kind.ROSTERS: _("So that a wrong roster can be undone."),
    Kind.AWAY: _("So that nobody is planned who is away."),
    Kind.COMPLAINTS: _("Shows that a complaint was looked into, by whom, and what came of it."),
    Kind.OUTSIDERS: _("So that they can be asked and answered, and asked once more if they are not content."),
    Kind.LEDGER: _("Who decided what must stay provable. It holds no name, so a name can be erased."),
    Kind.COPIES: _("After a name was erased it is still in older copies, until they are deleted in their turn."),
}
# What a person is called once their name is erased.
PERSON_WORDS = _("Person %(number)d")


def how_long(kind: Kind) -> str | Promise:
    """Say how long a kind is kept."""
    term = TERMS[kind]
    if term.ends is Ends.STAYS:
        return _("for good")
    if kind is Kind.COPIES:
        return _("as long as the operator keeps copies, usually a year")
    if kind in {Kind.PORTRAIT, Kind.FEEDS}:
        return _("as long as you wish")
    if term.days is None:
        return _("until the last card has ended, and one cycle more")
    if term.days % 365 == 0:
        years = term.days // 365
        return ngettext("%(count)d year", "%(count)d years", years) % {"count": years}
    return ngettext("%(count)d day", "%(count)d days", term.days) % {"count": term.days}
