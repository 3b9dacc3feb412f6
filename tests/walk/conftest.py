"""The photos of one shop trip, painted once for all walks."""

from pathlib import Path

import pytest

from projects.demo.trip import sample_photos


@pytest.fixture(scope="session")
def trip_photos(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Twelve photo files: two HEIC, one in a wide gamut, one sideways, one broken off."""
    return sample_photos(tmp_path_factory.mktemp("shop-trip"))
