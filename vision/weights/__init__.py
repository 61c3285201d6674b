"""The trained network as it ships."""
