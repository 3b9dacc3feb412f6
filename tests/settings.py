"""The site's settings on a throw-away data folder; DATABASE_URL still chooses PostgreSQL."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

if "PYTEST_XDIST_WORKER" in os.environ:
    _folder = Path(os.environ["STASH_DATA"]) / os.environ["PYTEST_XDIST_WORKER"]
else:
    _folder = Path(tempfile.mkdtemp(prefix="clothlight-tests-"))
    atexit.register(shutil.rmtree, _folder, ignore_errors=True)
os.environ["STASH_DATA"] = str(_folder)
for _name in [name for name in os.environ if name.startswith("STASH_")]:
    if _name != "STASH_DATA" and not _name.startswith("STASH_TEST_"):
        os.environ.pop(_name)

from stash.config.settings import *  # noqa: E402, F403
from stash.config.settings import DATABASES  # noqa: E402

# Real hashing takes a quarter of a second a sign-in and is not ours to test.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]

# A thread would not see the rows of a test's transaction: searches run to their end at once.
PLAN_IN_THREADS = False
PLAN_LONGER_WORK = 600_000

# A process for each worker of the tests would read nothing but small pictures; those that are
# about reading apart switch it on.
READ_PHOTOS_APART = False

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # A file, as in service: an in-memory database would be shared between the threads of the
    # live server. Nothing here need survive a power cut.
    DATABASES["default"]["TEST"] = {"NAME": _folder / "tests.sqlite3"}
    DATABASES["default"]["OPTIONS"]["init_command"] = (
        "PRAGMA journal_mode=WAL; PRAGMA synchronous=OFF;"
    )
