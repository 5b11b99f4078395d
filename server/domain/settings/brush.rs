//! How hard does a rear roller brush touch its roller?
