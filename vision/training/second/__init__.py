"""A second maker of training pictures, written apart from the first: two transfer better."""
