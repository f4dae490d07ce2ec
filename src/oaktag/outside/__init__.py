"""Garments that do not ship with the program: a file of the maker's own, or one that an installed package offers."""
