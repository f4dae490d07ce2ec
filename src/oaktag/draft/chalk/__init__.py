"""The chalk card as data: how each piece is drawn straight on the cloth, with a tape, chalk and a square.

      fold                    Every place is given by two distances: across from an upright line (the fold, the centre
        │╲_____               line, ...) and down from a level line (the top line, ...). Straight lines join two places;
        │      ╲ C            a curve runs through ordinates, places along it. What is printed is rounded (1/8 in,
        │       )             0.1 cm), and the ordinates are chosen so that a smooth curve through the printed
        │      ( D            numbers stays within 1/8 in of the true line.
Any piece can be chalked: where the draft has a formula for a place it is told, else the numbers alone.
"""
