"""A room as one glTF 2.0 binary: metres, Y up, every thing by its name. Nothing here needs OpenGL."""
