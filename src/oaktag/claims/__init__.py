"""What garments promise, with its proof: the general kinds of `model.claim.Claim`."""
