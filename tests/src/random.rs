//! Repeatable random numbers.
