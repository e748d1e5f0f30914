//! Where delimiters and line ends stand in a chunk, found 64 bytes at a time.

use wide::u8x64;

/// Bytes that are looked through at a time, so that the places found stay in the nearest cache.
const WINDOW: usize = 1 << 15;
/// Bytes of one step.
const STEP: usize = 64;

/// The places of the delimiters and line ends of a window of a chunk.
#[derive(Debug, Default)]
pub(super) struct Marks {
    /// Delimiters and line ends, in order.
    ends: Vec<u32>,
    /// Indices of the line ends in `ends`.
    lines: Vec<u32>,
    /// The first mark and the first line end that are not used up.
    next: (usize, usize),
}

impl Marks {
    /// The marks from `start` to the end of its line, which stands last; the end of the chunk ends
    /// a line, too.
    pub(super) fn line(&mut self, chunk: &[u8], delimiter: u8, start: usize) -> &[u32] {
        let mut window = WINDOW;
        loop {
            while self.next.1 < self.lines.len() {
                let last = self.lines[self.next.1] as usize;
                if self.ends[last] as usize >= start {
                    while self.next.0 < last && (self.ends[self.next.0] as usize) < start {
                        self.next.0 += 1;
                    }
                    return &self.ends[self.next.0..=last];
                }
                self.next = (last + 1, self.next.1 + 1);
            }
            self.look(chunk, delimiter, start, window);
            window *= 2;
        }
    }

    /// Goes on behind the line that [`Marks::line`] gave.
    pub(super) fn pass(&mut self) {
        if let Some(last) = self.lines.get(self.next.1) {
            self.next = (*last as usize + 1, self.next.1 + 1);
        }
    }

    /// Looks through a window that begins at `start`.
    fn look(&mut self, chunk: &[u8], delimiter: u8, start: usize, window: usize) {
        self.ends.clear();
        self.lines.clear();
        self.next = (0, 0);
        let to = chunk.len().min(start + window);
        let (delimiter, line_end) = (u8x64::splat(delimiter), u8x64::splat(b'\n'));
        let mut at = start;
        let (steps, rest) = chunk[start..to].as_chunks::<STEP>();
        let mut last = [0; STEP];
        last[..rest.len()].copy_from_slice(rest);
        for bytes in steps.iter().chain([&last]) {
            let bytes = u8x64::new(*bytes);
            let lines = bytes.simd_eq(line_end).to_bitmask();
            let all = bytes.simd_eq(delimiter).to_bitmask() | lines;
            self.put(at as u32, all, lines);
            at += STEP;
        }
        if to == chunk.len() && chunk.last() != Some(&b'\n') {
            self.lines.push(self.ends.len() as u32);
            self.ends.push(chunk.len() as u32);
        }
    }

    /// Puts the marks of one step: a bit for each of its bytes.
    fn put(&mut self, at: u32, all: u64, mut lines: u64) {
        while lines != 0 {
            let before = all & ((lines & lines.wrapping_neg()) - 1);
            self.lines.push(self.ends.len() as u32 + before.count_ones());
            lines &= lines - 1;
        }
        let mut rest = all;
        self.ends.extend((0..all.count_ones()).map(|_| {
            let place = at + rest.trailing_zeros();
            rest &= rest - 1;
            place
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<Vec<u32>> {
        let (mut marks, mut start, mut found) = (Marks::default(), 0, Vec::new());
        while start < text.len() {
            let line = marks.line(text.as_bytes(), b',', start).to_vec();
            start = *line.last().expect("a line end") as usize + 1;
            found.push(line);
            marks.pass();
        }
        found
    }

    #[test]
    fn every_line_ends_with_its_end() {
        assert_eq!(lines("a,b\n,\n\nlast"), [vec![1, 3], vec![4, 5], vec![6], vec![11]]);
    }

    #[test]
    fn lines_longer_than_a_window_are_whole() {
        let long = "x".repeat(3 * WINDOW);
        let text = format!("a,{long},b\nc,d");
        let end = text.len() as u32 - 4;
        assert_eq!(lines(&text), [vec![1, end - 2, end], vec![end + 2, end + 4]]);
    }

    #[test]
    fn a_window_that_ends_within_a_line_is_taken_up_again() {
        let line = format!("{},{}\n", "y".repeat(40), "z".repeat(41));
        let text = line.repeat(2 * WINDOW / line.len() + 3);
        let length = line.len() as u32;
        for (n, marks) in lines(&text).into_iter().enumerate() {
            let from = n as u32 * length;
            assert_eq!(marks, [from + 40, from + length - 1]);
        }
    }
}
