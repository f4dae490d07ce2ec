"""Pieces laid on cloth: the rules of the cloth, the placing, and the judge of it."""
