"""What a password must be: long, and hard to guess; nothing else is asked of it, and it never runs out.

SP 800-63B-4 (2025), 3.1.1.2: fifteen letters where a password stands alone, at least 64 taken, spaces and any script,
no rule of composition, no change by the calendar, and a list of what is commonly used.
"""

import re
from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from zxcvbn import zxcvbn

if TYPE_CHECKING:
    from training.people.models import Person

LEAST = 15
# Argon2 takes more; what is longer is no password but an attempt to keep the server busy.
MOST_BYTES = 1024
# zxcvbn raises ValueError beyond, and gets slow long before.
LOOKED_AT = 72
LEAST_SCORE = 3
# Whoever guesses for this site begins with these.
SITE_WORDS = (
    "ferrule", "rail", "bond", "bonds", "railbond", "brazing", "braze", "pin", "lead", "track", "crew", "card",
    "cathodic", "protection", "training", "certification", "procedure",
)  # fmt: skip


class LongAndHardToGuess:
    """Refuse a password that is short, far too long, or found early by whoever guesses."""

    def validate(self, password: str, user: "Person | None" = None) -> None:
        """Raise ValidationError with the reason, and what to do."""
        if len(password) < LEAST:
            raise ValidationError(_("Make it 15 letters or longer: a few words in a row, with spaces, will do."))
        if len(password.encode()) > MOST_BYTES:
            raise ValidationError(_("This is longer than 1,024 bytes. Make it shorter."))
        if self.score(password, user) < LEAST_SCORE:
            raise ValidationError(
                _("This is easy to guess. Take a few words that have nothing to do with each other, you or your work.")
            )

    def score(self, password: str, user: "Person | None") -> int:
        """Return how hard it is to guess, 0 to 4, with the words of the site and the person counted as known."""
        known = [*SITE_WORDS]
        if user is not None:
            known += [user.username, *re.findall(r"\w+", f"{user.name} {user.email}")]
        plain = re.sub(rf"(?i){'|'.join(map(re.escape, known))}", "", password) if known else password
        whole = zxcvbn(password[:LOOKED_AT], user_inputs=known)["score"]
        # The same once more without the known words: they must not be what makes it long.
        return int(min(whole, zxcvbn(plain[:LOOKED_AT])["score"] if plain.strip() else 0))

    def get_help_text(self) -> str:
        """Say what is asked."""
        return _("Fifteen letters or more, in any script, with spaces if you like. Not easy to guess.")
