"""The pictures of the chalk card as data: the folded cloth drawn small, with what a few steps leave on it.

A picture is in mm of paper, x to the right, y up, its lower left corner at (0, 0). Lines have a look; only an exporter
knows pens and greys. Words are set where they cover the fewest lines; all of them stand inside the picture.
"""
