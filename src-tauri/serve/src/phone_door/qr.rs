//! The pairing link as a picture that a phone's camera reads.

use qrcode::QrCode;
use qrcode::render::{svg, unicode};

/// The link in half-block letters: ink where the picture is dark, with the quiet edge a camera needs. It must be shown
/// dark on light. None when the link is too long for a picture.
#[must_use]
pub fn in_letters(link: &str) -> Option<String> {
    Some(QrCode::new(link).ok()?.render::<unicode::Dense1x2>().build())
}

/// The link as an SVG drawing of its own, black on white, at least 240 units wide. None when the link is too long for a
/// picture.
#[must_use]
pub fn drawn(link: &str) -> Option<String> {
    let file = QrCode::new(link).ok()?.render::<svg::Color<'_>>().min_dimensions(240, 240).build();
    // Without the line that would make it a file of its own, it can stand in a page too.
    file.find("<svg").map(|start| file[start..].to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_letters_show_every_dark_square_and_a_quiet_edge() {
        const EDGE: usize = 4;
        let link = "http://192.0.2.7:7644/#pair=012345";
        let code = QrCode::new(link).unwrap();
        let width = code.width();
        let lines: Vec<Vec<char>> = in_letters(link).unwrap().lines().map(|line| line.chars().collect()).collect();
        let dark = |x: usize, y: usize| match lines[y / 2][x] {
            '█' => true,
            '▀' => y & 1 == 0,
            '▄' => y & 1 == 1,
            _ => false,
        };
        for y in 0..width + 2 * EDGE {
            for x in 0..width + 2 * EDGE {
                let inside = (EDGE..width + EDGE).contains(&x) && (EDGE..width + EDGE).contains(&y);
                let expected = inside && code[(x - EDGE, y - EDGE)] == qrcode::Color::Dark;
                assert_eq!(dark(x, y), expected, "square {x}, {y}");
            }
        }
    }

    #[test]
    fn the_drawing_carries_no_script_and_no_link_out() {
        let drawing = drawn("http://192.0.2.7:7644/#pair=012345").unwrap();
        assert!(drawing.starts_with("<svg") && drawing.contains("viewBox"));
        assert!(!drawing.contains("script") && !drawing.contains("href"));
    }

    #[test]
    fn a_link_too_long_for_a_picture_gets_none() {
        let link = "x".repeat(5000);
        assert!(in_letters(&link).is_none() && drawn(&link).is_none());
    }
}
