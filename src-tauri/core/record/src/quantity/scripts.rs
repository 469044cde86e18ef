//! Digits of other scripts, as the digits that a meter shows.

/// The zero of every script that has decimal digits (Unicode 16, general category Nd); the other nine follow it.
const ZEROS: [char; 76] = [
    '\u{660}',
    '\u{6F0}',
    '\u{7C0}',
    '\u{966}',
    '\u{9E6}',
    '\u{A66}',
    '\u{AE6}',
    '\u{B66}',
    '\u{BE6}',
    '\u{C66}',
    '\u{CE6}',
    '\u{D66}',
    '\u{DE6}',
    '\u{E50}',
    '\u{ED0}',
    '\u{F20}',
    '\u{1040}',
    '\u{1090}',
    '\u{17E0}',
    '\u{1810}',
    '\u{1946}',
    '\u{19D0}',
    '\u{1A80}',
    '\u{1A90}',
    '\u{1B50}',
    '\u{1BB0}',
    '\u{1C40}',
    '\u{1C50}',
    '\u{A620}',
    '\u{A8D0}',
    '\u{A900}',
    '\u{A9D0}',
    '\u{A9F0}',
    '\u{AA50}',
    '\u{ABF0}',
    '\u{FF10}',
    '\u{104A0}',
    '\u{10D30}',
    '\u{10D40}',
    '\u{11066}',
    '\u{110F0}',
    '\u{11136}',
    '\u{111D0}',
    '\u{112F0}',
    '\u{11450}',
    '\u{114D0}',
    '\u{11650}',
    '\u{116C0}',
    '\u{116D0}',
    '\u{116DA}',
    '\u{11730}',
    '\u{118E0}',
    '\u{11950}',
    '\u{11BF0}',
    '\u{11C50}',
    '\u{11D50}',
    '\u{11DA0}',
    '\u{11F50}',
    '\u{16130}',
    '\u{16A60}',
    '\u{16AC0}',
    '\u{16B50}',
    '\u{16D70}',
    '\u{1CCF0}',
    '\u{1D7CE}',
    '\u{1D7D8}',
    '\u{1D7E2}',
    '\u{1D7EC}',
    '\u{1D7F6}',
    '\u{1E140}',
    '\u{1E2F0}',
    '\u{1E4F0}',
    '\u{1E5F1}',
    '\u{1E950}',
    '\u{1FBF0}',
    '0',
];

/// The same text with the digits 0 to 9 for those of other scripts, and a point or comma and Latin letters for the wide and
/// Arabic ones.
#[must_use]
pub fn in_ascii(text: &str) -> String {
    text.chars().map(one).collect()
}

fn one(c: char) -> char {
    match c {
        _ if c.is_ascii() => c,
        // The Arabic decimal and thousands separators.
        '\u{66B}' => '.',
        '\u{66C}' => ',',
        // The wide forms of what is between ! and ~, as some keyboards write them.
        '\u{FF01}'..='\u{FF5E}' => char::from_u32(u32::from(c) - 0xFF01 + 0x21).unwrap_or(c),
        '\u{3000}' => ' ',
        _ if !c.is_numeric() => c,
        _ => digit(c).and_then(|digit| char::from_digit(digit, 10)).unwrap_or(c),
    }
}

fn digit(c: char) -> Option<u32> {
    ZEROS.iter().find_map(|zero| u32::from(c).checked_sub(u32::from(*zero)).filter(|above| *above < 10))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_of_every_script() {
        for text in ["٦٫٦٦k", "۶٫۶۶k", "६.६६k", "৬.৬৬k", "６．６６ｋ", "໖.໖໖k", "꧖.꧖꧖k", "𑁬.𑁬𑁬k", "𝟞.𝟞𝟞k"]
        {
            assert_eq!(in_ascii(text), "6.66k", "{text}");
        }
        for text in ["6.66k", "½", "Ⅵ", "六", "kΩ", ""] {
            assert_eq!(in_ascii(text), text);
        }
        // Each zero begins ten numbers, and no two scripts share one.
        let all: Vec<char> =
            ZEROS.iter().flat_map(|zero| (0..10).filter_map(move |up| char::from_u32(u32::from(*zero) + up))).collect();
        assert!(all.iter().all(|c| c.is_numeric()), "{all:?}");
        assert!((0..all.len()).all(|at| !all[at + 1..].contains(&all[at])));
    }
}
