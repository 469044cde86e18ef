//! What coils are by what was measured, against coils that are known: recordings that ngspice makes, a thousand measurements of
//! closed form, coils that ring behind taps, SciPy's least squares, and coils with shorted turns.

mod cell;
mod coupled;
mod known;
mod recorded;
mod rung;
mod shorted;
mod tapped;
mod thousand;
