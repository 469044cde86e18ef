//! Joins the page's WebAssembly to scripts: `solderlast-page-join WASM FOLDER`.

use std::error::Error;

use wasm_bindgen_cli_support::Bindgen;

fn main() -> Result<(), Box<dyn Error>> {
    let mut given = std::env::args().skip(1);
    let (Some(wasm), Some(folder)) = (given.next(), given.next()) else {
        return Err("usage: solderlast-page-join WASM FOLDER".into());
    };
    // The script names the WebAssembly when it starts it.
    let mut joined = Bindgen::new();
    joined.input_path(wasm).web(true)?.typescript(false).omit_default_module_path(true);
    // Names of functions would be a fifth of all that is sent.
    joined.remove_name_section(true).remove_producers_section(true);
    Ok(joined.generate(folder)?)
}
