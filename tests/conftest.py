"""What every test shares: no display, the person's folders kept out of it, and the folder for looks."""

import gc
import os
from pathlib import Path

import circuitmap  # noqa: F401  # before numpy is loaded by anything

# isort: split
import pytest
from hypothesis import HealthCheck, settings

# The same examples every run: what the suite says of a commit must not depend on luck. `--hypothesis-profile=explore`
# looks further.
settings.register_profile(
    "suite", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
settings.register_profile("explore", deadline=None, max_examples=1000)
settings.load_profile("suite")

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--looks", type=Path, default=None, metavar="DIR", help="save every screen as a picture there")


def pytest_collection_finish() -> None:
    """Leave out of every later collection what is loaded for good: the desk's tests collect after each of them."""
    gc.collect()
    gc.freeze()


@pytest.fixture(autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep homes, tables and settings of whoever runs the tests out of them, and the tests out of theirs."""
    folder = tmp_path_factory.mktemp("person")
    for name in ("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(folder))
