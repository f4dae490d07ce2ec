"""The measurement book: clients, what was measured of them on which day, and what was made for them.

people (values and words), change (what has changed, and what is odd), chart (pictures of it), store (the file), tables
(CSV and TOML in and out).
"""
