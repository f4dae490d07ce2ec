"""Parts that several garments are put together from."""
