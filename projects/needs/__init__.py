"""What a quilt needs: from finished sizes to exact cut lists and yardage.

Every length is a whole number of 3.125 micrometres (``stash.lengths``). Needs are rounded up,
never towards "enough". Nothing here knows of Django, files or clocks.

Sources named in brackets
-------------------------
[A3] ASTM D3882, bow and skew. [C3] US Customs ruling NY H84516, 2001. [H1] North Hampshire
quilters' group, leaflet on triangles. [H2] Mesquite quilt guild, handout. [H4] School class slides
on quilt yardage. [H5] Unsigned fat-quarter and yardage handout. [H6] Hobby-site charts, June and
October 2002. [H7] Web sheets on geese, stars and sashing counts (2002, 2009, undated; they
agree). [I1] ISO 5077:2007, dimensional change. [T1] AATCC TM135, dimensional change. [W2] Open
encyclopaedia, "Bed size" and "Yard". Standards were read in public extracts.

*Geometry* and *arithmetic* are checked with exact numbers in the tests; *common practice, no
source* is a habit of the trade without a published rule.
"""
