"""The project's and the part's page, which compose the other rooms."""
