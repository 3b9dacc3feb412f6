"""Testing one's own phone with the photo card and three cloths."""
