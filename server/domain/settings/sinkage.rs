//! How does a roller's sinkage change with its load, size and the ground?
