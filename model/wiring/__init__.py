"""The wiring schedule: where each cable runs, how long it is cut, what it loses and which spool it comes from."""
