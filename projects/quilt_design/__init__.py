"""Seeing before sewing: patches drawn in their cloth, layouts, and how light a quilt will be.

Lengths are whole numbers of 3.125 micrometres (``stash.lengths``), pixels are linear Display P3.
Nothing here knows of Django, files or clocks.
"""
