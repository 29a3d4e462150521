#!/usr/bin/env python3
"""The one door: enters the environment, then hands over."""

import os
import sys
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parent))
    from training.config import bootstrap

    bootstrap.enter(sys.argv)

    import training.config.sqlite  # noqa: F401  must come before anything opens a database

    if sys.argv[1:2] == ["test"]:
        from tests.run import main

        sys.exit(main(sys.argv[2:]))
    if sys.argv[1:2] == ["bench"]:
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
        import django

        django.setup()
        from tests.bench.run import main

        sys.exit(main(sys.argv[2:]))
    if sys.argv[1:2] == ["demo"]:
        os.environ.setdefault("FERRULE_DEBUG", "1")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.config.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
