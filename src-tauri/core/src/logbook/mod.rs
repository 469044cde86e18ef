//! The logbook: the log, and what is listed of it, looked for in it and told by it in tables.

mod beside;
pub mod bundle;
mod checks;
mod install_line;
mod installs;
mod line;
mod lines;
mod lists;
mod search;
mod tables;
mod up_to_date;
mod words;

pub use solderlast_log::shared::is_shared;
pub use solderlast_log::{
    Came, Found, Lacking, Listener, Log, Looked, Notice, Ordered, Salvaged, Source, Stamp, Trouble, bring_together,
    files, is_there, look_over, photos, salvage_files, takes,
};

pub use beside::FoundBeside;
pub(crate) use checks::check_and_copy;
pub use install_line::InstallLine;
pub use line::Line;
pub use lists::Lists;
pub use search::{Find, LogbookPage, PAGE};
pub use tables::Table;
