//! Joins the page's WebAssembly to scripts: `solderlast-page-join WASM FOLDER`. With `tests` behind it, a program of tests to a script
//! for Node, with the names of functions.

use std::error::Error;

use wasm_bindgen_cli_support::Bindgen;

fn main() -> Result<(), Box<dyn Error>> {
    let mut given = std::env::args().skip(1);
    let (Some(wasm), Some(folder)) = (given.next(), given.next()) else {
        return Err("usage: solderlast-page-join WASM FOLDER [tests]".into());
    };
    let mut joined = Bindgen::new();
    joined.input_path(wasm).typescript(false);
    if given.next().as_deref() == Some("tests") {
        joined.out_name("tests").nodejs(true)?;
    } else {
        // The script names the WebAssembly when it starts it.
        joined.web(true)?.omit_default_module_path(true);
        // Names of functions would be a fifth of all that is sent.
        joined.remove_name_section(true).remove_producers_section(true);
    }
    Ok(joined.generate(folder)?)
}
