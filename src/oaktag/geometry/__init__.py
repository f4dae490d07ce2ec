"""Plane geometry in millimetres: points, exact curves, runs of curves, outlines, offsets."""
