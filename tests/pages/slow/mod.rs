//! Tests that lay out many papers: minutes, not seconds.
//!
//! Must not: hold what a quick test could.

mod mutations;
mod page_limits;
mod threads;
