"""A project as a whole: starting it, for a bed too, changing it, taking it away."""
