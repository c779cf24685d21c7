//! Lines of a stream, counted, each up to a length that fits into memory.

use std::io::{self, BufRead};

use super::refused::Refused;

/// One line with something on it.
pub(super) struct Line {
    /// Counted from 1, empty lines too.
    pub(super) number: usize,
    /// Its bytes without the break; cut where it is too long.
    bytes: Vec<u8>,
    /// Bytes it has.
    length: usize,
    most: usize,
}

impl Line {
    /// Its text.
    pub(super) fn text(&self) -> Result<&str, Refused> {
        if self.length > self.most {
            return Err(Refused::new(
                &format!(
                    "the line has {} bytes, at most {} are read",
                    self.length, self.most
                ),
                "a design is a few kilobytes; send one on each line",
            ));
        }
        Ok(calotte_format::text_of(&self.bytes)?)
    }
}

/// The lines of a stream.
pub(super) struct Lines<R> {
    from: R,
    number: usize,
    most: usize,
}

impl<R: BufRead> Lines<R> {
    /// Lines of which at most so many bytes are kept.
    pub(super) fn new(from: R, most: usize) -> Self {
        Self {
            from,
            number: 0,
            most,
        }
    }

    /// The next line that is not blank; `None` at the end.
    pub(super) fn next_line(&mut self) -> io::Result<Option<Line>> {
        loop {
            self.number += 1;
            let (mut bytes, mut length, mut any) = (Vec::new(), 0, false);
            loop {
                let ready = match self.from.fill_buf() {
                    Ok(ready) => ready,
                    Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                    Err(error) => return Err(error),
                };
                if ready.is_empty() {
                    break;
                }
                any = true;
                let end = ready.iter().position(|byte| *byte == b'\n');
                let part = &ready[..end.unwrap_or(ready.len())];
                let room = self.most.saturating_sub(bytes.len()).min(part.len());
                bytes.extend_from_slice(&part[..room]);
                length += part.len();
                let used = part.len() + usize::from(end.is_some());
                self.from.consume(used);
                if end.is_some() {
                    break;
                }
            }
            if !any {
                return Ok(None);
            }
            if length > bytes.len() || !bytes.iter().all(u8::is_ascii_whitespace) {
                return Ok(Some(Line {
                    number: self.number,
                    bytes,
                    length,
                    most: self.most,
                }));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(text: &[u8], most: usize) -> Vec<(usize, usize, usize)> {
        // Small pieces, so that lines lie across them.
        let mut lines = Lines::new(io::BufReader::with_capacity(3, text), most);
        let mut found = Vec::new();
        while let Some(line) = lines.next_line().unwrap() {
            found.push((line.number, line.bytes.len(), line.length));
        }
        found
    }

    #[test]
    fn lines_are_counted_and_cut() {
        assert_eq!(all(b"", 9), []);
        assert_eq!(all(b"\n \r\n\t\n", 9), []);
        assert_eq!(all(b"ab\n\ncd", 9), [(1, 2, 2), (3, 2, 2)]);
        assert_eq!(all(b"abcdefghijkl\nx\n", 5), [(1, 5, 12), (2, 1, 1)]);
        // A line that is blank as far as it is kept is a line all the same.
        assert_eq!(all(b"       x\n", 5), [(1, 5, 8)]);
    }
}
