//! How fast does a rotary blade's tip move, against the published limit?
