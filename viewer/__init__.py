"""Pictures, tables and commands: draws finished objects of earshed.model and computes none of their numbers."""
