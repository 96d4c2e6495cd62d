//! What holds for every text.
