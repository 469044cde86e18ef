//! An audition: what is asked about it and written about it.

mod act;
pub(super) mod asks;
mod geometry;
mod last_time;
pub(super) mod view;
