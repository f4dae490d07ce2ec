"""Old and new pattern, laid on each other: what moved, and what cloth that is cut already can take."""
