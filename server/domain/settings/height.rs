//! What height on turf comes of a bench height, and the other way round?
