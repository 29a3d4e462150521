"""The real settings with one promise broken, for the twin that must fail: SQLite does not wait for the disk."""

from training.config.settings import *  # noqa: F403
from training.config.settings import DATABASES

DATABASES["default"]["OPTIONS"]["init_command"] = "PRAGMA synchronous=NORMAL;PRAGMA foreign_keys=ON;"  # type: ignore[index]
