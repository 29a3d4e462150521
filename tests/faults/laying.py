"""Settings under which the ground of a drill is laid: the real ones, with tables made at one go.

The server itself runs under `training.config.settings` and finds what `migrate` and `collectstatic` would have left.
"""

from training.config.settings import *  # noqa: F403
from training.config.settings import INSTALLED_APPS, STORAGES

MIGRATION_MODULES = {name.rpartition(".")[2]: None for name in INSTALLED_APPS}
# The list of names that the server reads, without the compressed copies beside each file: those take minutes.
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"}
