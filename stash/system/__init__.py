"""What the program asks of the computer it runs on: files, locks, memory, room, its version."""
