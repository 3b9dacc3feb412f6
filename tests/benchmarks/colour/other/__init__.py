"""A second renderer of whole photos, in spectra, and a judge of what is read from them.

It shares neither code nor form with the product's model of cards and cameras, nor with the first
renderer (tests/colour/rendering.py). Nothing of the product may be fitted on what it draws.

spectra -> printed, cloths -> scenes -> cameras (curves, local_curves) -> conditions -> judge.
"""
