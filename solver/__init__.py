"""From a truss to its forces, and the working a person would write."""
