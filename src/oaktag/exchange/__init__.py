"""Pattern data of others, read: sewn-product DXF (ASTM D6673) and its grade rule table.

Read in this order: model (what a file holds), tokens (bytes to group codes), records (to blocks, lines, points,
texts), outlines (chains joined, crossings found), words (texts), pattern_data (pieces, in mm, and what was odd),
rule_table, graded (sizes made by rules), as_json (in the shape of pattern.json).
"""
