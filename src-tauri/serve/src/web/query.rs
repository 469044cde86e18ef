//! What follows an address.

/// The word of this name in the query of an address, with its escapes read; empty where there is none.
#[must_use]
pub fn word(query: Option<&str>, name: &str) -> String {
    let parts = query.unwrap_or_default().split('&').filter_map(|part| part.split_once('='));
    unescaped(parts.into_iter().find(|(one, _)| *one == name).map_or("", |(_, text)| text))
}

/// Text of an address with its `%` escapes read. Bytes that are no text are marked.
#[must_use]
pub fn unescaped(text: &str) -> String {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let Some((&first, after)) = rest.split_first() {
        let escaped = (first == b'%').then(|| after.get(..2)).flatten().and_then(|digits| hex::decode(digits).ok());
        match escaped.as_deref() {
            Some([byte]) => {
                bytes.push(*byte);
                rest = &after[2..];
            }
            _ => {
                bytes.push(if first == b'+' { b' ' } else { first });
                rest = after;
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}
