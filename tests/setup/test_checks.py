"""The system checks of our own."""

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.checks.registry import registry

from stash.config import checks


def ids(messages: list[Any]) -> list[str]:
    return [message.id for message in messages]


@pytest.mark.parametrize(
    ("version", "has_fault"),
    [
        ((3, 40, 1), True),
        ((3, 44, 5), True),
        ((3, 44, 6), False),
        ((3, 45, 0), True),
        ((3, 50, 6), True),
        ((3, 50, 7), False),
        ((3, 51, 2), True),
        ((3, 51, 3), False),
        ((3, 52, 0), False),
    ],
)
def test_sqlite_releases_with_the_log_fault(version: tuple[int, ...], has_fault: bool) -> None:
    # Source: release notes of SQLite 3.51.3, with the fix in 3.50.7 and 3.44.6 as well.
    assert checks.has_wal_fault(version) is has_fault


def test_log_fault_warns_only_where_it_matters(
    settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(checks, "connection", SimpleNamespace(vendor="sqlite"))
    monkeypatch.setattr(checks.sqlite3, "sqlite_version_info", (3, 40, 1))
    assert ids(checks.sqlite_keeps_its_log(None, databases=["default"])) == ["stash.W001"]
    settings.SQLITE_JOURNAL = "delete"
    assert checks.sqlite_keeps_its_log(None, databases=["default"]) == []
    settings.SQLITE_JOURNAL = "wal"
    monkeypatch.setattr(checks, "connection", SimpleNamespace(vendor="postgresql"))
    assert checks.sqlite_keeps_its_log(None, databases=["default"]) == []


def test_open_data_folder_is_an_error(settings: Any, tmp_path: Path) -> None:
    settings.STASH_DATA = tmp_path
    tmp_path.chmod(0o700)
    assert checks.data_folder_is_private(None) == []
    tmp_path.chmod(0o755)
    assert ids(checks.data_folder_is_private(None)) == ["stash.E001"]


def test_key_that_others_can_read_is_an_error(settings: Any, tmp_path: Path) -> None:
    settings.STASH_DATA = tmp_path
    tmp_path.chmod(0o700)
    key = tmp_path / "secret-key"
    key.touch(mode=0o600)
    assert checks.data_folder_is_private(None) == []
    key.chmod(0o644)
    (error,) = checks.data_folder_is_private(None)
    assert error.hint == f"chmod 600 '{key}'"
    assert checks.data_folder_is_private in registry.get_checks(include_deployment_checks=False)


def test_debug_on_the_network_is_an_error(settings: Any) -> None:
    settings.DEBUG, settings.ALLOWED_HOSTS = True, ["localhost", "192.168.1.5"]
    assert ids(checks.debug_stays_on_this_machine(None)) == ["stash.E002"]
    settings.DEBUG = False
    assert checks.debug_stays_on_this_machine(None) == []
