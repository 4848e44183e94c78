"""The live room: a scene open in a browser of this machine, where it can be changed."""
