"""The time as a manifest writes it."""

from datetime import UTC, datetime


def now() -> str:
    """UTC, to the second, ISO 8601."""
    return datetime.now(UTC).isoformat(timespec="seconds")
