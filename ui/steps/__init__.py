"""The six steps of the app: what stands beside the picture in each."""
