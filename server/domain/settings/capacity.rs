//! How much area is mown in an hour?
