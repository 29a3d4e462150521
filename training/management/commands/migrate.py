"""Django's migrate, with the tables written once unguarded meanwhile, guarded again and looked at afterwards."""

from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.core.management.commands import migrate

from training.keeping.operations import analyze, guard, loosen
from training.people.operations import NoKey, seal


class Command(migrate.Command):
    """On SQLite a migration that rebuilds a table drops its triggers without a word, so all are made anew."""

    def check(self, *args: Any, **options: Any) -> None:
        """Check the program and its key, not the database: what that one lacks is what this command brings."""
        super().check(*args, **{**options, "databases": None})
        try:
            seal("")
        except NoKey as fault:
            raise CommandError(str(fault)) from None

    def handle(self, *args: Any, **options: Any) -> None:
        """Migrate; put the triggers back however it ends."""
        if options["plan"] or options["check_unapplied"]:
            super().handle(*args, **options)
            return
        using = options["database"]
        loosen(using)
        try:
            super().handle(*args, **options)
        finally:
            if settings.APPEND_ONLY:
                guard(using)
        analyze(using)
