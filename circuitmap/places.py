"""Where files live: resources inside the wheel or beside the checkout, and the person's own folders."""

from functools import cache
from pathlib import Path

from circuitmap.errors import OurError

_PACKAGE = Path(__file__).resolve().parent


@cache
def resources() -> Path:
    """Give the folder of the program's own data."""
    return _inside_or_beside("_resources", "resources")


@cache
def sample_homes() -> Path:
    """Give the folder of the invented homes that come with the program."""
    return _inside_or_beside("_sample_homes", "sample_homes")


def user_data() -> Path:
    """Give the folder for the person's own tables (it may not exist yet)."""
    from platformdirs import user_data_path

    return user_data_path("circuitmap", appauthor=False)


def user_state() -> Path:
    """Give the folder for window state and crash reports (it may not exist yet)."""
    from platformdirs import user_state_path

    return user_state_path("circuitmap", appauthor=False)


def _inside_or_beside(inside: str, beside: str) -> Path:
    for folder in (_PACKAGE / inside, _PACKAGE.parent / beside):
        if folder.is_dir():
            return folder
    raise OurError(f"The folder {beside} is missing from this installation; install circuitmap again.")
