//! How far apart do the cuts of a reel land, and what speeds and blades give a wanted clip?
