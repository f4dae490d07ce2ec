"""Faults of fit: their table, and the operations on a draft that mend them."""
