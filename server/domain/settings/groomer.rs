//! Where is a groomer set for a wanted reach below the height of cut?
