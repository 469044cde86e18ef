//! A small reader of Rust: modules, what they bring in by `use`, and the paths that are written out.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// One name that a `use` brings in.
struct Brought {
    path: Vec<String>,
    name: String,
    /// Whether it is shown again to others.
    shown: bool,
}

struct Module {
    brought: Vec<Brought>,
    /// Paths written out, without those of `use`.
    written: Vec<Vec<String>>,
}

/// The modules of one crate, by their paths; the crate's own file has an empty one.
pub struct Sources(BTreeMap<String, Module>);

impl Sources {
    /// Reads all files below a crate's `src`.
    pub fn read(root: &Path) -> Self {
        let mut files = Vec::new();
        collect(root, &mut Vec::new(), &mut files);
        Self::from_texts(files)
    }

    /// The modules of a crate that is made up.
    pub fn of(files: &[(&str, &str)]) -> Self {
        let files = files.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect();
        Self::from_texts(files)
    }

    fn from_texts(files: Vec<(String, String)>) -> Self {
        let mut left_out = BTreeSet::new();
        let bare: Vec<(String, String)> = files
            .into_iter()
            .map(|(name, text)| {
                let text = without_tests(&without_words(&text), &name, &mut left_out);
                (name, text)
            })
            .collect();
        let compiled = |name: &str| !left_out.iter().any(|out| name == out || name.starts_with(&format!("{out}::")));
        Self(bare.into_iter().filter(|(name, _)| compiled(name)).map(|(name, text)| (name, module(&text))).collect())
    }

    /// How many files were read.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// What each module uses: from where, where to, and by which path.
    pub fn uses(&self) -> Vec<(String, String, String)> {
        let mut uses = Vec::new();
        for (here, module) in &self.0 {
            // Names of modules that were brought in: what is taken out of them is what counts.
            let mut bound: BTreeMap<&str, Vec<String>> = BTreeMap::new();
            let mut paths = Vec::new();
            for brought in &module.brought {
                let Some(full) = self.full(here, &brought.path) else { continue };
                let (there, rest) = self.defined(&full, 0);
                let is_module = rest.is_empty() && brought.name != "*";
                let from_below = brought.shown && there.starts_with(&format!("{here}::"));
                if is_module {
                    bound.insert(&brought.name, full);
                } else if !(from_below || brought.shown && here.is_empty()) {
                    paths.push((there, brought.path.join("::")));
                }
            }
            for path in &module.written {
                let full = match bound.get(path[0].as_str()) {
                    Some(module) => Some([module.as_slice(), &path[1..]].concat()),
                    None => self.full(here, path),
                };
                paths.extend(full.map(|full| (self.defined(&full, 0).0, path.join("::"))));
            }
            uses.extend(paths.into_iter().map(|(there, path)| (here.clone(), there, path)));
        }
        uses
    }

    /// A path from the crate's root; nothing when it leads out of the crate.
    fn full(&self, here: &str, path: &[String]) -> Option<Vec<String>> {
        let mut base: Vec<String> = here.split("::").filter(|part| !part.is_empty()).map(str::to_owned).collect();
        let mut rest = path;
        match path.first()?.as_str() {
            "crate" => return Some(path[1..].to_vec()),
            "self" => rest = &path[1..],
            "super" => {
                while rest.first().is_some_and(|part| part == "super") {
                    base.pop()?;
                    rest = &rest[1..];
                }
            }
            child => {
                let mut at = base.clone();
                at.push(child.to_owned());
                self.0.contains_key(&at.join("::")).then_some(())?;
            }
        }
        base.extend_from_slice(rest);
        Some(base)
    }

    /// The module in which something is defined, and its path in it.
    fn defined(&self, full: &[String], depth: usize) -> (String, Vec<String>) {
        let mut here = String::new();
        for (place, part) in full.iter().enumerate() {
            let below = if here.is_empty() { part.clone() } else { format!("{here}::{part}") };
            if self.0.contains_key(&below) {
                here = below;
                continue;
            }
            let shown = self.0.get(&here).into_iter().flat_map(|module| &module.brought).find(|one| one.name == *part);
            if let Some(there) = shown.and_then(|shown| self.full(&here, &shown.path))
                && depth < 8
                && there != full[..=place]
            {
                return self.defined(&[there.as_slice(), &full[place + 1..]].concat(), depth + 1);
            }
            return (here, full[place..].to_vec());
        }
        (here, Vec::new())
    }
}

fn collect(folder: &Path, path: &mut Vec<String>, files: &mut Vec<(String, String)>) {
    let mut entries: Vec<_> =
        std::fs::read_dir(folder).expect("a folder of sources").map(|entry| entry.expect("an entry").path()).collect();
    entries.sort();
    for entry in entries {
        let name = entry.file_stem().and_then(|name| name.to_str()).expect("a plain name").to_owned();
        if entry.is_dir() {
            path.push(name);
            collect(&entry, path, files);
            path.pop();
        } else if entry.extension().is_some_and(|end| end == "rs") {
            let mut parts = path.clone();
            if !matches!(name.as_str(), "mod" | "lib" | "main") {
                parts.push(name);
            }
            files.push((parts.join("::"), std::fs::read_to_string(&entry).expect("a source in UTF-8")));
        }
    }
}

/// The text without comments, strings and letters in quotes.
fn without_words(text: &str) -> String {
    let mut bare = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let before = bare.chars().next_back().is_some_and(|c| c.is_alphanumeric() || c == '_');
        let skipped = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |end| end + 2)
        } else if let Some(end) = (!before).then(|| raw(rest)).flatten() {
            end
        } else if c == '"' {
            quoted(rest, '"')
        } else if c == '\'' {
            letter(rest)
        } else {
            0
        };
        if skipped > 0 {
            bare.push(' ');
            rest = &rest[skipped..];
        } else {
            bare.push(c);
            rest = &rest[c.len_utf8()..];
        }
    }
    bare
}

