"""Signals for what is built on the stash and may not be imported by it."""

from django.dispatch import Signal

__all__ = ["act_to_be_undone", "act_undone", "fabrics_merged"]

#: Sent inside the transaction before an act is taken back: ``owner``, ``undone_act``. Whoever set
#: aside what the act brought gives it back now.
act_to_be_undone = Signal()

#: Sent inside the transaction that takes an act back: ``owner``, ``undone_act``, ``act``.
act_undone = Signal()

#: Sent inside the transaction that makes two fabrics one: ``kept``, ``gone``, ``act``, ``note``.
fabrics_merged = Signal()
