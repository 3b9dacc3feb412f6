"""What makes a photo trustworthy: photo card, chart, grey card, paper; found, read, chosen."""
