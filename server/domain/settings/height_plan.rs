//! By what steps may the height go from here to there?
