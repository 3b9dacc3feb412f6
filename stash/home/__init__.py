"""The page that the site opens on, and the one that leads to all ways of seeing cloth together."""
