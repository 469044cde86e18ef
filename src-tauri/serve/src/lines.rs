//! Questions on standard input, one JSON ask a line; answers on standard output, one JSON reply a line.

use std::io::{self, BufRead, Write};

use crate::refusal::{LONGEST_ASK, too_long};

/// One line, as far as it was kept.
enum Line {
    /// The input has ended.
    End,
    /// A line that fits.
    Whole(Vec<u8>),
    /// A line past the limit; it was read to its end and let go.
    TooLong,
}

/// Answers every line of `asks` on `replies`, in order, each flushed before the next line is read.
///
/// A blank line is passed over. A line over [`LONGEST_ASK`] bytes is refused by an answer, and never held in memory whole.
///
/// # Errors
/// When `asks` can't be read or `replies` can't be written. What was answered before that stays written.
pub fn answer_lines(
    mut asks: impl BufRead,
    mut replies: impl Write,
    answer: impl Fn(&[u8]) -> Vec<u8>,
) -> io::Result<()> {
    loop {
        let reply = match next_line(&mut asks)? {
            Line::End => return Ok(()),
            Line::Whole(line) if line.trim_ascii().is_empty() => continue,
            Line::Whole(line) => answer(&line),
            Line::TooLong => too_long().answer(),
        };
        replies.write_all(&reply)?;
        replies.write_all(b"\n")?;
        replies.flush()?;
    }
}

fn next_line(asks: &mut impl BufRead) -> io::Result<Line> {
    let mut line = Vec::new();
    let mut dropped = false;
    let mut began = false;
    loop {
        let ready = match asks.fill_buf() {
            Ok(ready) => ready,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(error),
        };
        if ready.is_empty() && !began {
            return Ok(Line::End);
        }
        began = true;
        let newline = ready.iter().position(|&byte| byte == b'\n');
        let part = &ready[..newline.unwrap_or(ready.len())];
        if line.len() + part.len() > LONGEST_ASK {
            dropped = true;
            line = Vec::new();
        }
        if !dropped {
            line.extend_from_slice(part);
        }
        let over = newline.is_some() || ready.is_empty();
        let taken = newline.map_or(ready.len(), |at| at + 1);
        asks.consume(taken);
        if over {
            return Ok(if dropped { Line::TooLong } else { Line::Whole(line) });
        }
    }
}

#[cfg(test)]
mod tests {
    use std::io::BufReader;

    use super::*;

    fn replies_to(asks: &[u8]) -> Vec<String> {
        let mut replies = Vec::new();
        answer_lines(BufReader::with_capacity(7, asks), &mut replies, |line| {
            format!("<{}>", String::from_utf8_lossy(line)).into_bytes()
        })
        .unwrap();
        String::from_utf8(replies).unwrap().lines().map(str::to_owned).collect()
    }

    #[test]
    fn each_line_gets_its_reply_in_order() {
        let cases: &[(&[u8], &[&str])] = &[
            (b"", &[]),
            (b"one", &["<one>"]),
            (b"one\n", &["<one>"]),
            (b"one\ntwo\r\nthree, longer than the buffer", &["<one>", "<two\r>", "<three, longer than the buffer>"]),
            (b"\n  \none\n\n", &["<one>"]),
        ];
        for (asks, expected) in cases {
            let replies = replies_to(asks);
            let replies: Vec<_> = replies.iter().map(String::as_str).collect();
            assert_eq!(&replies, expected, "{:?}", String::from_utf8_lossy(asks));
        }
    }

    #[test]
    fn the_limit_is_exact_and_the_next_line_is_still_answered() {
        for (length, refused) in [(LONGEST_ASK, false), (LONGEST_ASK + 1, true), (10 * LONGEST_ASK, true)] {
            let mut asks = vec![b'x'; length];
            asks.extend_from_slice(b"\nnext\n");
            let mut replies = Vec::new();
            answer_lines(&asks[..], &mut replies, |line| line.len().to_string().into_bytes()).unwrap();
            let replies = String::from_utf8(replies).unwrap();
            let lines: Vec<_> = replies.lines().collect();
            assert_eq!(lines.len(), 2);
            assert_eq!(lines[0].contains("too_long"), refused, "{length}: {}", lines[0]);
            assert_eq!(lines[1], "4");
        }
    }
}
