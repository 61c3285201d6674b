"""From a picture of a hand-drawn truss to a candidate: what was read, in pixels."""
