//! When is a part next due?
