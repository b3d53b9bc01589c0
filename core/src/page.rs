//! One reel on one page, for another pair of eyes.
