"""Shipped example rooms, all invented; each file states at its top what it teaches."""
