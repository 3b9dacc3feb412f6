"""Labels to print and stick on: for places, pieces and fabrics, each with a code for the phone."""
