"""The picture that a project opens on: its quilt, in its cloth, with a way to each part."""
