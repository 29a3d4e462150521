"""Put a repaired SQLite in the place of the system's before anything opens a database.

Debian 12 ships SQLite 3.40.1, inside the range (3.7.0 to 3.51.2) whose write-ahead log can
lose data on reset; the wheel of `pysqlite3` carries a mended one. Import this first.
"""

import sys

import pysqlite3
import pysqlite3.dbapi2

sys.modules["sqlite3"] = pysqlite3
sys.modules["sqlite3.dbapi2"] = pysqlite3.dbapi2
