"""Projects, their parts, cut lists, fabrics and promises."""
