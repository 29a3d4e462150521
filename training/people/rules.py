"""Roles, what each may see, and what an administrator may change."""

import unicodedata
from calendar import monthrange
from collections.abc import Callable, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from enum import StrEnum

ONE_DAY = timedelta(days=1)

# Languages of cards and mails by their ISO 639-1 codes, each named in itself.
LANGUAGES: Mapping[str, str] = {"en": "English", "es": "Español", "fr": "Français"}


class Role(StrEnum):
    """What a person does here; one person may hold several, each with dates."""

    CREW = "crew"
    TRAINER = "trainer"
    SUPERVISOR = "supervisor"
    ADMINISTRATOR = "administrator"


# Whoever holds one of these can open a card to others, so only the certification body gives them.
RESERVED = frozenset({Role.TRAINER, Role.ADMINISTRATOR})


# Whoever holds one of these sees or decides about others, so a stolen password must not be enough.
STAFF = frozenset({Role.TRAINER, Role.SUPERVISOR, Role.ADMINISTRATOR})

# SP 800-63B-4, 3.2.2: no more than 100 failures in a row on one account; then it waits for a person.
FAILURES_IN_A_ROW = 100


@dataclass(frozen=True, slots=True)
class SessionTimes:
    """When a session began and when it was last used, in seconds since 1970."""

    began: float
    seen: float


@dataclass(frozen=True, slots=True)
class SessionLimits:
    """How long a session may lie idle and how long it may last as a whole, in seconds."""

    idle: float
    whole: float

    def over(self, times: SessionTimes, *, now: float) -> bool:
        """Say whether a session has ended; a moment in the future means a clock put back, and ends it as well."""
        if now < times.seen - CLOCK_SLACK or now < times.began - CLOCK_SLACK:
            return True
        return now - times.seen >= self.idle or now - times.began >= self.whole


MINUTE, HOUR, DAY = 60.0, 3600.0, 86400.0
# Hosts that share a database differ by seconds, never by minutes.
CLOCK_SLACK = 5 * MINUTE
# SP 800-63B-4, 2.1.3 and 2.2.3, allows a password alone 30 days, and two factors 1 h idle and 24 h in all.
OF_CREW = SessionLimits(idle=7 * DAY, whole=30 * DAY)
OF_STAFF = SessionLimits(idle=HOUR, whole=12 * HOUR)
OF_ADMINISTRATORS = SessionLimits(idle=15 * MINUTE, whole=8 * HOUR)


def session_limits(roles: AbstractSet[Role]) -> SessionLimits:
    """Return how long a session may last: the strictest of its person's roles counts."""
    if Role.ADMINISTRATOR in roles:
        return OF_ADMINISTRATORS
    return OF_STAFF if roles & STAFF else OF_CREW


def asks_second_factor(roles: AbstractSet[Role]) -> bool:
    """Say whether these roles are opened by a second factor only."""
    return bool(roles & STAFF)


def too_many_failures(in_a_row: int) -> bool:
    """Say whether an account takes no more tries until somebody lets its owner in again."""
    return in_a_row >= FAILURES_IN_A_ROW


class Purpose(StrEnum):
    """What a link to a password is made for."""

    FIRST = "first"
    FORGOTTEN = "forgotten"
    FACTOR = "factor"


class IdentityCheck(StrEnum):
    """How whoever made a link made sure who asked for it."""

    KNOWN = "known"
    DOCUMENT = "document"
    CALLED = "called"
    SUPERVISOR = "supervisor"
    SERVER = "server"  # made on the server itself, by whoever keeps it


class Change(StrEnum):
    """What changed about how a person signs in, as they are told by mail."""

    PASSWORD = "password"  # noqa: S105
    BY_LINK = "by link"
    FACTORS_GONE = "factors gone"
    APP_ADDED = "app added"
    APP_REMOVED = "app removed"
    PASSKEY_ADDED = "passkey added"
    PASSKEY_REMOVED = "passkey removed"
    CODES_MADE = "codes made"
    CODE_USED = "code used"
    SIGNED_OUT = "signed out"
    SIGNED_OUT_THERE = "signed out there"
    OTHER = "other"


LINK_GOOD_FOR = timedelta(days=7)


def link_ends(made_at: datetime) -> datetime:
    """Return the moment from which a link is good no more."""
    return made_at + LINK_GOOD_FOR


def purposes(*, has_password: bool) -> tuple[Purpose, ...]:
    """Return what a link can be made for."""
    return (Purpose.FORGOTTEN, Purpose.FACTOR) if has_password else (Purpose.FIRST,)


def counted_as(username: str) -> str:
    """Return a user name as wrong tries are counted for it: capitals make no other account of it."""
    return username.strip().casefold()[:255]


def same_everywhere(password: str) -> str:
    """Return a password with each letter in one form, however a keyboard composed it (SP 800-63B-4, 3.1.1.2: NFKC)."""
    return unicodedata.normalize("NFKC", password)


def local_day(at: datetime, zone: tzinfo) -> date:
    """Return the day on the calendar of a zone at an aware moment."""
    return at.astimezone(zone).date()


def add_months(anchor: date, months: int) -> date:
    """Return the same day of the month so many months on, clipped to the month's end."""
    years, month = divmod(anchor.year * 12 + anchor.month - 1 + months, 12)
    # Every month has 28 days: most anchors need no look at the calendar.
    day = anchor.day if anchor.day <= 28 else min(anchor.day, monthrange(years, month + 1)[1])
    return date(years, month + 1, day)


def in_force(from_on: date, until_on: date | None, *, on: date) -> bool:
    """Say whether a dated row holds on a day; both its days count, no end means until further notice."""
    return from_on <= on and (until_on is None or on <= until_on)


