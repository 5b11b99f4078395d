//! What do the readings along a reel and bedknife ask for?
