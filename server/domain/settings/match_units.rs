//! Which ends of a gang of units must move, and how far?
