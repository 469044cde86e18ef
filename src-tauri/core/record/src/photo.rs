//! The name of a photo.

crate::content::named_by_content! {
    /// A photo's name: the SHA-256 of its kept bytes, as 64 small hexadecimal digits. Never a path.
    PhotoName, "photo"
}
