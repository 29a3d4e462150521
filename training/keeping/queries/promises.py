"""What the site promises, in words: the threat model as people read it."""

from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True, slots=True)
class Promise:
    """One thing protected: what it is, what threatens it, what stands against that, how that is tried."""

    what: object
    threat: object
    means: object
    tried: object


@dataclass(frozen=True, slots=True)
class Deviation:
    """A rule of the standard that is not followed to the letter, and why."""

    rule: str
    reason: object


PROMISES = (
    Promise(
        _("What was kept"),
        _("A power cut, a program that dies, a full disk, a database that is locked or away"),
        _("Nothing is called kept before the disk has it; what cannot be kept is refused with a sentence"),
        _(
            "The server is killed while it is written to, the power cut simulated, the disk filled, the "
            "database stopped"
        ),
    ),
    Promise(
        _("What is kept on a phone"),
        _("No signal, a closed or killed browser, another person on the same phone"),
        _("It stays on the phone under its owner's number, is sent under a number of its own, and counted once"),
        _("Browser and server are killed again and again; a second person signs in on the same phone"),
    ),
    Promise(
        _("Marks, signed sheets and cards"),
        _("Being changed afterwards, by whoever it may be"),
        _(
            "Corrections are new rows; the database refuses to change the old ones; every act is in a ledger "
            "whose entries hang on one another, and whose head is printed on cards and mailed"
        ),
        _(
            "Rows are changed by hand and have to be refused; entries are altered, taken out and cut off, and"
            " have to be found"
        ),
    ),
    Promise(
        _("The card"),
        _("Forging, copying of another's number, use after it was stopped"),
        _(
            "A signature that a phone checks without a signal; a signed list of stopped cards, good for a "
            "week, whose age is shown; the root key is on no server"
        ),
        _(
            "Tens of thousands of altered codes are refused; published examples of the signature are checked "
            "bit for bit"
        ),
    ),
    Promise(
        _("What is known of a person"),
        _("Another employer, a colleague without the role, a stranger with a guessed address"),
        _("Every page asks who may see it; what is not yours does not exist for you; addresses and logs hold no names"),
        _(
            "Every address is asked by every role, for one's own and for others'; an address without a row in"
            " that table fails"
        ),
    ),
    Promise(
        _("A paper"),
        _("Reading the right answers, late answers, a second try, another person's answers"),
        _(
            "The right answers never reach the browser before the paper is handed in; the server's clock "
            "counts; questions and numbers are drawn anew"
        ),
        _("Every answer of the server during a paper is searched for the right answers"),
    ),
    Promise(
        _("A signature on a practical"),
        _("Signing for oneself, for one's own trainee, with somebody's open session"),
        _("The assessor proves themself again; who may sign is asked at every door and by the database"),
        _("Each forbidden pair is tried at each door"),
    ),
    Promise(
        _("The account"),
        _("Guessed and stolen passwords, sessions left open"),
        _("Long passwords that are hard to guess, a limit on tries, a second factor for staff, sessions that end"),
        _("Wrong passwords from many sides at once; sessions tried after their end"),
    ),
    Promise(
        _("Files that come in"),
        _("Photos, workbooks and tables made to do harm"),
        _(
            "Photos are made anew, without what else was in the file; workbooks are measured before they are "
            "opened; nothing in a cell is ever worked out"
        ),
        _("Damaged, huge, disguised and random files"),
    ),
    Promise(
        _("Files that go out"),
        _("Formulas in tables, addresses in prints"),
        _("Text that a sheet would work out is marked as text; a print is made from nothing but bytes the site holds"),
        _("Known payloads are written, read back and looked at"),
    ),
)

LIMITS = (
    _("Who held the phone. A second person confirms identity where the scheme asks for it."),
    _("What was never entered, and whether the clock was right when it was."),
    _("A friend in the room, or a photo of the screen, during a paper that nobody watches."),
    _("That it holds against whoever has the machine, its keys and every head of the ledger kept elsewhere."),
    _("That a phone without a signal knows of a card stopped since its list was made: the list says how old it is."),
    _("That a bond is good. A card says what a person has shown on a day; the joint is measured each time."),
)

DEVIATIONS = (
    Deviation(
        "6.3.3",
        _(
            "A second factor is asked of everyone. Crew members may use a password alone: many share a phone "
            "at the track. A passkey is offered first, and a crew member can sign or decide nothing about "
            "others."
        ),
    ),
    Deviation(
        "14.3.1",
        _(
            "Browser storage is to be cleared at sign-out. A record that was not sent yet would be destroyed,"
            " so it stays: numbers and readings, no names."
        ),
    ),
    Deviation(
        "5.4.3",
        _("Uploads are to be scanned for malware. They are made anew instead: no byte of a photo is kept as it came."),
    ),
    Deviation(
        "6.2.1",
        _(
            "Eight letters are asked of a password. Here it is fifteen, as NIST SP 800-63B-4 asks where it "
            "stands alone."
        ),
    ),
)
