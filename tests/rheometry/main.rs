//! From tables of readings to flow laws and a critical loading.
//!
//! Sources: a published textbook exercise on capillary data of polypropylene (its numbers beside the
//! test), SciPy's `curve_fit` on the same data (`tests/reference/fit_curve_fit.py`), and readings made
//! here from a known law.

mod capillary;
mod critical;
mod fit;
mod made;
mod peak;
mod scipy;
mod table;
