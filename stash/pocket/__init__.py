"""The stash as one page that is saved on the phone and asks no network for anything."""
