"""The search for cut positions: where each speaker could go, what the best places are, and what stands in the way."""
