"""Signals for what is built on the stash and may not be imported by it."""

from django.dispatch import Signal

__all__ = ["act_undone"]

#: Sent inside the transaction that takes an act back: ``owner``, ``undone_act``, ``act``.
act_undone = Signal()
