"""Two scenes held against each other: what seats get, what has to be done, what a map of both says."""
