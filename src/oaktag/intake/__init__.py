"""Drawings from elsewhere: read in true size, cleaned, parted into pieces with named edges.

Read in this order: model (what a drawing holds), limits, read (the door), xml_tree, css, path_data, svg; splines, cad;
sewn (pattern data); runs (what both readers make of arcs and points).
"""
