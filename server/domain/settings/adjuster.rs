//! How many turns of a height adjuster make a wanted change of height?
