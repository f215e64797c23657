//! A whole cycle, fill, hold and cooling, against a solution that shares no code with it.

mod reference;
