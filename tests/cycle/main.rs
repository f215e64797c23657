//! A whole cycle against a solution that shares no code with it.

mod reference;
