//! The calibration on shots against the outside: simulated trials with known truth, a measured moulding, SciPy's least squares
//! and an importance-sampled posterior; the log as a table, and logs that cannot be used.

mod log;
mod measured;
mod plan;
mod scipy;
mod simulated;
