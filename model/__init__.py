"""What a truss is: the documents, the graph, the units and the geometry."""
