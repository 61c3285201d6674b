"""Rendered sketches with their truth, and the training of the reader's network."""
