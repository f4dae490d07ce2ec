"""The corner finishes that a job may ask for; finish/corners.py says what each does."""

from typing import Final

FINISHES: Final = ("mitre", "bevel", "square", "turned-back", "mitred-hem", "faced")
