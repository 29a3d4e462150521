"""Every migration back and forward again on a filled copy: the way back after an upgrade that went wrong.

A short round walks back over the newest only, those that an upgrade would have brought.
"""

import json
import shutil
from pathlib import Path

from tests.faults.conftest import FULL
from tests.faults.drill import Drill

# Before these, a card had its evidence to itself: what the site does today no longer fits, and the way back ends.
FLOOR = {"certs": "0011_standing_in_rules", "training": "0001_initial"}
NEWEST = 6
WALK = """
import json, sys
import training.config.sqlite, django
django.setup()
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from training.keeping.queries import prove, untied

floor, most = json.loads(sys.argv[1])
before = prove("default")
executor = MigrationExecutor(connection)
plan = [m for m, _ in executor.migration_plan([("training", None), ("certs", None)])]
steps = [m for m in plan if m.app_label in floor and m.name > floor[m.app_label]][:most]
for step in steps:
    earlier = max(name for app, name in executor.loader.graph.nodes if app == step.app_label and name < step.name)
    call_command("migrate", step.app_label, earlier, verbosity=0)
call_command("migrate", verbosity=0)
after = prove("default")
print(json.dumps([len(steps), before[0] == after[0], before[1]["certs_card"] == after[1]["certs_card"], untied()]))
"""


class TestEveryMigration:
    def test_goes_back_and_forward_on_a_filled_copy(self, demo: tuple[Path, str], tmp_path: Path) -> None:
        """The chain is whole, every card is there, and every guard stands again."""
        site = Drill(Path(shutil.copytree(demo[0], tmp_path / "data")), debug=True)
        ran = site.python(WALK, json.dumps([FLOOR, None if FULL else NEWEST]))
        steps, same_head, same_cards, bare = json.loads(ran.stdout or f'"{ran.stderr[-500:]!r}"')
        assert steps > 15 if FULL else steps == NEWEST
        assert same_head
        assert same_cards
        assert bare == []
