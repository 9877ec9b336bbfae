"""Reminders in words."""

from __future__ import annotations

from volplane.services.currency import Reminder


def reminder_sentence(reminder: Reminder) -> str:
    """Whose last exercise is how long ago."""
    what = "The last exercise" if reminder.rung is None else f"The last exercise of the rung “{reminder.rung}”"
    return f"{reminder.name}: {what[:1].lower()}{what[1:]} was {reminder.days:,} days ago."
