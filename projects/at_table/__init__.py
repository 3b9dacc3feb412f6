"""At the cutting table: a sheet laid out, cut and booked strip by strip."""
