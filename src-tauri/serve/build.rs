//! Packs the built pages into the program: each file plain, in brotli and in gzip, with its media type.
//!
//! Where the pages have not been built yet, one page that says so takes their place, so that the program still compiles.

use std::fmt::Write as _;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::{env, fs};

fn main() -> io::Result<()> {
    let here = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").ok_or_else(missing)?);
    let out = PathBuf::from(env::var_os("OUT_DIR").ok_or_else(missing)?).join("pages");
    let built = here.join("../../ui/dist");
    println!("cargo:rerun-if-changed={}", built.display());
    println!("cargo:rerun-if-changed=unbuilt");

    let from = if built.join("index.html").is_file() { built } else { here.join("unbuilt") };
    if out.exists() {
        fs::remove_dir_all(&out)?;
    }
    fs::create_dir_all(&out)?;

    let mut files = Vec::new();
    gather(&from, &mut files)?;
    files.sort();

    let mut table = String::from("&[\n");
    for (number, file) in files.iter().enumerate() {
        let path = file.strip_prefix(&from).map_err(io::Error::other)?;
        let path = path.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/");
        let plain = fs::read(file)?;
        fs::write(out.join(number.to_string()), &plain)?;
        fs::write(out.join(format!("{number}.br")), brotli_of(&plain)?)?;
        fs::write(out.join(format!("{number}.gz")), gzip_of(&plain)?)?;
        let kind = mime_guess::from_path(file).first_or_octet_stream().to_string();
        let kind = if kind.starts_with("text/") { format!("{kind}; charset=utf-8") } else { kind };
        let bytes = |end: &str| format!("include_bytes!(concat!(env!(\"OUT_DIR\"), \"/pages/{number}{end}\"))");
        writeln!(
            table,
            "    Page {{ path: {path:?}, kind: {kind:?}, plain: {}, brotli: {}, gzip: {} }},",
            bytes(""),
            bytes(".br"),
            bytes(".gz")
        )
        .map_err(io::Error::other)?;
    }
    table.push(']');
    fs::write(out.join("table.rs"), table)
}

fn missing() -> io::Error {
    io::Error::other("this script is run by cargo")
}

fn gather(folder: &Path, files: &mut Vec<PathBuf>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            gather(&path, files)?;
        } else {
            files.push(path);
        }
    }
    Ok(())
}

fn brotli_of(plain: &[u8]) -> io::Result<Vec<u8>> {
    let mut packed = Vec::new();
    brotli::CompressorWriter::new(&mut packed, 4096, 11, 22).write_all(plain)?;
    Ok(packed)
}

/// Zopfli: slower to pack than gzip and a twentieth smaller, and any browser reads it. Over plain HTTP a phone takes no
/// other packing.
fn gzip_of(plain: &[u8]) -> io::Result<Vec<u8>> {
    let mut packed = Vec::new();
    zopfli::compress(zopfli::Options::default(), zopfli::Format::Gzip, plain, &mut packed)?;
    Ok(packed)
}
