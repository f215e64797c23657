//! What follows the mould, against SciPy (`tests/reference/after.py`) and against Monte Carlo through the whole chain.

mod budget;
mod reference;
mod size_limit;
