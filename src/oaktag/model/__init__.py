"""Frozen values that the stages hand on: pieces, seams, patterns, findings."""
