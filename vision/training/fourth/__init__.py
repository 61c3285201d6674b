"""A fourth maker of training pictures: hurried, rough drawers and the media they draw on."""
