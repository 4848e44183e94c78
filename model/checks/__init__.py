"""Checks: each looks at a scene and yields findings; none stops another."""
