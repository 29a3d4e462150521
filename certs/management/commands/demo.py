"""Make the invented company, say who signs in as what, and serve the site."""

from argparse import ArgumentParser
from collections.abc import Callable
from datetime import UTC
from io import StringIO
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction
from django.utils import timezone
from tqdm import tqdm

from certs.cards.models import CardKey
from certs.cards.queries import key_files
from certs.management import replay
from certs.management.commands.load_content import load
from training.content.load import read_content
from training.people.models import Employer

CONTENT = settings.BASE_DIR / "fixtures" / "content"


class Command(BaseCommand):
    """`demo [--port N] [--no-serve] [--reset]`."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the port, and whether to serve and to start over."""
        parser.add_argument("--port", type=int, default=8000, help="port on 127.0.0.1 (8000)")
        parser.add_argument("--no-serve", action="store_true", help="set up, say who signs in, and exit")
        parser.add_argument("--reset", action="store_true", help="throw the demo's data away and start over")

    def handle(self, *args: Any, port: int, no_serve: bool, reset: bool, **options: Any) -> None:
        """Set up what is missing, print the sign-ins, serve."""
        if not settings.DEMO:
            raise CommandError("The demo runs with FERRULE_DEBUG=1 only: its passwords are known to everyone.")
        if reset:
            self.forget()
        self.step("Preparing the database", self.prepare)
        if Employer.objects.filter(is_body=True).exists():
            self.stdout.write("The invented company is there already; nothing was changed.")
        else:
            self.make()
        for row in replay.read(replay.FILES, "people.toml")["person"]:
            if "signs_in" in row:
                self.stdout.write(f"{row['signs_in']}: {row['username']} / {replay.password(row['username'])}")
        self.stdout.write("All but the crew member are asked for a code as well: the page that asks shows it.")
        if not no_serve:
            self.stdout.write(f"Serving on http://127.0.0.1:{port}/ until you press Ctrl-C.")
            self.stdout.write(f"Passkeys work on a name only: for them open http://localhost:{port}/ instead.")
            self.stdout.flush()
            # Where something is not there, closed or broken, the demo shows what a site of one's own would.
            settings.DEBUG = False
            call_command("runserver", f"127.0.0.1:{port}", use_reloader=False, verbosity=0)

    def step(self, says: str, act: Callable[[], object]) -> None:
        """Say a step before doing it, so that a long one is never silent."""
        self.stdout.write(f"{says} ...")
        self.stdout.flush()
        act()

    def forget(self) -> None:
        """Drop the demo's database file, or empty the tables of a PostgreSQL."""
        if connection.vendor != "sqlite":
            self.step("Emptying the database", lambda: call_command("flush", interactive=False, verbosity=0))
            return
        connection.close()
        name = Path(settings.DATABASES["default"]["NAME"])
        for file in (name, name.with_name(name.name + "-wal"), name.with_name(name.name + "-shm")):
            file.unlink(missing_ok=True)

    def prepare(self) -> None:
        """Make the folder, the tables, the cache and the key that signs cards."""
        settings.DATA_DIR.mkdir(parents=True, exist_ok=True)
        call_command("migrate", verbosity=0)
        call_command("createcachetable", verbosity=0)
        if not CardKey.objects.exists():
            self.make_keys()

    def make_keys(self) -> None:
        """Make the keys of a fresh register; a root key beside the card key would be no root key, but for a demo."""
        root = settings.DATA_DIR / "root.key"
        for file in (root, settings.ROOT_PUBLIC_FILE, *key_files()):
            file.unlink(missing_ok=True)
        call_command("keys", "root", str(root), "--yes", stdout=StringIO())
        call_command("keys", "new", "--root", str(root), "--yes", stdout=StringIO())

    def make(self) -> None:
        """Load the content as of the first day, then replay the history; all or nothing."""
        company = replay.Company(timezone.now().astimezone(UTC), read_content(CONTENT))
        history = replay.read(replay.FILES, "history.toml")
        earlier = replay.as_it_was(company.content, history["earlier"])
        with transaction.atomic():
            self.step("Loading the content", lambda: load(earlier, at=company.moment(replay.SINCE_DAYS)))
            self.step("Engaging the people", lambda: replay.settle(company, replay.read(replay.FILES, "people.toml")))
            for _done in tqdm(replay.replay(company, history), total=len(history["act"]), desc="Replaying the history"):
                pass
