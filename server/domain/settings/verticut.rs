//! What share of the surface do slits or holes work?
