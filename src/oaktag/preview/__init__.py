"""A picture of what a file will really draw, made from the file alone; no writer of ours is asked.

In the order in which to read: `marks.py` (what is drawn, whatever the format), a reader a format (`plots.py` for HP-GL,
`vectors.py` for SVG, `drawings.py` for DXF, `pages.py` for PDF), `reach.py` (where a device can draw), `paint.py`
(pixels), `picture.py` (the whole way).
"""
