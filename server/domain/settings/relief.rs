//! Where does the finger stand for a wanted relief angle, and what land is left?
