"""One module per command, loaded only when that command runs."""
