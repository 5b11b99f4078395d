//! How much unbalance may a blade have, and what force does it make?
