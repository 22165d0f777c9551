"""What every look shares: no window is left for the next one's look to go through."""

from tests.desk.conftest import collected_at_rest

__all__ = ["collected_at_rest"]
