"""System checks of what the database promises; run with `check --database default`."""

from collections.abc import Sequence
from typing import Any

from allauth.mfa.models import Authenticator
from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, register
from django.db import DatabaseError

from training.keeping.queries import setting_faults, untied
from training.people.operations.sealing import SECRETS, NoKey, OtherKey, seal, unseal


@register(Tags.database)
def promises(databases: Sequence[str] | None = None, **kwargs: Any) -> list[CheckMessage]:
    """Return an error for each setting under which something kept could be lost, and for each table left unguarded."""
    found: list[CheckMessage] = []
    for using in databases or ():
        try:
            found += [Error(fault, id="training.E001") for fault in setting_faults(using)]
            bare = untied(using) if settings.APPEND_ONLY else []
        except DatabaseError as fault:
            return [*found, Error(f"The database does not answer: {fault}", id="training.E003")]
        said = "Rows of %s can be changed: run manage.py migrate, which guards them."
        found += [Error(said % table, id="training.E002") for table in bare]
    return found


@register(Tags.database)
def factors(databases: Sequence[str] | None = None, **kwargs: Any) -> list[CheckMessage]:
    """Return an error where the secrets of second factors cannot be sealed, or do not open: after a restore, say."""
    # Whoever asks about no database, as makemigrations does, needs no key.
    if not databases:
        return []
    try:
        seal("")
        for one in Authenticator.objects.filter(type__in=SECRETS):
            unseal(one.data[SECRETS[one.type]])
    except (NoKey, OtherKey) as fault:
        return [Error(str(fault), id="training.E004")]
    except DatabaseError:
        pass  # the check above says so
    return []
