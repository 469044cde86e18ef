//! The leads of a pickup: what is asked about them and found out about them.

mod act;
pub(super) mod asks;
mod heard;
mod view;
