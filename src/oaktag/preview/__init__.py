"""A picture of what a file will really draw: read.py (a file to lines, mm), picture.py (lines to PNG)."""
