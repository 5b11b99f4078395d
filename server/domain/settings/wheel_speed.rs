//! How fast does a grinding wheel's surface move, against the maximum marked on it?
