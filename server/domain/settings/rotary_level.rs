//! What must each deck hanger move to bring a deck level?