/// How long a raw string is that begins here.
fn raw(text: &str) -> Option<usize> {
    let hashes = text.strip_prefix('r')?.chars().take_while(|c| *c == '#').count();
    let begun = 1 + hashes + 1;
    text.get(1 + hashes..begun).filter(|quote| *quote == "\"")?;
    let end = format!("\"{}", "#".repeat(hashes));
    Some(text[begun..].find(&end).map_or(text.len(), |at| begun + at + end.len()))
}

/// How long what begins here is, up to the next quote that no backslash stands before.
fn quoted(text: &str, quote: char) -> usize {
    let mut letters = text.char_indices().skip(1);
    while let Some((at, c)) = letters.next() {
        if c == '\\' {
            letters.next();
        } else if c == quote {
            return at + 1;
        }
    }
    text.len()
}

/// How long a letter in quotes is; zero for a lifetime.
fn letter(text: &str) -> usize {
    let mut letters = text.chars().skip(1);
    match (letters.next(), letters.next()) {
        (Some('\\'), _) | (Some(_), Some('\'')) => quoted(text, '\''),
        _ => 0,
    }
}

/// The text without items for tests. Modules in files of their own that are for tests go to `left_out`.
fn without_tests(text: &str, here: &str, left_out: &mut BTreeSet<String>) -> String {
    const MARK: &str = "#[cfg(test)]";
    let mut kept = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(MARK) {
        kept.push_str(&rest[..at]);
        let item = &rest[at + MARK.len()..];
        let mut depth = 0_usize;
        let is_use = item.split_whitespace().find(|word| !word.starts_with("pub")) == Some("use");
        let end = item.char_indices().find(|(_, c)| {
            match c {
                '{' => depth += 1,
                '}' => depth = depth.saturating_sub(1),
                _ => {}
            }
            depth == 0 && (*c == ';' || *c == '}' && !is_use)
        });
        let end = end.map_or(item.len(), |(at, c)| at + c.len_utf8());
        if let Some(name) = item[..end].trim_end().strip_suffix(';').and_then(|item| item.split("mod ").nth(1)) {
            left_out.insert(if here.is_empty() { name.to_owned() } else { format!("{here}::{name}") });
        }
        rest = &item[end..];
    }
    kept.push_str(rest);
    kept
}

fn is_of_a_name(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

fn module(text: &str) -> Module {
    // Who may see something says nothing of what is used.
    let text = text.replace("pub(in ", "pub(").replace("pub(crate::", "pub(");
    let text = text.as_str();
    let mut brought = Vec::new();
    let mut written = String::new();
    let mut rest = text;
    while let Some((before, tree, after)) = next_use(rest) {
        // `pub`, or `pub` with what follows it in brackets.
        let open = before.trim_end().strip_suffix(')').map_or(before, |inner| &inner[..inner.rfind('(').unwrap_or(0)]);
        tree_of(tree, &[], open.trim_end().ends_with("pub"), &mut brought);
        written.push_str(before);
        rest = after;
    }
    written.push_str(rest);
    Module { brought, written: paths(&written) }
}

/// What stands before the next `use`, its tree, and what follows it.
fn next_use(text: &str) -> Option<(&str, &str, &str)> {
    let begins = text.match_indices("use").map(|(at, _)| at).find(|at| {
        let before = text[..*at].chars().next_back().is_none_or(|c| !is_of_a_name(c));
        before && text[at + 3..].starts_with(char::is_whitespace)
    })?;
    let (tree, after) = text[begins + 3..].split_once(';')?;
    Some((&text[..begins], tree, after))
}

/// Everything that the tree of a `use` brings in.
fn tree_of(tree: &str, before: &[String], shown: bool, brought: &mut Vec<Brought>) {
    let mut depth = 0_usize;
    let mut branches = vec![String::new()];
    for c in tree.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth = depth.saturating_sub(1),
            _ => {}
        }
        match branches.last_mut() {
            Some(last) if c != ',' || depth > 0 => last.push(c),
            _ => branches.push(String::new()),
        }
    }
    for branch in branches {
        let (stem, twigs) = branch.split_once('{').map_or((branch.as_str(), None), |(stem, twigs)| (stem, Some(twigs)));
        let (stem, other_name) = stem.split_once(" as ").map_or((stem, None), |(stem, name)| (stem, Some(name)));
        let parts = stem.split("::").map(|part| part.trim().to_owned()).filter(|part| !part.is_empty());
        let mut path: Vec<String> = before.iter().cloned().chain(parts).collect();
        if let Some(twigs) = twigs {
            tree_of(twigs.trim_end().trim_end_matches('}'), &path, shown, brought);
            continue;
        }
        if path.len() > 1 && path.last().is_some_and(|last| last == "self") {
            path.pop();
        }
        if let Some(last) = path.last() {
            let name = other_name.map_or_else(|| last.clone(), |name| name.trim().to_owned());
            brought.push(Brought { path, name, shown });
        }
    }
}

/// Paths of two parts or more.
fn paths(text: &str) -> Vec<Vec<String>> {
    let mut paths = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(is_of_a_name) {
        let end = rest[at..].find(|c| !is_of_a_name(c) && c != ':').map_or(rest.len(), |end| at + end);
        let parts: Vec<String> = rest[at..end].split("::").map(str::to_owned).collect();
        if parts.len() > 1 && parts.iter().all(|part| !part.contains(':')) && !rest[..at].ends_with("::") {
            paths.push(parts.into_iter().filter(|part| !part.is_empty()).collect());
        }
        rest = &rest[end..];
    }
    paths
}