def overlap(from_on: date, until_on: date | None, other_from: date, other_until: date | None) -> bool:
    """Say whether two dated rows share a day."""
    return (other_until is None or from_on <= other_until) and (until_on is None or other_from <= until_on)


def sees_every_employer(roles: AbstractSet[Role], *, of_the_body: bool) -> bool:
    """Say whether these roles reach past their own employer.

    Only trainers and administrators of the certification body work across employers.
    """
    return of_the_body and bool(roles & {Role.TRAINER, Role.ADMINISTRATOR})


def sees_colleagues(roles: AbstractSet[Role]) -> bool:
    """Say whether these roles see the other people of their own employer."""
    return bool(roles & {Role.TRAINER, Role.SUPERVISOR, Role.ADMINISTRATOR})


def administers(roles: AbstractSet[Role], *, of_the_body: bool, same_employer: bool) -> bool:
    """Say whether these roles may change a person's account: their own employer's people, or anyone's for the body."""
    return Role.ADMINISTRATOR in roles and (of_the_body or same_employer)


def roles_to_change(*, of_the_body: bool) -> tuple[Role, ...]:
    """Return the roles an administrator may give and end, in the order of the list."""
    return tuple(role for role in Role if of_the_body or role not in RESERVED)


def ends_too_early(until_on: date, *, on: date) -> bool:
    """Say whether a last day would rewrite the past: yesterday ends a row at once, an earlier day is history."""
    return until_on < on - ONE_DAY


def still_held(until_on: date, others: Iterable[tuple[date, date | None]]) -> bool:
    """Say whether, once a row ends with `until_on`, another of these rows holds on the next day."""
    return any(in_force(start, end, on=until_on + ONE_DAY) for start, end in others)


# Letters that are no plain letter with a mark, and so are left whole by taking the marks off.
PLAIN = str.maketrans(
    {"ł": "l", "ø": "o", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ħ": "h"}
    | dict.fromkeys("'’ʼ`", "")
)
# A slip in a shorter word leaves too little to know it by.
SHORTEST = 4


def folded(text: str) -> str:
    """Return a text as a search compares it: plain small letters and digits, a space in front of each word.

    Letters are compared as the Unicode Standard, definition D146, has it, and their marks are left out.
    """
    parts = text
    for _twice in range(2):  # a letter in another form of type shows only then which one it is
        parts = unicodedata.normalize("NFKD", parts.casefold())
    plain = "".join(character for character in parts if not unicodedata.combining(character)).translate(PLAIN)
    words = "".join(character if character.isalnum() else " " for character in plain).split()
    return "".join(f" {word}" for word in words)


def begins(name: str, text: str) -> bool:
    """Say whether each word of a text begins a word of a name, as a search for it has it."""
    return all(f" {word}" in folded(name) for word in folded(text).split())


def slips(word: str) -> tuple[str, ...]:
    """Return what a folded word may have been meant as, one slip apart; `_` stands for any one character.

    The four slips of Damerau (1964): a wrong letter, one too few, one too many, two beside each other swapped.
    """
    if len(word) < SHORTEST:
        return ()
    places = range(len(word))
    wrong = [f"{word[:at]}_{word[at + 1 :]}" for at in places]
    few = [f"{word[:at]}_{word[at:]}" for at in places]
    many = [f"{word[:at]}{word[at + 1 :]}" for at in places]
    swapped = [f"{word[:at]}{word[at + 1]}{word[at]}{word[at + 2 :]}" for at in places[:-1]]
    return tuple(dict.fromkeys([*wrong, *few, *many, *swapped]))


# 256 words anyone can say over the telephone: 8 bits each, so five give 2**40 pass phrases.
WORDS = tuple(
    """
    acorn alley amber anchor apple apron arrow atlas autumn bacon badge bakery balcony bamboo banana banner
    barley barrel basket beacon beaver bench berry bicycle birch biscuit blanket blossom bottle bracket branch
    brass bread breeze brick bridge broom brush bucket buckle butter button cabin cable camel candle canoe
    canvas carbon carpet carrot castle cattle cedar cellar cement cherry chess chimney circle citrus clamp
    clay clover coal cobalt cocoa comet compass copper coral corner cotton cradle crane crater cream cricket
    crystal curtain cushion daisy dancer delta desert diamond dinner dolphin donkey dragon drawer eagle earth
    easel echo elbow ember engine falcon farmer feather fence ferry fiddle filter finger flame flask flint
    flour flute forest fossil fountain fox frost funnel galaxy garden garlic gate ginger glacier glove goose
    granite grape gravel guitar hammer harbour harvest hazel hedge helmet heron hinge honey horizon hornet
    island ivory jacket jasmine jigsaw jungle kettle kitchen kite ladder lagoon lantern lemon lever lilac
    linen lizard lobster magnet mango maple marble market meadow melon mill mirror mitten monkey mosaic
    mountain mustard needle nickel nutmeg oak oasis ocean olive onion orange orchard otter oven oyster paddle
    palace panda paper parsley pebble pencil pepper piano pillow pine planet plaster plum pocket poem polar
    pond poppy potato prairie prism pulley pumpkin puzzle quartz rabbit radish raft rain raven ribbon river
    robin rocket rope rudder saddle saffron sail salmon sand satin saucer scarf shell shovel silver sparrow
    spice spoon spring squirrel stable station steam stone summer sunset table tiger timber tomato torch tower
    tunnel velvet violet walnut window winter
    """.split()  # noqa: SIM905
)


def pass_phrase(choose: Callable[[Sequence[str]], str]) -> str:
    """Return five words joined by hyphens, each drawn by `choose`, which must be fit for secrets."""
    return "-".join(choose(WORDS) for _ in range(5))
