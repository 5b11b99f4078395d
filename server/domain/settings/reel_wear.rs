//! How fast does a reel wear, how tapered is it, and how long will it last?
