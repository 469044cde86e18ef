//! An audition: what is asked about it and written about it.

mod act;
pub(super) mod asks;
mod geometry;
pub(super) mod view;
