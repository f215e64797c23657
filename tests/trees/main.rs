//! Flow paths that branch: against balanced copies, against hand solutions of the split, and whatever the
//! tree, its balances.

mod copies;
mod many;
mod order;
mod split;
mod weld;
