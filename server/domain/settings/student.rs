//! What is Student's t worth at a point?
