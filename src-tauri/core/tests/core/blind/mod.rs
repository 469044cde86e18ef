//! Takes heard blind: whole tests by their entries, and by asks and files as a page has them.

mod panels;
mod whole;
