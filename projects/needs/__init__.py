"""What a quilt needs: from finished sizes to exact cut lists and yardage.

Every length is a whole number of 3.125 micrometres (``stash.lengths``). Needs are rounded up,
never towards "enough". Nothing here knows of Django, files or clocks.
"""
