"""Scene files: the only part of the model that knows YAML, keys and paths."""
