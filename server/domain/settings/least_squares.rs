//! Which straight combination of columns fits the readings best, and how surely?
