"""A third maker of practice drawings: taught hands, ruled or free, with all that stands around."""
